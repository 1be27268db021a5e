"""One Shape for each group of a drawing that follows the standard's layers."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from itertools import repeat

import numpy as np
from numpy.typing import NDArray

from seamwright.geometry import Station
from seamwright.model import (
    Corner,
    DrillHole,
    Foreign,
    GradePoint,
    GrainLine,
    InternalKind,
    InternalLine,
    LineRole,
    Notch,
    SeamLineSource,
    Shape,
)
from seamwright.model.assemble import nearest_on_rings
from seamwright.numbers import fixed
from seamwright.plugins.api import Finding, Severity

from ..drawing.content import Content
from ..drawing.points import Points
from ..drawing.strokes import Strokes
from . import layers as std
from .boundaries import Boundaries
from .forms import Form, forms_of, quick_curve
from .matching import Joints, Matches, joints_of, match
from .measures import round_line
from .notching import AngleMeaning, Candidates, DepthGroup, Lines, NotchFacts, candidates, place
from .wording import GradeMark, GroupWords

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]

POINT_TOLERANCE = 0.02
"""mm; a point of layers 2 and 3 lies on its vertex but for twice the rounding to 2 decimals."""


@dataclass(slots=True)
class Wishes:
    """The reader's options that matter here."""

    snap: float = 10.0
    corner_threshold: float = 20.0
    depth_group: DepthGroup = "auto"
    angles: AngleMeaning = "auto"
    said_seam: set[int] = field(default_factory=set)


@dataclass(slots=True)
class Shaping:
    """What comes out: a shape for each group that has an outline, the rows that found no home."""

    shapes: dict[int, Shape]
    findings: list[Finding] = field(default_factory=list)


def shapes_of(
    content: Content,
    bounds: Boundaries,
    point_role: IntArray,
    *,
    names: list[str],
    sizes: list[str],
    layer_names: list[str],
    words: Mapping[int, GroupWords],
    grade_marks: list[GradeMark],
    notch_facts: Mapping[int, NotchFacts],
    drill_categories: Mapping[int, int],
    wishes: Wishes,
) -> Shaping:
    """Shapes by group; point_role (N,) are the standard's layer numbers of the points."""
    out = Shaping({})
    strokes, role, points = bounds.strokes, bounds.role, content.points
    joints = joints_of(strokes)
    turn, curve_point, loose = _marks(points, point_role, joints, out.findings)
    groups = np.flatnonzero(bounds.boundary >= 0).tolist()
    outline = [int(max(bounds.seam[g], -1)) for g in groups]
    outline = [
        s if s >= 0 else int(bounds.boundary[g]) for s, g in zip(outline, groups, strict=True)
    ]
    cut = {g: int(bounds.boundary[g]) for g in groups if bounds.seam[g] >= 0}
    forms = forms_of(strokes, outline, turn, curve_point, joints.offsets, wishes.corner_threshold)
    cut_forms = dict(
        zip(
            cut,
            forms_of(
                strokes, list(cut.values()), np.zeros_like(turn), np.zeros_like(turn),
                joints.offsets, 181.0,
            ),
            strict=True,
        )
    )  # fmt: skip
    used = np.zeros(strokes.n, dtype=bool)
    used[outline] = True
    used[list(cut.values())] = True
    lines = [
        Lines(g, LineRole.SEAM, f.curve, f.straight) for g, f in zip(groups, forms, strict=True)
    ]
    lines += [Lines(g, LineRole.CUT, f.curve, f.straight) for g, f in cut_forms.items()]
    outlines = {
        g: strokes.segments[int(strokes.offsets[s]) : int(strokes.offsets[s + 1]), 0]
        for g, s in ((g, cut.get(g, s)) for g, s in zip(groups, outline, strict=True))
    }
    found = candidates(
        points, point_role, strokes, role, used, outlines, wishes.depth_group, out.findings
    )
    notches = place(
        found, lines, snap=wishes.snap, angles=wishes.angles, facts=notch_facts, names=names,
        sizes=sizes,
    )  # fmt: skip
    out.findings += notches.findings
    foreign: dict[int, list[Foreign]] = {}
    _keep_loose(points, loose, point_role, layer_names, names, sizes, foreign, out.findings)
    _keep_astray(found, notches.astray, names, sizes, foreign, out.findings, wishes.snap)
    _keep_cut_points(strokes, cut, turn, curve_point, joints, foreign)
    grades = _grade_points(grade_marks, joints, dict(zip(groups, outline, strict=True)),
                           dict(zip(groups, forms, strict=True)), cut, cut_forms)  # fmt: skip
    holes = _drill_holes(points, point_role, drill_categories)
    _circles_as_holes(strokes, role, used, holes)
    _other_points(points, point_role, layer_names, foreign)
    inside = _internal_lines(strokes, role, used, layer_names, turn, curve_point, joints, names,
                             sizes, out.findings)  # fmt: skip
    for g, s, form in zip(groups, outline, forms, strict=True):
        internal, grain, half = inside.get(g, ((), None, False))
        out.shapes[g] = Shape(
            size=sizes[g],
            seam_line=form.curve,
            cut_line=cut_forms[g].curve if g in cut_forms else None,
            corners=_corners(form.corners),
            notches=_numbered(notches.notches.get(g, []), form, cut_forms.get(g)),
            grain_line=grain,
            internal_lines=internal,
            drill_holes=tuple(holes.get(g, ())),
            texts=tuple(words[g].texts) if g in words else (),
            grade_points=tuple(grades.get(g, ())),
            curve_points=tuple(map(Station, form.curve_points.tolist(), repeat(0.0))),
            seam_line_source=_source(
                g in cut_forms or int(role[s]) == std.SEW or g in wishes.said_seam
            ),
            mirrored_half=half and _on_outline(internal, form),
            flags=tuple(words[g].flags) if g in words else (),
            foreign=(*foreign.get(g, ()), *(words[g].kept if g in words else ())),
        )
    return out


