"""One shape cut through the bust point and put together again.

Four parts, each moved rigidly (common practice of slash and spread, no source; what moves by how
much is plane geometry). B is the bust point, u runs from it down the slash, w from it square to u
towards the side:

upper side   between the slash's end in the armhole (or shoulder) and the bust dart: turned about
             the slash's end until B has moved by `amount` along w
lower side   between the bust dart and the hem slash: moved with B, not turned, so that the banks
             of the slash below B are parallel and the dart opens by the angle of the turn
lower centre below the level line: moved along u as far as the lower side, so the hem is level
the rest     stays
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from seamwright.geometry import Curve, FloatArray, GeometryError, Station
from seamwright.model import Shape
from seamwright.model.edit import (
    Contents,
    Part,
    contents_of,
    hold_names,
    inside_of,
    part_between,
    part_of,
    release_names,
    shape_of_parts,
    turn_about,
    wedge_of,
)
from seamwright.model.marking import Dart, Point

_ON = 1e-6  # mm


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Places:
    """Where to cut: lengths along the seam line, mm; None for what is found from the point."""

    point: FloatArray
    slash: float
    dart: str
    side: float | None
    hem: float | None
    level: float | None
    dart_name: str


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Spread:
    """The new shape (without cut line) and what moved."""

    shape: Shape
    figures: dict[str, Any]


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class _Cuts:
    """Places as pairs in outline order: a dart's mouth has two ends, a place one."""

    side: tuple[float, float]
    side_dart: Dart | None
    hem: tuple[float, float]
    hem_dart: Dart | None
    down: FloatArray
    out: FloatArray
    level: float
    side_first: bool  # from the slash on, the outline comes to the side before the hem


def spread_bust(shape: Shape, places: Places, amount: float) -> Spread:
    """Full bust with a positive amount, small bust with a negative one, mm.

    GeometryError: a place is missing, the places do not follow one another round the piece, the
    slash is too short for the amount, or a small bust finds no dart, or too small a one.
    """
    held = hold_names(shape)
    seam = held.seam_line
    b = places.point
    if not (np.isfinite(b).all() and np.isfinite([places.slash, places.side or 0.0]).all()):
        raise GeometryError("a place is missing in this size")
    cuts = _cuts(held, places)
    if amount < 0.0 and cuts.side_dart is None:
        raise GeometryError(
            "a small bust needs a bust dart that can become smaller: name it as side"
        )
    n = seam.point_at(places.slash)
    turn = _turn(b - n, cuts.out, amount)
    about = turn_about(n, float(np.degrees(turn)))
    shift = about @ np.array([b[0], b[1], 1.0]) - b
    down = float(shift @ cuts.down)
    moves = {
        "upper": about,
        "lower": _moved(shift),
        "centre": _moved(down * cuts.down),
    }
    parts = _parts(held, places.slash, cuts)
    inside = _contents(held, parts, cuts, b)
    moved = {k: p.moved(moves[k]) if k in moves else p for k, p in parts.items()}
    name = cuts.side_dart.name if cuts.side_dart else places.dart_name
    dart = Dart(name=name, left=Station(0, 0.0), right=Station(0, 1.0), apex=_pair(b + shift))
    figures: dict[str, Any] = {
        "turned_degrees": float(np.degrees(turn)),
        "point_moved_out": float(shift @ cuts.out),
        "point_moved_down": down,
        "point_x": float(b[0] + shift[0]),
        "point_y": float(b[1] + shift[1]),
    }
    # In outline order, beginning at the slash's end.
    order = ["upper", "lower", "centre", "rest"]
    if not cuts.side_first:
        order = order[::-1]
    pieces = [moved[k] for k in order]
    if amount < 0.0 and cuts.hem_dart is None:
        pieces, figures["hem_jog"] = _trimmed(pieces, order, "lower", "centre", -amount / 2.0)
    if down < -_ON:
        pieces = _shortened(pieces, order, -down)
    chain: list[Part] = []
    for k, here in enumerate(order):
        chain.append(pieces[k])
        then = order[(k + 1) % 4]
        bridge = Curve.line(pieces[k].curve.end, pieces[(k + 1) % 4].curve.start)
        pair = {here, then}
        if pair == {"upper", "lower"}:
            chain.append(_mouth(bridge, dart))
        elif pair == {"lower", "centre"} and cuts.hem_dart is not None:
            apex = np.asarray(cuts.hem_dart.apex) + 0.5 * (shift + down * cuts.down)
            chain.append(_mouth(bridge, replace(cuts.hem_dart, apex=_pair(apex))))
        elif bridge.length > 1e-9:
            chain.append(Part(curve=bridge))
        else:
            chain[-1] = _ending_at(chain[-1], bridge.end)
    joined = inside["rest"]
    for key in ("centre", "upper", "lower"):
        joined = joined.with_(inside[key].moved(moves[key]))
    made = release_names(shape_of_parts(held, chain, joined, new_corners=False), shape)
    return _checked(shape, made, dart, amount, figures)


