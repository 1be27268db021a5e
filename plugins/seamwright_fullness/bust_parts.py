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

from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from seamwright.geometry import Curve, FloatArray, GeometryError, Station
from seamwright.geometry.simple import crosses_itself
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

from .bust_cuts import Cuts, Places, find_cuts, turn_for

_ON = 1e-6  # mm


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Spread:
    """The new shape (without cut line) and what moved."""

    shape: Shape
    figures: dict[str, Any]


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
    cuts = find_cuts(held, places)
    if amount < 0.0 and cuts.side_dart is None:
        raise GeometryError(
            "a small bust needs a bust dart that can become smaller: name it as side"
        )
    n = seam.point_at(places.slash)
    turn = turn_for(b - n, cuts.out, amount)
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
    if crosses_itself(made.seam_line):
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


def _parts(shape: Shape, slash: float, cuts: Cuts) -> dict[str, Part]:
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
    shape: Shape, parts: dict[str, Part], cuts: Cuts, b: FloatArray
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