def _source(known: bool) -> SeamLineSource:
    return SeamLineSource.FILE if known else SeamLineSource.CUT_LINE


def _marks(
    points: Points, role: IntArray, joints: Joints, findings: list[Finding]
) -> tuple[NDArray[np.bool_], NDArray[np.bool_], IntArray]:
    """Turn and curve marks on the joints; points that fit none."""
    at = np.flatnonzero((role == std.TURN_POINTS) | (role == std.CURVE_POINTS))
    found = match(points.xy[at], points.group[at], joints, POINT_TOLERANCE)
    loose = at[found.loose]
    pairs = [found]
    if loose.size:
        near = match(points.xy[loose], points.group[loose], joints, 1.0)
        near = _nearest_only(near)
        if near.point.size:
            findings.append(
                Finding(
                    code="point.off-vertex",
                    severity=Severity.NOTE,
                    message=f"{near.point.size} turn and curve points lie up to "
                    f"{near.distance.max():.3f} mm beside their vertex; they are put on it",
                    measured=float(near.distance.max()),
                    limit=POINT_TOLERANCE,
                    repaired=True,
                )
            )
        position = np.searchsorted(at, loose)
        pairs.append(Matches(position[near.point], near.joint, near.distance, near.loose))
        loose = loose[near.loose]
    count = int(joints.offsets[-1])
    turn, curve = np.zeros(count, bool), np.zeros(count, bool)
    for matches in pairs:
        is_turn = role[at[matches.point]] == std.TURN_POINTS
        turn[matches.joint[is_turn]] = True
        curve[matches.joint[~is_turn]] = True
    for marks in (turn, curve):
        # Of a vertex that is repeated on the spot the first one is marked.
        again = np.flatnonzero(marks[1:] & marks[:-1]) + 1
        same = (joints.xy[again] == joints.xy[again - 1]).all(axis=1)
        same &= joints.stroke[again] == joints.stroke[again - 1]
        marks[again[same]] = False
    return turn, curve, loose


def _nearest_only(found: Matches) -> Matches:
    order = np.lexsort((found.distance, found.point))
    first = np.ones(order.size, dtype=bool)
    first[1:] = np.diff(found.point[order]) != 0
    keep = order[first]
    return Matches(found.point[keep], found.joint[keep], found.distance[keep], found.loose)


