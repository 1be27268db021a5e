"""Every size of the rule table made from the base size."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray

from seamwright.geometry import LINE, Curve, FloatArray, Station, line_segments
from seamwright.model import (
    Corner,
    DrillHole,
    GradePoint,
    GradeRules,
    GrainLine,
    InternalKind,
    InternalLine,
    LineRole,
    Pattern,
    Piece,
    Shape,
)
from seamwright.model.turning import with_joints
from seamwright.plugins.api import Context, Finding, Severity, StepResult

from .axes import axes_of, to_drawing
from .field import Moved, along_line, inside, unique_places
from .options import Axes, Grade

_AT = 0.02
"""mm; a graded place off the outline belongs to the joint, hole or line end this near."""
_RIGID = frozenset((InternalKind.GRADE_REFERENCE, InternalKind.ALTERNATE_GRADE_REFERENCE))


def run(pattern: Pattern, options: Grade, ctx: Context) -> StepResult:
    """Grade every piece; see the page."""
    rules = pattern.grade_rules
    findings: list[Finding] = []
    if rules is None or not rules.sizes:
        findings.append(_no_rules())
        return StepResult(pattern=pattern, findings=tuple(findings), skipped="no grade rules")
    made_sizes = list(rules.sizes)
    pieces = []
    drawn_sizes: set[str] = set()
    largest = 0.0
    for piece in pattern.pieces:
        if rules.base_size not in piece.sizes:
            findings.append(_no_base(piece, rules))
            pieces.append(piece)
            continue
        keep = set(piece.sizes) if options.existing == "keep" else {rules.base_size}
        wanted = [s for s in rules.sizes if s not in keep or s == rules.base_size]
        graded = grade_piece(piece, rules, wanted, options.axes, findings)
        if graded is None:
            pieces.append(piece)
            continue
        drawn_sizes |= (set(piece.sizes) & set(rules.sizes)) - {rules.base_size}
        largest = max(largest, graded.largest)
        shapes = {s.size: s for s in piece.shapes}
        shapes.update({s.size: s for s in graded.shapes})
        order = [*made_sizes, *(s for s in piece.sizes if s not in made_sizes)]
        pieces.append(piece.but(shapes=tuple(shapes[s] for s in order if s in shapes)))
    if options.existing == "keep" and drawn_sizes:
        names = ", ".join(s for s in rules.sizes if s in drawn_sizes)
        findings.append(
            Finding(
                code="grade.kept",
                severity=Severity.NOTE,
                message=f"sizes {names} were drawn already and are kept as they are",
                hint='say existing = "replace" to grade them anew',
            )
        )
    sizes = (*made_sizes, *(s for s in pattern.sizes if s not in made_sizes))
    present = {s.size for p in pieces for s in p.shapes}
    result = pattern.but(pieces=tuple(pieces), sizes=tuple(s for s in sizes if s in present))
    return StepResult(
        pattern=result,
        findings=tuple(findings),
        looked_at=len(pattern.pieces),
        figures={"sizes": list(result.sizes), "largest_movement": largest},
    )


@dataclass(frozen=True, slots=True)
class Graded:
    """A piece in the wanted sizes; largest: how far a graded point moves at most, mm."""

    shapes: tuple[Shape, ...]
    largest: float
    moved: Moved


def grade_piece(
    piece: Piece, rules: GradeRules, sizes: list[str], axes: Axes, findings: list[Finding]
) -> Graded | None:
    """The piece in `sizes` by its rules; None where it cannot be graded, with the reason."""
    base = piece.in_size(rules.base_size)
    missing = sorted({p.rule for p in base.grade_points} - set(rules.offsets))
    if missing:
        names = ", ".join(f"# {n}" for n in missing)
        findings.append(
            Finding(
                code="grade.rule-missing",
                severity=Severity.ERROR,
                message=f"the rule table does not hold {names}; the piece is not graded",
                piece=piece.name,
                size=base.size,
                hint="look at the numbers on the piece and in the table",
            )
        )
        return None
    x_axis, source = axes_of(base, axes)
    findings.append(
        Finding(
            code="grade.axes",
            severity=Severity.NOTE,
            message=f"the x of its rules counts along {source}",
            piece=piece.name,
        )
    )
    if not base.grade_points:
        findings.append(
            Finding(
                code="grade.no-points",
                severity=Severity.WARNING,
                message="no point of the piece has a rule; it is the same in every size",
                piece=piece.name,
                hint="look whether it should grow",
            )
        )
    rows = [rules.sizes.index(s) for s in sizes]
    base = jointed(base)
    seam = _moved(base, LineRole.SEAM, rules, rows, x_axis, piece.name, findings)
    cut = _moved(base, LineRole.CUT, rules, rows, x_axis, piece.name, findings)
    if not seam.at.size and cut is not None and cut.at.size:
        seam = _follow(base.seam_line, cut)
    seam_lines = seam.curves()
    cut_lines: list[Curve] | None = None
    if base.cut_line is not None:
        own = cut is not None and cut.at.size > 0
        cut_lines = cut.curves() if cut is not None and own else _followed(base.cut_line, seam)
    contents = _Contents(base, seam, rules, rows, x_axis)
    base_crossed = _crossing(base.seam_line) is not None
    shapes = []
    for z, size in enumerate(sizes):
        if size == base.size:
            shapes.append(base)
            continue
        line = seam_lines[z]
        place = _crossing(line)
        if place is not None and not base_crossed:
            findings.append(
                Finding(
                    code="grade.crossed",
                    severity=Severity.ERROR,
                    message="the graded outline crosses itself",
                    piece=piece.name,
                    size=size,
                    x=place[0],
                    y=place[1],
                    hint="look at the rules of the points there",
                )
            )
        shapes.append(
            base.but(
                size=size,
                seam_line=line,
                cut_line=None if cut_lines is None else cut_lines[z],
                grade_points=(),
                foreign=(),
                **contents.in_size(z),
            )
        )
    largest = float(np.hypot(*np.moveaxis(seam.moves, -1, 0)).max(initial=0.0))
    return Graded(tuple(shapes), largest, seam)


def _crossing(line: Curve) -> tuple[float, float] | None:
    """Where an outline (flattened to 0.05 mm) crosses itself, None where it does not."""
    ring = line.flatten(0.05)
    if len(ring) < 3:
        return None
    polygon = shapely.Polygon(ring)
    if polygon.is_valid:
        return None
    found = re.search(r"\[(\S+) (\S+)\]", shapely.is_valid_reason(polygon))
    return (float(found[1]), float(found[2])) if found else (float(ring[0, 0]), float(ring[0, 1]))


def jointed(shape: Shape) -> Shape:
    """The shape with a joint of the seam line at each graded point on it."""
    places = [
        p.station
        for p in shape.grade_points
        if p.station is not None and p.line is LineRole.SEAM and p.station.t > 0.0
    ]
    if not places:
        return shape
    line, move = with_joints(shape.seam_line, places)
    if line is shape.seam_line:
        return shape
    return shape.but(
        seam_line=line,
        corners=tuple(Corner(name=c.name, station=move(c.station)) for c in shape.corners),
        notches=tuple(
            n if n.line is LineRole.CUT else replace(n, station=move(n.station))
            for n in shape.notches
        ),
        darts=tuple(replace(d, left=move(d.left), right=move(d.right)) for d in shape.darts),
        curve_points=tuple(move(s) for s in shape.curve_points),
        grade_points=tuple(
            replace(p, station=move(p.station))
            if p.station is not None and p.line is LineRole.SEAM
            else p
            for p in shape.grade_points
        ),
    )


def _moved(
    shape: Shape, role: LineRole, rules: GradeRules, rows: list[int], x_axis: FloatArray,
    piece: str, findings: list[Finding],
) -> Moved:  # fmt: skip
    """The movement of one line by the graded points on it."""
    curve = shape.seam_line if role is LineRole.SEAM else shape.cut_line
    points = [p for p in shape.grade_points if p.station is not None and p.line is role]
    if curve is None:
        return Moved(shape.seam_line, np.empty(0), np.zeros((len(rows), 0, 2)))
    if not points:
        return Moved(curve, np.empty(0), np.zeros((len(rows), 0, 2)))
    stations = [p.station for p in points if p.station is not None]
    at = curve.lengths_of([s.segment for s in stations], [s.t for s in stations])
    order = np.argsort(at, kind="stable")
    fresh = unique_places(at[order], curve.length)
    _say_twice([points[i] for i in order.tolist()], fresh, piece, shape, curve, findings)
    chosen = order[fresh]
    offsets = np.stack([rules.offsets[points[i].rule][rows] for i in chosen.tolist()], axis=1)
    return Moved(curve, at[chosen], to_drawing(offsets, x_axis))


def _say_twice(
    points: list[GradePoint], fresh: NDArray[np.bool_], piece: str, shape: Shape, curve: Curve,
    findings: list[Finding],
) -> None:  # fmt: skip
    for i in np.flatnonzero(~fresh).tolist():
        first = points[i - 1] if i else points[-1]
        if first.rule == points[i].rule:
            continue
        station = points[i].station
        assert station is not None
        x, y = curve.point_of(Station(*station))
        findings.append(
            Finding(
                code="grade.two-rules",
                severity=Severity.WARNING,
                message=f"# {first.rule} and # {points[i].rule} stand at one point; the first "
                "counts",
                piece=piece,
                size=shape.size,
                x=float(x),
                y=float(y),
                hint="take one of the numbers away",
            )
        )


def _follow(curve: Curve, leader: Moved) -> Moved:
    """A curve whose joints move as the nearest places of another do."""
    near = leader.curve.nearest(curve.joints)
    return Moved(curve, curve.cumulative[:-1].copy(), leader.along(near.lengths))


def _followed(curve: Curve, leader: Moved) -> list[Curve]:
    """The cut line in every size: every control point moves with the nearest place of the seam
    line, so that an allowance keeps its width where the seam moves as a whole."""
    flat = curve.segments.reshape(-1, 2)
    moves = leader.along(leader.curve.nearest(flat).lengths)
    out = []
    for move in moves:
        segments = (flat + move).reshape(curve.segments.shape)
        segments[:, 3] = np.roll(segments[:, 0], -1, axis=0)
        straight = curve.kinds == LINE
        segments[straight] = line_segments(segments[straight, 0], segments[straight, 3])
        out.append(Curve.from_segments(segments, curve.kinds, closed=True))
    return out


class _Contents:
    """What lies inside, and how it moves."""

    def __init__(
        self, base: Shape, seam: Moved, rules: GradeRules, rows: list[int], x_axis: FloatArray
    ) -> None:
        self.base = base
        self.polygon, self.moves = seam.polygon()
        self.places = np.array([p.at for p in base.grade_points if p.at is not None]).reshape(-1, 2)
        own = [rules.offsets[p.rule][rows] for p in base.grade_points if p.at is not None]
        self.own = to_drawing(np.stack(own, axis=1), x_axis) if own else np.zeros((len(rows), 0, 2))
        self.lines = [self._line(line) for line in base.internal_lines]
        self.holes = self._points([h.at for h in base.drill_holes])
        self.texts = self._points([t.at for t in base.texts])
        self.apexes = self._points([d.apex for d in base.darts])
        grain = base.grain_line
        middle = [] if grain is None else [tuple(np.add(grain.start, grain.end) / 2.0)]
        self.grain = inside(np.array(middle).reshape(-1, 2), self.polygon, self.moves)

    def _graded(self, place: FloatArray) -> int:
        """The graded place at a point, -1 for none."""
        if not len(self.places):
            return -1
        away = np.hypot(*(self.places - place).T)
        k = int(away.argmin())
        return k if away[k] <= _AT else -1

    def _points(self, places: list[tuple[float, float]]) -> FloatArray:
        """Movements (Z, N, 2): by the own rule where there is one, else with the outline."""
        xy = np.array(places, dtype=np.float64).reshape(-1, 2)
        out = inside(xy, self.polygon, self.moves)
        for i, place in enumerate(xy):
            k = self._graded(place)
            if k >= 0:
                out[:, i] = self.own[:, k]
        return out

    def _line(self, line: InternalLine) -> list[InternalLine]:
        """An inner line in every size."""
        curve = line.curve
        if line.kind in _RIGID:
            middle = (curve.start + curve.end) / 2.0
            moves = inside(middle[None], self.polygon, self.moves)[:, 0]
            return [replace(line, curve=curve.translated(*m)) for m in moves.tolist()]
        graded = [(j, self._graded(p)) for j, p in enumerate(curve.joints)]
        graded = [(j, k) for j, k in graded if k >= 0]
        if graded and not curve.closed:
            joints = np.array([j for j, _ in graded])
            joint_moves, handles = along_line(curve, joints, self.own[:, [k for _, k in graded]])
            moves = np.stack(
                (joint_moves[:, :-1], handles[:, 0], handles[:, 1], joint_moves[:, 1:]), axis=2
            )
        elif graded:
            at = curve.cumulative[np.array([j for j, _ in graded])]
            moved = Moved(curve, at, self.own[:, [k for _, k in graded]])
            return [replace(line, curve=c) for c in moved.curves()]
        else:
            flat = inside(curve.segments.reshape(-1, 2), self.polygon, self.moves)
            moves = flat.reshape(flat.shape[0], *curve.segments.shape)
        return [replace(line, curve=_shifted(curve, m)) for m in moves]

    def in_size(self, z: int) -> dict[str, Any]:
        """The fields of the shape in one size."""
        base = self.base
        grain = base.grain_line
        if grain is not None:
            dx, dy = self.grain[z, 0].tolist()
            grain = GrainLine(
                start=(grain.start[0] + dx, grain.start[1] + dy),
                end=(grain.end[0] + dx, grain.end[1] + dy),
            )
        return {
            "grain_line": grain,
            "internal_lines": tuple(line[z] for line in self.lines),
            "drill_holes": tuple(
                DrillHole(at=_by(h.at, m), diameter=h.diameter, name=h.name, category=h.category)
                for h, m in zip(base.drill_holes, self.holes[z], strict=True)
            ),
            "texts": tuple(
                replace(t, at=_by(t.at, m)) for t, m in zip(base.texts, self.texts[z], strict=True)
            ),
            "darts": tuple(
                replace(d, apex=_by(d.apex, m))
                for d, m in zip(base.darts, self.apexes[z], strict=True)
            ),
        }


def _by(point: tuple[float, float], move: FloatArray) -> tuple[float, float]:
    return (float(point[0] + move[0]), float(point[1] + move[1]))


def _shifted(curve: Curve, moves: FloatArray) -> Curve:
    """A curve with its control points (K, 4, 2) moved."""
    segments = curve.segments + moves
    segments[1:, 0] = segments[:-1, 3]
    if curve.closed:
        segments[0, 0] = segments[-1, 3]
    straight = curve.kinds == LINE
    segments[straight] = line_segments(segments[straight, 0], segments[straight, 3])
    return Curve.from_segments(segments, curve.kinds, closed=curve.closed)


def _no_rules() -> Finding:
    return Finding(
        code="grade.no-rules",
        severity=Severity.ERROR,
        message="the pattern has no grade rules",
        hint="put the rule table beside the drawing, or derive rules from a nest",
    )


def _no_base(piece: Piece, rules: GradeRules) -> Finding:
    return Finding(
        code="grade.no-base",
        severity=Severity.ERROR,
        message=f"the piece is not drawn in {rules.base_size}, the size that the rules start from",
        piece=piece.name,
        size=rules.base_size,
        hint="look at the sample size of table and drawing",
    )
