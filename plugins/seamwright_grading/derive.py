"""Grade rules worked out from the sizes that are drawn."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from seamwright.geometry import FloatArray, Station
from seamwright.model import GradePoint, GradeRules, Pattern, Piece, Shape
from seamwright.plugins.api import Context, Finding, Severity, StepResult

from .alike import alike, cut_at_notches, grade_as_needed
from .axes import axes_of, to_rules
from .field import Moved
from .options import DeriveRules


@dataclass(slots=True)
class _Table:
    """Rules found so far: a new movement gets a number, a known one its own."""

    tolerance: float
    offsets: dict[int, FloatArray] = field(default_factory=dict)

    def number(self, offsets: FloatArray) -> int:
        """The number of a rule with these offsets (Z, 2)."""
        for number, known in self.offsets.items():
            if np.abs(known - offsets).max() <= self.tolerance:
                return number
        number = len(self.offsets) + 1
        self.offsets[number] = offsets
        return number


def run(pattern: Pattern, options: DeriveRules, ctx: Context) -> StepResult:
    """Rules for every piece that is drawn in all sizes; see the page."""
    if len(pattern.sizes) < 2:
        finding = Finding(
            code="derive.one-size",
            severity=Severity.WARNING,
            message="the pattern is drawn in one size only; rules say how sizes differ",
            hint="draw the nest",
        )
        return StepResult(pattern=pattern, findings=(finding,), skipped="one size only")
    findings: list[Finding] = []
    # Movements that differ by less than a hundredth of the tolerance are one rule.
    table = _Table(float(options.tolerance) / 100.0)
    pieces = []
    done = 0
    worst = 0.0
    for piece in pattern.pieces:
        found = _piece(piece, pattern, options, table, findings)
        if found is None:
            pieces.append(piece)
            continue
        points, off = found
        done += 1
        worst = max(worst, off)
        base = piece.in_size(pattern.base_size)
        shapes = tuple(
            s.but(grade_points=points)
            if s is base
            else s.but(grade_points=())
            if s.grade_points
            else s
            for s in piece.shapes
        )
        pieces.append(piece.but(shapes=shapes))
    if not done:
        return StepResult(
            pattern=pattern, findings=tuple(findings), skipped="no piece has alike sizes"
        )
    rules = GradeRules(
        name=options.name
        or (pattern.grade_rules.name if pattern.grade_rules else "")
        or pattern.name,
        author=pattern.grade_rules.author if pattern.grade_rules else "",
        date=pattern.grade_rules.date if pattern.grade_rules else "",
        sizes=pattern.sizes,
        base_size=pattern.base_size,
        offsets=table.offsets,
    )
    findings.append(
        Finding(
            code="derive.done",
            severity=Severity.NOTE,
            message=f"{len(table.offsets)} rules for {done} of {len(pattern.pieces)} pieces; "
            f"graded by them, nothing lies farther than {ctx.length(worst)} from where it is "
            "drawn",
            measured=worst,
        )
    )
    result = pattern.but(pieces=tuple(pieces), grade_rules=rules)
    return StepResult(
        pattern=result,
        findings=tuple(findings),
        looked_at=done,
        figures={"rules": len(table.offsets), "pieces": done, "largest_deviation": worst},
    )


def _piece(
    piece: Piece, pattern: Pattern, options: DeriveRules, table: _Table, findings: list[Finding]
) -> tuple[tuple[GradePoint, ...], float] | None:
    """Grade points of a piece, and how far its joints then lie from the nest at most."""
    shapes = _all_sizes(piece, pattern, findings)
    if shapes is None:
        return None
    base = piece.in_size(pattern.base_size)
    x_axis, source = axes_of(base, options.axes)
    findings.append(
        Finding(
            code="grade.axes",
            severity=Severity.NOTE,
            message=f"the x of its rules counts along {source}",
            piece=piece.name,
        )
    )
    nest = alike(base, shapes)
    if nest is not None:
        cut_at_notches(nest, base, shapes)
        if options.points == "as needed":
            grade_as_needed(nest, float(options.tolerance))
        moved = nest.moved()
        stations = [nest.origin[j] for j in sorted(nest.graded)]
        worst = float(max(part.max() for part in nest.off()))
    else:
        moved, stations = _by_corners(base, shapes)
        worst = _by_distance(moved, shapes)
    if worst > float(options.tolerance):
        findings.append(
            Finding(
                code="derive.not-proportional",
                severity=Severity.WARNING,
                message="between its graded points the nest lies up to "
                f"{worst:.3f} mm from where the rules put it",
                piece=piece.name,
                measured=worst,
                limit=float(options.tolerance),
                hint='say points = "as needed"'
                if nest is not None
                else "draw every size with as many points as the base size",
            )
        )
    points = tuple(
        GradePoint(rule=table.number(to_rules(moved.moves[:, i], x_axis)), station=station)
        for i, station in enumerate(stations)
    )
    return points, worst


def _all_sizes(piece: Piece, pattern: Pattern, findings: list[Finding]) -> list[Shape] | None:
    """The piece in every size of the pattern with the base size's corners, or None."""
    missing = [s for s in pattern.sizes if s not in piece.sizes]
    if missing:
        findings.append(
            Finding(
                code="derive.topology",
                severity=Severity.WARNING,
                message=f"the piece is not drawn in {', '.join(missing)}; it gets no rules",
                piece=piece.name,
                hint="draw the missing sizes",
            )
        )
        return None
    shapes = [piece.in_size(s) for s in pattern.sizes]
    wanted = len(piece.in_size(pattern.base_size).corners)
    odd = [s for s in shapes if len(s.corners) != wanted]
    for shape in odd:
        findings.append(
            Finding(
                code="derive.topology",
                severity=Severity.WARNING,
                message=f"{len(shape.corners)} corners in this size, {wanted} in the base size; "
                "the piece gets no rules",
                piece=piece.name,
                size=shape.size,
                measured=float(len(shape.corners)),
                limit=float(wanted),
                hint="mend the size",
            )
        )
    return None if odd else shapes


def _by_corners(base: Shape, shapes: list[Shape]) -> tuple[Moved, list[Station]]:
    """Movements of the corners alone, where nothing else can be compared."""
    curve = base.seam_line
    stations = [c.station for c in base.corners] or [Station(0, 0.0)]
    starts = curve.points_of([s.segment for s in stations], [s.t for s in stations])
    moves = []
    for shape in shapes:
        there = [c.station for c in shape.corners] or [Station(0, 0.0)]
        moves.append(
            shape.seam_line.points_of([s.segment for s in there], [s.t for s in there]) - starts
        )
    at = curve.lengths_of([s.segment for s in stations], [s.t for s in stations])
    order = np.argsort(at, kind="stable")
    return (
        Moved(curve, at[order], np.stack(moves)[:, order]),
        [stations[i] for i in order.tolist()],
    )


def _by_distance(moved: Moved, shapes: list[Shape]) -> float:
    """How far drawn outlines lie from graded ones where their points cannot be compared."""
    worst = 0.0
    for curve, shape in zip(moved.curves(), shapes, strict=True):
        worst = max(worst, float(curve.nearest(shape.seam_line.joints).distances.max()))
    return worst