def _corners(joints: IntArray) -> tuple[Corner, ...]:
    return tuple(
        Corner(name=f"corner-{i}", station=Station(j, 0.0))
        for i, j in enumerate(joints.tolist(), start=1)
    )


def _numbered(found: list[Notch], form: Form, cut: Form | None) -> tuple[Notch, ...]:
    if not found:
        return ()

    def key(notch: Notch) -> tuple[int, float]:
        curve = form.curve
        if notch.line is LineRole.CUT and cut is not None:
            curve = cut.curve
        s = notch.station
        at = float(curve.cumulative[s.segment])
        if s.t:
            if curve.kinds[s.segment] == 0:
                at += s.t * float(curve.segment_lengths[s.segment])
            else:
                at = curve.length_of(s)
        return (1 if notch.line is LineRole.CUT else 0, at)

    ordered = sorted(found, key=key)
    return tuple(replace(n, name=f"notch-{number}") for number, n in enumerate(ordered, start=1))


def points_text(xy: FloatArray) -> str:
    """Places as foreign data: "x y; x y"."""
    return "; ".join(f"{fixed(x)} {fixed(y)}" for x, y in xy.tolist())


def _keep_loose(
    points: Points, loose: IntArray, role: IntArray, layer_names: list[str], names: list[str],
    sizes: list[str], foreign: dict[int, list[Foreign]], findings: list[Finding],
) -> None:  # fmt: skip
    """Turn and curve points that fit no vertex, kept as they are."""
    for group in np.unique(points.group[loose]).tolist():
        mine = loose[points.group[loose] == group]
        for number in np.unique(role[mine]).tolist():
            chosen = mine[role[mine] == number]
            foreign.setdefault(group, []).append(
                Foreign(format="dxf", where=f"points on layer {number}",
                        data=points_text(points.xy[chosen]))
            )  # fmt: skip
        first = points.xy[mine[0]]
        findings.append(
            Finding(
                code="point.astray",
                severity=Severity.WARNING,
                message=f"{mine.size} turn or curve points lie on no vertex of any line",
                piece=names[group],
                size=sizes[group],
                x=float(first[0]),
                y=float(first[1]),
                hint="they are kept aside; look whether a line is missing",
            )
        )


def _keep_astray(
    found: Candidates, astray: list[int], names: list[str], sizes: list[str],
    foreign: dict[int, list[Foreign]], findings: list[Finding], snap: float,
) -> None:  # fmt: skip
    for i in astray:
        group, number = int(found.group[i]), int(found.number[i])
        foreign.setdefault(group, []).append(
            Foreign(format="dxf", where=f"points on layer {number}",
                    data=points_text(found.xy[i : i + 1]))
        )  # fmt: skip
        findings.append(
            Finding(
                code="notch.astray",
                severity=Severity.WARNING,
                message=f"a notch lies more than {snap:g} mm from the outline; it is kept aside",
                piece=names[group],
                size=sizes[group],
                x=float(found.xy[i, 0]),
                y=float(found.xy[i, 1]),
                limit=snap,
                hint="look whether it belongs to another piece",
            )
        )


def _keep_cut_points(
    strokes: Strokes, cut: dict[int, int], turn: NDArray[np.bool_], curve: NDArray[np.bool_],
    joints: Joints, foreign: dict[int, list[Foreign]],
) -> None:  # fmt: skip
    """Turn and curve points of a cut line: the model has corners on the seam line only."""
    for group, s in cut.items():
        part = slice(int(joints.offsets[s]), int(joints.offsets[s + 1]))
        for number, marks in ((std.TURN_POINTS, turn), (std.CURVE_POINTS, curve)):
            at = np.flatnonzero(marks[part])
            if at.size:
                foreign.setdefault(group, []).append(
                    Foreign(format="dxf", where=f"points on layer {number}",
                            data=points_text(joints.xy[part][at]))
                )  # fmt: skip


