"""Slashes from edge to edge, the strips between them moved apart."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from seamwright.geometry import Curve, FloatArray, GeometryError, Station
from seamwright.geometry.simple import crosses_itself

from ..marks import Notch
from ..shape import Shape
from .contents import contents_of, part_of
from .cut import place_cut
from .keep import hold_names, release_names
from .outline_parts import Part, part_between, shape_of_parts

_NOTHING = 1e-6  # mm; a smaller opening is none
_MARK = "\0opening-"  # begins the names of what rides along while others are opened


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class SpreadApart:
    """shape     the spread piece, openings bridged by straight lines
    starts, ends (n, 2) each: lengths along the new seam line at which the bridges at the slashes'
                 starts and ends lie, in outline order; both equal where nothing opened
    degrees      (n,) by how much each slash's left side turned against its right, anticlockwise
    """

    shape: Shape
    starts: FloatArray
    ends: FloatArray
    degrees: FloatArray


def spread_apart(
    shape: Shape, slashes: Sequence[Curve], openings: Sequence[tuple[float, float]]
) -> SpreadApart:
    """Cut along straight slashes and open each by (at its start, at its end) mm.

    The slash's two banks are mirror images: an opening of (a, b) is a trapezium of equal sides
    whose parallel sides are a and b; (0, b) turns about the slash's start, (a, a) moves the
    strips apart in parallel. What lies to a slash's left moves; so give slashes in such an order
    that none lies to the left of one that comes later. Openings are bridged by straight lines.
    Strips move rigidly: every stretch of edge but the bridges keeps its length. GeometryError: a
    slash that does not run through the piece once, or an opening wider than the slash is long.
    """
    held = hold_names(shape)
    turns = []
    for k, (slash, (a, b)) in enumerate(zip(slashes, openings, strict=True)):
        held, turn = _opened(held, slash, a, b, k)
        turns.append(turn)
    made = release_names(held, shape)
    seam = made.seam_line
    at = {n.name: seam.length_of(n.station) for n in made.notches if n.name.startswith(_MARK)}
    made = made.but(notches=tuple(n for n in made.notches if n.name not in at))
    spans = np.array(
        [[[at[_mark(k, end, side)[1:]] for side in (0, 1)] for end in (0, 1)]
         for k in range(len(slashes))]
    ).reshape(-1, 2, 2)  # fmt: skip
    if crosses_itself(seam):
        raise GeometryError("the strips would lie over one another")
    return SpreadApart(
        shape=made, starts=spans[:, 0], ends=spans[:, 1], degrees=np.array(turns)
    )  # fmt: skip


def _mark(k: int, end: int, side: int) -> str:
    """The name of a notch that rides along at one side of an opening, held."""
    return f"\0{_MARK}{k}-{end}-{side}"


def trapezium(line: Curve, a: float, b: float) -> tuple[FloatArray, float]:
    """The rigid map 2x3 of a slash's left bank that opens it by a at its start and b at its end;
    and its turn in degrees. GeometryError where the slash is too short for it."""
    reach = line.end - line.start
    length = float(np.hypot(*reach))
    sine = (b - a) / (2.0 * length)
    if abs(sine) >= 1.0:
        raise GeometryError("the opening is wider than the slash is long")
    half = float(np.arcsin(sine))
    across = np.array([-reach[1], reach[0]]) / length
    shift = a * _rotation(half) @ across
    r = _rotation(2.0 * half)
    return np.column_stack((r, line.start - r @ line.start + shift)), float(np.degrees(2.0 * half))


def _rotation(radians: float) -> FloatArray:
    c, s = np.cos(radians), np.sin(radians)
    return np.array([[c, -s], [s, c]])


def _opened(shape: Shape, slash: Curve, a: float, b: float, k: int) -> tuple[Shape, float]:
    enters, leaves, inner = place_cut(shape, slash)
    _clear_of_darts(shape, inner, (enters, leaves))
    straight = Curve.line(inner.start, inner.end)
    matrix, turn = trapezium(straight, a, b)
    contents = contents_of(shape)

    def on_left(p: FloatArray) -> bool:
        way, out = straight.end - straight.start, p - straight.start
        return bool(way[0] * out[1] - way[1] * out[0] >= 0.0)

    left = part_between(shape, leaves, enters).moved(matrix)
    right = part_between(shape, enters, leaves)
    # A notch or corner at a slash's end stays with the side that stays.
    left = _without_ends(left)
    left_inside = part_of(contents, inner, on_left).moved(matrix)
    right_inside = part_of(contents, inner, lambda p: not on_left(p))
    left, right, first = _bridge(left, right, k, at_end=True, opening=a)
    left, right, second = _bridge(left, right, k, at_end=False, opening=b)
    parts = [left, *first, right, *second]
    inside = right_inside.with_(left_inside)
    return shape_of_parts(shape, parts, inside, new_corners=False), turn


def _without_ends(part: Part) -> Part:
    def inner(at: float) -> bool:
        return 1e-6 < at < part.curve.length - 1e-6

    return replace(
        part,
        notches=tuple(x for x in part.notches if inner(x[0])),
        corners=tuple(x for x in part.corners if inner(x[0])),
    )


def _bridge(
    left: Part, right: Part, k: int, *, at_end: bool, opening: float
) -> tuple[Part, Part, list[Part]]:
    """Both sides, and the bridge between them; where nothing opened, none, and the moved side's
    end is exactly the other's. The places of the bridge ride along as notches."""
    first, second = (
        Notch(name=_mark(k, 0 if at_end else 1, side), station=Station(0, 0.0)) for side in (0, 1)
    )
    if abs(opening) > _NOTHING:
        ends = (
            (left.curve.end, right.curve.start) if at_end else (right.curve.end, left.curve.start)
        )
        line = Curve.line(*ends)
        return left, right, [Part(curve=line, notches=((0.0, first), (line.length, second)))]
    segments = np.array(left.curve.segments)
    if at_end:
        segments[-1, 3] = right.curve.start
    else:
        segments[0, 0] = right.curve.end
    at = 0.0 if at_end else right.curve.length
    return (
        replace(left, curve=Curve.from_segments(segments, left.curve.kinds)),
        replace(right, notches=(*right.notches, (at, first), (at, second))),
        [],
    )


def _clear_of_darts(shape: Shape, line: Curve, ends: tuple[float, float]) -> None:
    seam = shape.seam_line
    for dart in shape.darts:
        low = seam.length_of(dart.left)
        wide = (seam.length_of(dart.right) - low) % seam.length
        if any((end - low) % seam.length <= wide for end in ends):
            raise GeometryError(f'a slash begins or ends in the mouth of "{dart.name}"')
        legs = Curve.polyline(
            np.array([seam.point_of(dart.left), dart.apex, seam.point_of(dart.right)])
        )
        if len(line.intersections(legs).own):
            raise GeometryError(f'a slash crosses the dart "{dart.name}"')
