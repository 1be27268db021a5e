"""Writing the document."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

import msgspec
import numpy as np

from seamwright import model
from seamwright.geometry import LINE, Curve, Station
from seamwright.plugins.api import Context, Part, SeamwrightError, WriteResult

from . import document as doc
from .layout import lines
from .options import JsonWrite


def write(pattern: model.Pattern, options: JsonWrite, ctx: Context) -> WriteResult:
    """The pattern as JSON, UTF-8. Raises SeamwrightError for a number that is not finite."""
    made = msgspec.to_builtins(document_of(pattern))
    _finite(made, "$")
    if options.layout == "compact":
        data = msgspec.json.encode(made) + b"\n"
    else:
        data = lines(made).encode("utf-8") + b"\n"
    return WriteResult(parts=(Part(data=data),))


def document_of(pattern: model.Pattern) -> doc.Pattern:
    """The pattern as the document's types."""
    return doc.Pattern(
        format="seamwright-pattern",
        version=1,
        name=pattern.name,
        sizes=pattern.sizes,
        base_size=pattern.base_size,
        pieces=tuple(_piece(piece) for piece in pattern.pieces),
        seams=tuple(_seam(seam) for seam in pattern.seams),
        grade_rules=None if pattern.grade_rules is None else _rules(pattern.grade_rules),
        notes=pattern.notes,
        foreign=_foreign(pattern.foreign),
    )


def _piece(piece: model.Piece) -> doc.Piece:
    return doc.Piece(
        name=piece.name,
        shapes=tuple(_shape(shape) for shape in piece.shapes),
        quantity=piece.quantity,
        material=piece.material,
        category=piece.category,
        foreign=_foreign(piece.foreign),
    )


def _shape(shape: model.Shape) -> doc.Shape:
    grain = shape.grain_line
    return doc.Shape(
        size=shape.size,
        seam_line=_curve(shape.seam_line),
        cut_line=None if shape.cut_line is None else _curve(shape.cut_line),
        corners=tuple(doc.Corner(name=c.name, station=_station(c.station)) for c in shape.corners),
        notches=tuple(_notch(notch) for notch in shape.notches),
        grain_line=(
            None
            if grain is None
            else doc.GrainLine(start=_point(grain.start), end=_point(grain.end))
        ),
        darts=tuple(
            doc.Dart(
                name=d.name, left=_station(d.left), right=_station(d.right), apex=_point(d.apex)
            )
            for d in shape.darts
        ),
        internal_lines=tuple(_internal(line) for line in shape.internal_lines),
        drill_holes=tuple(
            doc.DrillHole(
                at=_point(h.at),
                diameter=_maybe(h.diameter),
                name=h.name,
                category=h.category,
            )
            for h in shape.drill_holes
        ),
        texts=tuple(
            doc.Text(
                text=t.text,
                at=_point(t.at),
                height=float(t.height),
                rotation=float(t.rotation),
                role=t.role,
                layer=t.layer,
            )
            for t in shape.texts
        ),
        allowances=tuple(float(a) for a in shape.allowances),
        grade_points=tuple(
            doc.GradePoint(
                rule=g.rule,
                station=None if g.station is None else _station(g.station),
                at=None if g.at is None else _point(g.at),
                line=g.line,
                layer=g.layer,
            )
            for g in shape.grade_points
        ),
        curve_points=tuple(_station(s) for s in shape.curve_points),
        seam_line_source=shape.seam_line_source,
        mirrored_half=shape.mirrored_half,
        flags=shape.flags,
        foreign=_foreign(shape.foreign),
    )


def _notch(notch: model.Notch) -> doc.Notch:
    return doc.Notch(
        name=notch.name,
        station=_station(notch.station),
        type=notch.type,
        depth=_maybe(notch.depth),
        width=_maybe(notch.width),
        angle=_maybe(notch.angle),
        line=notch.line,
        distance=float(notch.distance),
        offset=_point(notch.offset),
    )


def _internal(line: model.InternalLine) -> doc.InternalLine:
    return doc.InternalLine(
        kind=line.kind,
        curve=_curve(line.curve),
        name=line.name,
        layer=line.layer,
        turn_points=tuple(int(n) for n in line.turn_points),
        curve_points=tuple(int(n) for n in line.curve_points),
    )


def _curve(curve: Curve) -> doc.Curve:
    """Handles of straight lines are not written: they stand at the thirds."""
    ends = curve.segments.reshape(curve.n, 8)[:, 2:].tolist()
    straight = (curve.kinds == LINE).tolist()
    return doc.Curve(
        closed=curve.closed,
        start=_point(curve.segments[0, 0].tolist()),
        segments=tuple(
            tuple(row[4:]) if line else tuple(row) for row, line in zip(ends, straight, strict=True)
        ),
    )


def _seam(seam: model.Seam) -> doc.Seam:
    def run(one: model.Run) -> tuple[doc.RunPart, ...]:
        return tuple(doc.RunPart(piece=p.piece, marks=p.marks) for p in one.parts)

    ease = seam.ease
    return doc.Seam(
        name=seam.name,
        sew=run(seam.sew),
        to=run(seam.to),
        ease=(
            None
            if ease is None
            else doc.Ease(at_least=float(ease.at_least), at_most=float(ease.at_most))
        ),
        meet=seam.meet,
        cap=seam.cap,
    )


def _rules(rules: model.GradeRules) -> doc.GradeRules:
    return doc.GradeRules(
        name=rules.name,
        author=rules.author,
        date=rules.date,
        sizes=rules.sizes,
        base_size=rules.base_size,
        rules=tuple(
            doc.GradeRule(rule=int(number), offsets=tuple(map(tuple, np.asarray(rows).tolist())))
            for number, rows in rules.offsets.items()
        ),
    )


def _foreign(fragments: tuple[model.Foreign, ...]) -> tuple[doc.Foreign, ...]:
    return tuple(doc.Foreign(format=f.format, where=f.where, data=f.data) for f in fragments)


def _station(station: Station) -> tuple[int, float]:
    return int(station.segment), float(station.t)


def _point(point: Any) -> tuple[float, float]:
    return float(point[0]), float(point[1])


def _maybe(value: float | None) -> float | None:
    return None if value is None else float(value)


def _finite(value: Any, path: str) -> None:
    """Refuses NaN and infinities, which JSON cannot hold."""
    if isinstance(value, float):
        if not math.isfinite(value):
            raise SeamwrightError.of(
                "json.not-finite",
                f"the pattern cannot be written as JSON: {path} is {value}, not a finite number",
                hint="look at the step or the file that this figure came from",
            )
    elif isinstance(value, Mapping):
        for name, inner in value.items():
            _finite(inner, f"{path}.{name}")
    elif isinstance(value, list | tuple):
        for i, inner in enumerate(value):
            _finite(inner, f"{path}[{i}]")