def _grade_points(
    marks: list[GradeMark], joints: Joints, outline: dict[int, int], forms: dict[int, Form],
    cut: dict[int, int], cut_forms: dict[int, Form],
) -> dict[int, list[GradePoint]]:  # fmt: skip
    out: dict[int, list[GradePoint]] = {}
    if not marks:
        return out
    xy = np.array([[m.x, m.y] for m in marks])
    group = np.array([m.group for m in marks])
    found = match(xy, group, joints, 1.0)
    by_mark: dict[int, list[tuple[float, int]]] = {}
    for p, j, d in zip(found.point.tolist(), found.joint.tolist(), found.distance.tolist(),
                       strict=True):  # fmt: skip
        by_mark.setdefault(p, []).append((d, j))
    for i, mark in enumerate(marks):
        near = by_mark.get(i, [])
        g = mark.group
        chosen = GradePoint(rule=mark.rule, at=(mark.x, mark.y), layer=mark.layer)
        for role, lines, shapes in (
            (LineRole.SEAM, outline, forms),
            (LineRole.CUT, cut, cut_forms),
        ):
            if g not in lines:
                continue
            mine = sorted((d, j) for d, j in near if int(joints.stroke[j]) == lines[g])
            if mine:
                number = joints.number(np.array([mine[0][1]]))
                station = Station(int(shapes[g].moved(number)[0]), 0.0)
                chosen = GradePoint(rule=mark.rule, station=station, line=role, layer=mark.layer)
                break
        else:
            if near:
                x, y = joints.xy[min(near)[1]]
                chosen = GradePoint(rule=mark.rule, at=(float(x), float(y)), layer=mark.layer)
            elif g in forms:
                on = forms[g].curve.nearest(np.array([[mark.x, mark.y]]))
                if on.distances[0] <= 0.1:
                    station = Station(int(on.segments[0]), float(on.ts[0]))
                    chosen = GradePoint(rule=mark.rule, station=station, layer=mark.layer)
        out.setdefault(g, []).append(chosen)
    return out


def _drill_holes(
    points: Points, role: IntArray, categories: Mapping[int, int]
) -> dict[int, list[DrillHole]]:
    """POINTs on layer 13: group 70 as category, group 39 as diameter (both from memory,
    unverified: the standard is reported to give a category as an integer, without saying where).
    """
    out: dict[int, list[DrillHole]] = {}
    for i in np.flatnonzero(role == std.DRILL).tolist():
        diameter = abs(float(points.thickness[i]))
        category = categories.get(int(points.row[i]), int(points.category[i]))
        out.setdefault(int(points.group[i]), []).append(
            DrillHole(
                at=(float(points.xy[i, 0]), float(points.xy[i, 1])),
                diameter=diameter or None,
                category=category if category >= 0 else None,
            )
        )
    return out


def _circles_as_holes(
    strokes: Strokes, role: IntArray, used: NDArray[np.bool_], holes: dict[int, list[DrillHole]]
) -> None:
    """A closed round line on layer 13 is a hole with its diameter."""
    for s in np.flatnonzero((role == std.DRILL) & strokes.closed).tolist():
        part = strokes.segments[int(strokes.offsets[s]) : int(strokes.offsets[s + 1])]
        found = round_line(part)
        if found is None:
            continue
        x, y, diameter = found
        used[s] = True
        holes.setdefault(int(strokes.group[s]), []).append(DrillHole(at=(x, y), diameter=diameter))


_FOLD_NEAR = 0.5  # mm; a mirror line this near the outline lies along it
_HOMES = frozenset((std.TURN_POINTS, std.CURVE_POINTS, std.DRILL, *std.NOTCHES))


def _other_points(
    points: Points, role: IntArray, layer_names: list[str], foreign: dict[int, list[Foreign]]
) -> None:
    """Points on layers that hold none by the standard, kept as they are."""
    at = np.flatnonzero(~np.isin(role, list(_HOMES)))
    for i in at.tolist():
        foreign.setdefault(int(points.group[i]), []).append(
            Foreign(format="dxf", where=f"points on layer {layer_names[int(points.layer[i])]}",
                    data=points_text(points.xy[i : i + 1]))
        )  # fmt: skip


