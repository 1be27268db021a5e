"""From the document to the model, saying where a value does not fit."""

from __future__ import annotations

from itertools import chain
from typing import Any

import numpy as np

from seamwright import model
from seamwright.geometry import (
    CUBIC,
    LINE,
    Curve,
    FloatArray,
    GeometryError,
    Station,
    line_segments,
)
from seamwright.plugins.api import Context, Finding, SeamwrightError, Severity

from . import document as doc


class Builder:
    """Makes the model's objects, and says where a value does not fit."""

    def __init__(self, file: str, ctx: Context) -> None:
        self.file = file
        self.limits = ctx.limits
        self.findings: list[Finding] = []

    def refuse(self, path: str, what: str, **fields: Any) -> SeamwrightError:
        return SeamwrightError.of(
            "json.value", f"{path} is not as it should be: {what}", file=self.file, **fields
        )

    def pattern(self, d: doc.Pattern) -> model.Pattern:
        pieces = tuple(self.piece(p, d, i) for i, p in enumerate(d.pieces))
        try:
            return model.Pattern(
                name=d.name,
                pieces=pieces,
                sizes=d.sizes,
                base_size=d.base_size,
                seams=tuple(self.seam(s, i) for i, s in enumerate(d.seams)),
                grade_rules=None if d.grade_rules is None else self.rules(d.grade_rules),
                notes=d.notes,
                foreign=_foreign(d.foreign),
            )
        except ValueError as error:
            raise self.refuse("$", str(error)) from None

    def piece(self, d: doc.Piece, whole: doc.Pattern, i: int) -> model.Piece:
        path = f"$.pieces[{i}]"
        sizes = [shape.size for shape in d.shapes]
        for n, size in enumerate(sizes):
            if size not in whole.sizes:
                raise self.refuse(
                    f"{path}.shapes[{n}].size",
                    f'"{size}" is not among the sizes of the pattern',
                    piece=d.name,
                )
            if size in sizes[:n]:
                raise self.refuse(
                    f"{path}.shapes[{n}].size", f'"{size}" is there already', piece=d.name
                )
        return model.Piece(
            name=d.name,
            shapes=tuple(
                self.shape(s, d.name, f"{path}.shapes[{n}]") for n, s in enumerate(d.shapes)
            ),
            quantity=d.quantity,
            material=d.material,
            category=d.category,
            foreign=_foreign(d.foreign),
        )

    def shape(self, d: doc.Shape, piece: str, path: str) -> model.Shape:
        seam_line = self.curve(d.seam_line, f"{path}.seam_line")
        cut_line = None if d.cut_line is None else self.curve(d.cut_line, f"{path}.cut_line")
        for curve, key in ((seam_line, "seam_line"), (cut_line, "cut_line")):
            if curve is not None and not curve.closed:
                raise self.refuse(f"{path}.{key}", "an outline must be closed", piece=piece)
        if seam_line.area < 0:
            self.findings.append(
                Finding(
                    code="json.clockwise",
                    severity=Severity.WARNING,
                    message=f'the outline of "{piece}" runs clockwise in size {d.size}',
                    file=self.file,
                    piece=piece,
                    size=d.size,
                    hint="turn it round in whatever wrote the file",
                )
            )

        def on(station: doc.Station, line: model.LineRole, where: str) -> Station:
            curve = seam_line if line is model.LineRole.SEAM else cut_line
            if curve is None:
                raise self.refuse(f"{path}.{where}", "there is no cut line to lie on", piece=piece)
            if station[0] >= curve.n:
                raise self.refuse(
                    f"{path}.{where}.station",
                    f"segment {station[0]} of a line of {curve.n} segments (0 to {curve.n - 1})",
                    piece=piece,
                )
            return Station(station[0], station[1])

        seam = model.LineRole.SEAM
        corners = tuple(
            model.Corner(name=c.name, station=on(c.station, seam, f"corners[{i}]"))
            for i, c in enumerate(d.corners)
        )
        for i, corner in enumerate(corners):
            if corner.station.t != 0.0:
                raise self.refuse(
                    f"{path}.corners[{i}].station",
                    "a corner lies at the start of a segment, at parameter 0",
                    piece=piece,
                )
        if d.allowances and len(d.allowances) != max(1, len(corners)):
            raise self.refuse(
                f"{path}.allowances",
                f"{len(d.allowances)} allowances for {max(1, len(corners))} edges",
                piece=piece,
            )
        grain = d.grain_line
        return model.Shape(
            size=d.size,
            seam_line=seam_line,
            cut_line=cut_line,
            corners=corners,
            notches=tuple(
                model.Notch(
                    name=n.name,
                    station=on(n.station, n.line, f"notches[{i}]"),
                    type=n.type,
                    depth=n.depth,
                    width=n.width,
                    angle=n.angle,
                    line=n.line,
                    distance=n.distance,
                    offset=n.offset,
                )
                for i, n in enumerate(d.notches)
            ),
            grain_line=None if grain is None else model.GrainLine(start=grain.start, end=grain.end),
            darts=tuple(
                model.Dart(
                    name=t.name,
                    left=on(t.left, seam, f"darts[{i}].left"),
                    right=on(t.right, seam, f"darts[{i}].right"),
                    apex=t.apex,
                )
                for i, t in enumerate(d.darts)
            ),
            internal_lines=tuple(
                self.internal(line, f"{path}.internal_lines[{i}]")
                for i, line in enumerate(d.internal_lines)
            ),
            drill_holes=tuple(
                model.DrillHole(at=h.at, diameter=h.diameter, name=h.name, category=h.category)
                for h in d.drill_holes
            ),
            texts=tuple(self.text(text, f"{path}.texts[{i}]") for i, text in enumerate(d.texts)),
            allowances=d.allowances,
            grade_points=tuple(
                model.GradePoint(
                    rule=g.rule,
                    station=None
                    if g.station is None
                    else on(g.station, g.line, f"grade_points[{i}]"),
                    at=g.at,
                    line=g.line,
                    layer=g.layer,
                )
                for i, g in enumerate(d.grade_points)
            ),
            curve_points=tuple(
                on(s, seam, f"curve_points[{i}]") for i, s in enumerate(d.curve_points)
            ),
            seam_line_source=d.seam_line_source,
            mirrored_half=d.mirrored_half,
            flags=d.flags,
            foreign=_foreign(d.foreign),
        )

    def internal(self, d: doc.InternalLine, path: str) -> model.InternalLine:
        curve = self.curve(d.curve, f"{path}.curve")
        joints = curve.n + (0 if curve.closed else 1)
        for key, numbers in (("turn_points", d.turn_points), ("curve_points", d.curve_points)):
            for i, number in enumerate(numbers):
                if not 0 <= number < joints:
                    raise self.refuse(
                        f"{path}.{key}[{i}]", f"joint {number} of a line of {joints} joints"
                    )
        return model.InternalLine(
            kind=d.kind,
            curve=curve,
            name=d.name,
            layer=d.layer,
            turn_points=d.turn_points,
            curve_points=d.curve_points,
        )

    def text(self, d: doc.Text, path: str) -> model.Text:
        if len(d.text) > self.limits.text:
            raise self.refuse(
                f"{path}.text",
                f"a text of {len(d.text)} characters, more than the limit of {self.limits.text}",
                hint="raise it with --limit text=N",
            )
        return model.Text(
            text=d.text,
            at=d.at,
            height=d.height,
            rotation=d.rotation,
            role=d.role,
            layer=d.layer,
        )

    def curve(self, d: doc.Curve, path: str) -> Curve:
        count = len(d.segments)
        if count > self.limits.points:
            raise self.refuse(
                path,
                f"a curve of {count} segments, more than the limit of {self.limits.points}",
                hint="raise it with --limit points=N",
            )
        numbers = np.fromiter(map(len, d.segments), dtype=np.int64, count=count)
        wrong = np.flatnonzero((numbers != 2) & (numbers != 6))
        if wrong.size:
            i = int(wrong[0])
            raise self.refuse(
                f"{path}.segments[{i}]",
                f"{numbers[i]} numbers; a straight line has two, a cubic six",
            )
        flat = np.fromiter(chain.from_iterable(d.segments), dtype=np.float64)
        straight = numbers == 2
        last = np.cumsum(numbers)
        segments = np.empty((count, 4, 2))
        segments[:, 3, 0], segments[:, 3, 1] = flat[last - 2], flat[last - 1]
        segments[0, 0] = d.start
        segments[1:, 0] = segments[:-1, 3]
        first = last[~straight] - 6
        segments[~straight, 1:3] = flat[first[:, None] + np.arange(4)].reshape(-1, 2, 2)
        segments[straight] = line_segments(segments[straight, 0], segments[straight, 3])
        kinds = np.where(straight, LINE, CUBIC).astype(np.uint8)
        try:
            return Curve.from_segments(segments, kinds, closed=d.closed)
        except GeometryError as error:
            raise self.refuse(path, str(error)) from None

    def seam(self, d: doc.Seam, i: int) -> model.Seam:
        try:
            ease = (
                None
                if d.ease is None
                else model.Ease(at_least=d.ease.at_least, at_most=d.ease.at_most)
            )
        except ValueError as error:
            raise self.refuse(f"$.seams[{i}].ease", str(error), seam=d.name) from None
        return model.Seam(
            name=d.name, sew=_run(d.sew), to=_run(d.to), ease=ease, meet=d.meet, cap=d.cap
        )

    def rules(self, d: doc.GradeRules) -> model.GradeRules:
        offsets: dict[int, FloatArray] = {}
        for i, rule in enumerate(d.rules):
            if rule.rule in offsets:
                raise self.refuse(
                    f"$.grade_rules.rules[{i}].rule", f"rule {rule.rule} is there already"
                )
            offsets[rule.rule] = np.array(rule.offsets, dtype=np.float64).reshape(-1, 2)
        try:
            return model.GradeRules(
                name=d.name,
                author=d.author,
                date=d.date,
                sizes=d.sizes,
                base_size=d.base_size,
                offsets=offsets,
            )
        except ValueError as error:
            raise self.refuse("$.grade_rules", str(error)) from None


def _run(parts: tuple[doc.RunPart, ...]) -> model.Run:
    return model.Run(parts=tuple(model.RunPart(piece=p.piece, marks=p.marks) for p in parts))


def _foreign(fragments: tuple[doc.Foreign, ...]) -> tuple[model.Foreign, ...]:
    return tuple(model.Foreign(format=f.format, where=f.where, data=f.data) for f in fragments)