def _checked(old: Shape, made: Shape, dart: Dart, amount: float, figures: dict[str, Any]) -> Spread:
    new = next(d for d in made.darts if d.name == dart.name)
    w = wedge_of(made, new)
    if not 0.0 < w.angle < 120.0:
        raise GeometryError(
            "the bust dart is not large enough to take up the change: a smaller amount"
            if amount < 0.0
            else "the bust dart would open by more than 120 degrees, or the wrong way"
        )
    for each in made.darts:
        if wedge_of(made, each).angle <= 0.0:
            raise GeometryError(f'dart "{each.name}" is too small to take up the change')
    if len(made.seam_line.self_intersections().own):
        raise GeometryError("the parts would lie over one another")
    was = next((d for d in old.darts if d.name == dart.name), None)
    figures |= {
        "dart": dart.name,
        "dart_angle_before": 0.0 if was is None else wedge_of(old, was).angle,
        "dart_angle": w.angle,
        "dart_intake": w.intake,
        "leg_left": w.legs[0],
        "leg_right": w.legs[1],
        "area_before": old.seam_line.area,
        "area_after": made.seam_line.area,
    }
    return Spread(shape=made, figures=figures)


def _cuts(shape: Shape, places: Places) -> _Cuts:
    seam = shape.seam_line
    b = places.point
    if not inside_of(seam, seam.start)(b):
        raise GeometryError("the bust point does not lie inside the piece")
    side_dart = next((d for d in shape.darts if d.name == places.dart), None)
    if places.dart and side_dart is None:
        raise GeometryError(f'there is no dart "{places.dart}" in this size')
    if side_dart is None:
        assert places.side is not None
        side = (places.side, places.side)
    else:
        side = (seam.length_of(side_dart.left), seam.length_of(side_dart.right))
    grain = shape.grain_line
    down = np.array([0.0, -1.0])
    if places.hem is not None:
        at_hem = places.hem
        way = seam.point_at(at_hem) - b
        down = way / np.hypot(*way)
    else:
        if grain is not None:
            way = np.asarray(grain.end) - np.asarray(grain.start)
            way = way / np.hypot(*way)
            down = way if way[1] < 0.0 else -way
        at_hem = _ray(seam, b, down)
    hem_dart = None
    hem = (at_hem, at_hem)
    for each in shape.darts:
        low = seam.length_of(each.left)
        wide = (seam.length_of(each.right) - low) % seam.length
        if each is not side_dart and (at_hem - low) % seam.length <= wide:
            hem_dart, hem = each, (low, low + wide)
    out = np.array([-down[1], down[0]])
    middle = seam.point_at(0.5 * (side[0] + side[0] + (side[1] - side[0]) % seam.length))
    if float((middle - b) @ out) < 0.0:
        out = -out
    depth = float((seam.point_at(at_hem) - b) @ down)
    level = places.level
    if level is None:
        level = _ray(seam, b + 0.5 * depth * down, -out)
    to_side = (side[0] - places.slash) % seam.length
    to_hem = (hem[0] - places.slash) % seam.length
    to_level = (level - places.slash) % seam.length
    side_first = to_side < to_hem
    if not (to_side < to_hem < to_level or to_side > to_hem > to_level):
        raise GeometryError(
            "round the piece must follow one another: the slash's end, the bust dart, the hem "
            "slash, the place of the level line"
        )
    _clear(shape, b, (places.slash, *side, *hem), (side_dart, hem_dart))
    return _Cuts(
        side=side, side_dart=side_dart, hem=hem, hem_dart=hem_dart, down=down, out=out,
        level=level, side_first=side_first,
    )  # fmt: skip