def _internal_lines(
    strokes: Strokes, role: IntArray, used: NDArray[np.bool_], layer_names: list[str],
    turn: NDArray[np.bool_], curve_point: NDArray[np.bool_], joints: Joints, names: list[str],
    sizes: list[str], findings: list[Finding],
) -> dict[int, tuple[tuple[InternalLine, ...], GrainLine | None, bool]]:  # fmt: skip
    """Everything that is drawn inside, by group: lines, the grain line, whether a fold is there."""
    lines: dict[int, list[InternalLine]] = {}
    grain: dict[int, GrainLine] = {}
    folds: set[int] = set()
    referenced: set[int] = set()
    strange: dict[tuple[int, str], int] = {}
    offsets, joint_offsets = strokes.offsets.tolist(), joints.offsets.tolist()
    closed = strokes.closed.tolist()
    marked = _any_marks(turn | curve_point, joints.offsets)
    for s in np.flatnonzero(~used).tolist():
        group, number = int(strokes.group[s]), int(role[s])
        if group < 0:
            continue
        a, b = offsets[s], offsets[s + 1]
        if number == std.GRAIN and group not in grain:
            start, end = strokes.segments[a, 0], strokes.segments[b - 1, 3]
            grain[group] = GrainLine(
                start=(float(start[0]), float(start[1])), end=(float(end[0]), float(end[1]))
            )
            if b - a == 1:
                continue
        kind = std.LINES.get(number, InternalKind.INTERNAL)
        if number == std.GRADE_REFERENCE:
            kind = InternalKind.GRADE_REFERENCE
            if group in referenced:
                kind = InternalKind.ALTERNATE_GRADE_REFERENCE
            referenced.add(group)
        layer = layer_names[int(strokes.layer[s])]
        if number == std.BOUNDARY and closed[s]:
            kind = InternalKind.CUTOUT
        if number not in std.LINES and number not in (std.GRADE_REFERENCE, std.GRAIN):
            strange[(group, layer)] = strange.get((group, layer), 0) + 1
        if kind is InternalKind.FOLD:
            folds.add(group)
        turns: tuple[int, ...] = ()
        curves: tuple[int, ...] = ()
        if marked[s]:
            part = slice(joint_offsets[s], joint_offsets[s + 1])
            turns = tuple(np.flatnonzero(turn[part]).tolist())
            curves = tuple(np.flatnonzero(curve_point[part]).tolist())
        lines.setdefault(group, []).append(
            InternalLine(
                kind=kind,
                curve=quick_curve(strokes.segments[a:b], strokes.kinds[a:b], closed[s]),
                layer=layer,
                turn_points=turns,
                curve_points=curves,
            )
        )
    for (group, layer), count in strange.items():
        findings.append(
            Finding(
                code="dxf.layer",
                severity=Severity.NOTE,
                message=f'{count} lines on layer "{layer}" have no meaning by the standard; they '
                "are kept as internal lines",
                piece=names[group],
                size=sizes[group],
                hint="look whether they matter",
            )
        )
    every = {*lines, *grain}
    return {g: (tuple(lines.get(g, ())), grain.get(g), g in folds) for g in every}


def _any_marks(marks: NDArray[np.bool_], offsets: IntArray) -> list[bool]:
    total = np.concatenate(([0], np.cumsum(marks)))
    out: list[bool] = (total[offsets[1:]] > total[offsets[:-1]]).tolist()
    return out


def _on_outline(internal: tuple[InternalLine, ...], form: Form) -> bool:
    """Whether a fold line lies along the outline: then the outline is one half of the piece."""
    for line in internal:
        if line.kind is InternalKind.FOLD:
            a, b = line.curve.start, line.curve.end
            places = np.stack((a, b, (a + b) / 2.0))
            if form.straight:
                ring, n = np.zeros(3, np.int64), form.curve.n
                away = nearest_on_rings(
                    places, ring, form.curve.segments[:, 0], np.array([0, n])
                ).distance
            else:
                away = form.curve.nearest(places).distances
            if (away <= _FOLD_NEAR).all():
                return True
    return False
