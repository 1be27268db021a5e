"""The sizes that are drawn, held against the grade rules."""

from __future__ import annotations

import numpy as np

from seamwright.geometry import FloatArray, Station
from seamwright.model import GradePoint, GradeRules, LineRole, Pattern, Piece, Shape
from seamwright.plugins.api import Context, Finding, Severity, StepResult

from .axes import axes_of, to_drawing
from .grade import grade_piece
from .options import CheckGrade


def run(pattern: Pattern, options: CheckGrade, ctx: Context) -> StepResult:
    """Every graded point in every drawn size against its rule; see the page."""
    rules = pattern.grade_rules
    if rules is None or not rules.offsets:
        finding = Finding(
            code="grade.no-rules",
            severity=Severity.WARNING,
            message="the pattern has no grade rules; no size was held against them",
            hint="put the rule table beside the drawing",
        )
        return StepResult(pattern=pattern, findings=(finding,), skipped="no grade rules")
    findings: list[Finding] = []
    looked = 0
    worst = 0.0
    for piece in pattern.pieces:
        if rules.base_size not in piece.sizes:
            continue
        count, off = _piece(piece, rules, options, ctx, findings)
        looked += count
        worst = max(worst, off)
    skipped = "" if looked else "no piece has graded points and another size that is drawn"
    return StepResult(
        pattern=pattern,
        findings=tuple(findings),
        looked_at=looked,
        skipped=skipped,
        figures={"points": looked, "largest_deviation": worst},
    )


def _piece(
    piece: Piece, rules: GradeRules, options: CheckGrade, ctx: Context, findings: list[Finding]
) -> tuple[int, float]:
    base = piece.in_size(rules.base_size)
    points = [p for p in base.grade_points if p.station is not None]
    known = [p for p in points if p.rule in rules.offsets]
    for number in sorted({p.rule for p in points} - set(rules.offsets)):
        findings.append(
            Finding(
                code="grade.rule-missing",
                severity=Severity.ERROR,
                message=f"the rule table does not hold # {number}",
                piece=piece.name,
                size=base.size,
                hint="look at the numbers on the piece and in the table",
            )
        )
    drawn = [s for s in piece.shapes if s.size != base.size and s.size in rules.sizes]
    if not known or not drawn:
        return 0, 0.0
    x_axis, _ = axes_of(base, options.axes)
    starts = np.stack([_place(base, p) for p in known])
    worst = 0.0
    looked = 0
    for shape in drawn:
        row = rules.sizes.index(shape.size)
        moves = to_drawing(np.stack([rules.offsets[p.rule][row] for p in known]), x_axis)
        wanted = starts + moves
        found = _partners(base, shape, known, wanted)
        off = np.hypot(*(found - wanted).T)
        looked += len(known)
        worst = max(worst, float(off.max()))
        for i in np.flatnonzero(off > float(options.tolerance)).tolist():
            real = to_axes(found[i] - starts[i], x_axis)
            rule = rules.offsets[known[i].rule][row]
            findings.append(
                Finding(
                    code="grade.off-rule",
                    severity=Severity.ERROR,
                    message=f"the point of # {known[i].rule} lies {ctx.length(float(off[i]))} off "
                    f"its rule: it moves by {real[0]:.2f}, {real[1]:.2f} mm, the rule says "
                    f"{rule[0]:.2f}, {rule[1]:.2f} mm",
                    piece=piece.name,
                    size=shape.size,
                    x=float(found[i, 0]),
                    y=float(found[i, 1]),
                    measured=float(off[i]),
                    limit=float(options.tolerance),
                    hint="look which of the two is right",
                )
            )
    _between(piece, rules, drawn, options, ctx, findings)
    return looked, worst


def to_axes(move: FloatArray, x_axis: FloatArray) -> tuple[float, float]:
    """A movement along the axes of the rules."""
    return float(move @ x_axis), float(move @ np.array([-x_axis[1], x_axis[0]]))


def _place(shape: Shape, point: GradePoint) -> FloatArray:
    curve = shape.seam_line
    if point.line is LineRole.CUT and shape.cut_line is not None:
        curve = shape.cut_line
    assert point.station is not None
    return curve.point_of(Station(*point.station))


def _partners(
    base: Shape, shape: Shape, points: list[GradePoint], wanted: FloatArray
) -> FloatArray:
    """Where each graded point is in another size: the same corner, else the same joint, else the
    joint nearest to where it should be."""
    out = np.empty_like(wanted)
    corners = {c.station: i for i, c in enumerate(base.corners)}
    same_corners = len(base.corners) == len(shape.corners)
    for i, point in enumerate(points):
        assert point.station is not None
        line, other = base.seam_line, shape.seam_line
        if point.line is LineRole.CUT and base.cut_line is not None and shape.cut_line is not None:
            line, other = base.cut_line, shape.cut_line
        elif same_corners and point.station in corners:
            out[i] = other.point_of(shape.corners[corners[point.station]].station)
            continue
        if line.n == other.n:
            out[i] = other.point_of(Station(*point.station))
        else:
            joints = other.joints
            out[i] = joints[int(np.hypot(*(joints - wanted[i]).T).argmin())]
    return out


def _between(
    piece: Piece, rules: GradeRules, drawn: list[Shape], options: CheckGrade, ctx: Context,
    findings: list[Finding],
) -> None:  # fmt: skip
    """Outlines against the graded ones, where the points themselves are right."""
    told = {(f.piece, f.size) for f in findings if f.code == "grade.off-rule"}
    sizes = [s.size for s in drawn if (piece.name, s.size) not in told]
    if not sizes:
        return
    aside: list[Finding] = []
    graded = grade_piece(piece, rules, sizes, options.axes, aside)
    if graded is None:
        return
    for made in graded.shapes:
        real = piece.in_size(made.size).seam_line
        near = made.seam_line.nearest(real.joints)
        k = int(near.distances.argmax())
        off = float(near.distances[k])
        if off > float(options.between):
            x, y = real.joints[k]
            findings.append(
                Finding(
                    code="grade.off-between",
                    severity=Severity.WARNING,
                    message=f"between its graded points the outline lies up to {ctx.length(off)} "
                    "from the graded one",
                    piece=piece.name,
                    size=made.size,
                    x=float(x),
                    y=float(y),
                    measured=off,
                    limit=float(options.between),
                    hint="look at the curve in that size",
                )
            )