def _ray(seam: Curve, start: FloatArray, way: FloatArray) -> float:
    """Length along the outline at which a ray first meets it."""
    box = seam.bbox
    reach = 2.0 * float(np.hypot(box[2] - box[0], box[3] - box[1]))
    met = seam.intersections(Curve.line(start, start + reach * way))
    if not len(met.own):
        raise GeometryError("a line from the bust point does not meet the outline")
    return float(met.own[int(np.argmin(met.others))])


def _clear(shape: Shape, b: FloatArray, ends: Sequence[float], own: Sequence[Dart | None]) -> None:
    """Raises GeometryError where a slash leaves the piece or crosses another dart."""
    seam = shape.seam_line
    for end in ends:
        line = Curve.line(b, seam.point_at(end % seam.length))
        if line.length < 1.0:
            raise GeometryError("the bust point lies on the edge")
        if (seam.intersections(line).others < line.length - 1e-5).any():
            raise GeometryError("a slash from the bust point leaves the piece")
        for each in shape.darts:
            if any(each is x for x in own):
                continue
            legs = np.array([seam.point_of(each.left), each.apex, seam.point_of(each.right)])
            if len(line.intersections(Curve.polyline(legs)).own):
                raise GeometryError(f'a slash crosses the dart "{each.name}"')


def _turn(d: FloatArray, out: FloatArray, amount: float) -> float:
    """The smallest turn, radians, that moves a point at `d` from the hinge by `amount` along
    `out`: (cos a - 1) d.w + sin a (Jd).w = amount, solved with p cos a + q sin a = r."""
    p, q = float(d @ out), float(np.array([-d[1], d[0]]) @ out)
    r = amount + p
    reach = float(np.hypot(p, q))
    if abs(r) >= reach:
        raise GeometryError("the slash is too short for so large an amount")
    middle, off = float(np.arctan2(q, p)), float(np.arccos(r / reach))
    both = [(a + np.pi) % (2.0 * np.pi) - np.pi for a in (middle - off, middle + off)]
    return float(min(both, key=abs))


def _parts(shape: Shape, slash: float, cuts: _Cuts) -> dict[str, Part]:
    """The four stretches of outline, each in outline order."""
    (s0, s1), (h0, h1), level = cuts.side, cuts.hem, cuts.level
    if cuts.side_first:
        spans = {"upper": (slash, s0), "lower": (s1, h0), "centre": (h1, level),
                 "rest": (level, slash)}  # fmt: skip
    else:
        spans = {"upper": (s1, slash), "lower": (h1, s0), "centre": (level, h0),
                 "rest": (slash, level)}  # fmt: skip
    whole = shape.seam_line.length
    parts = {k: part_between(shape, a % whole, b % whole) for k, (a, b) in spans.items()}
    # A notch at a cut stays with one side only; the ends of a dart's mouth are two places.
    ends = {
        "upper": (False, True),
        "lower": (cuts.side_dart is not None, True),
        "centre": (cuts.hem_dart is not None, False),
    }
    for key, (here, there) in ends.items():
        part = parts[key]
        first, last = (here, there) if cuts.side_first else (there, here)
        low, high = (-1.0 if first else _ON), part.curve.length + (1.0 if last else -_ON)
        parts[key] = replace(part, notches=tuple(x for x in part.notches if low < x[0] < high))
    return parts


def _contents(
    shape: Shape, parts: dict[str, Part], cuts: _Cuts, b: FloatArray
) -> dict[str, Contents]:
    """The inside, sorted by the part in which it lies."""
    everything = contents_of(shape)
    # A hole at the bust point is a corner of all parts: it goes where the dart's point goes.
    marked = tuple(h for h in everything.drill_holes if float(np.hypot(*(b - h.at))) <= _ON)
    everything = replace(
        everything, drill_holes=tuple(h for h in everything.drill_holes if h not in marked)
    )
    level = shape.seam_line.point_at(cuts.level % shape.seam_line.length)
    foot = b + float((level - b) @ cuts.down) * cuts.down
    out = {}
    for key, corner in (("upper", b), ("lower", b), ("centre", foot)):
        edge = parts[key].curve
        within = inside_of(edge, corner)
        line = Curve.polyline(np.stack((edge.end, corner, edge.start)))
        out[key] = part_of(everything, line, within)
        everything = part_of(everything, line, lambda p, w=within: not w(p))  # type: ignore[misc]
    out["rest"] = everything
    out["lower"] = replace(out["lower"], drill_holes=out["lower"].drill_holes + marked)
    return out


def _trimmed(
    pieces: list[Part], order: list[str], first: str, second: str, by: float
) -> tuple[list[Part], float]:
    """Both parts cut back where they lie over one another, each by half; how far the cut ends
    then miss one another, mm."""
    out = list(pieces)
    i, j = order.index(first), order.index(second)
    before, after = (i, j) if (i + 1) % 4 == j else (j, i)
    out[before] = _cut_back(out[before], by, at_end=True)
    out[after] = _cut_back(out[after], by, at_end=False)
    gap = out[after].curve.start - out[before].curve.end
    return out, float(np.hypot(*gap))


def _shortened(pieces: list[Part], order: list[str], by: float) -> list[Part]:
    """The standing part cut back at the level line, where the lower centre moves up over it."""
    out = list(pieces)
    i, j = order.index("rest"), order.index("centre")
    out[i] = _cut_back(out[i], by, at_end=(i + 1) % 4 == j)
    return out


def _cut_back(part: Part, by: float, *, at_end: bool) -> Part:
    """A part without a stretch at one end. GeometryError where a mark lies in it."""
    length = part.curve.length
    if by >= length - _ON:
        raise GeometryError("the parts overlap by more than an edge is long")
    low, high = (0.0, length - by) if at_end else (by, length)
    named = [
        str(mark if isinstance(mark, str) or mark is None else mark.name).strip("\0")
        for at, mark in (*part.corners, *part.notches)
        if not low - _ON <= at <= high + _ON
    ]
    if named:
        raise GeometryError(f'"{named[0]}" lies where the parts overlap: choose other places')
    return Part(
        curve=part.curve.part(low, high),
        corners=tuple((at - low, x) for at, x in part.corners),
        notches=tuple((at - low, x) for at, x in part.notches),
        grade_points=tuple((at - low, x) for at, x in part.grade_points if low <= at <= high),
        curve_points=tuple(at - low for at in part.curve_points if low <= at <= high),
        darts=tuple((a - low, b - low, d) for a, b, d in part.darts),
    )


def _mouth(bridge: Curve, dart: Dart) -> Part:
    if bridge.length <= 1e-9:
        raise GeometryError(f'dart "{dart.name}" is too small to take up the change')
    return Part(curve=bridge, darts=((0.0, bridge.length, dart),))


def _ending_at(part: Part, point: FloatArray) -> Part:
    segments = np.array(part.curve.segments)
    segments[-1, 3] = point
    return replace(part, curve=Curve.from_segments(segments, part.curve.kinds))


def _moved(shift: FloatArray) -> FloatArray:
    return np.column_stack((np.eye(2), shift))


def _pair(p: FloatArray) -> Point:
    return float(p[0]), float(p[1])
