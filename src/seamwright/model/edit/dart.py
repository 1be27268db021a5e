"""A dart turned about its point: closed here, opened there, everything moved rigidly.

The outline runs across a dart's mouth from `left` to `right` (anticlockwise); the legs run
straight from both to the point. Cut from the point to another place and turn what lies between
about the point until the legs meet: the mouth closes and a mouth of the same angle opens there.
Every edge keeps its length, and the cloth (the outline less the wedges between the legs) its
area, because nothing but a rotation happens. Common practice, no source.
"""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from seamwright.geometry import Curve, FloatArray, GeometryError, Station
from seamwright.geometry.simple import crosses_itself

from ..marking import Dart, InternalKind
from ..marks import Notch
from ..shape import Shape
from .contents import Contents, Side, contents_of, part_of
from .keep import hold_names, release_names
from .outline_parts import Part, part_between, shape_of_parts
from .pivot import turn_about
from .wedge import Wedge, inside_of, mouth_curve, wedge_of

_ON = 1e-6  # mm
_TURNS = 20.0  # degrees; a flatter meeting of two edges is no corner

TurnedSide = Literal["before", "after"]


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Turned:
    """shape   after the turn
    degrees    by how much the side turned, anticlockwise
    side       which side turned: from the old mouth on to the new place ("after") or the rest
    dart       the dart that was opened, in the new shape
    kink       degrees by which the seam line turns where the mouth closed (0: it runs on);
               None where the mouth did not close
    """

    shape: Shape
    degrees: float
    side: TurnedSide
    dart: Dart
    kink: float | None


def turn_dart(
    shape: Shape,
    name: str,
    at: float | str,
    *,
    share: float = 1.0,
    turned: Literal["auto", "before", "after"] = "auto",
    new_name: str = "",
    drop: Collection[str] = (),
) -> Turned:
    """Close a dart (or a share of it) and open it at another place, about its point.

    name      of the dart; its legs must be equal within 1e-6 mm (`with_legs_equal`)
    at        length along the seam line, mm; or the name of another dart with the same point,
              which grows by what this one gives
    share     0 < share <= 1 of the angle
    turned    the side that moves: "after" lies after the old mouth in outline order, up to the
              new one; "before" the rest. "auto" leaves the side with the fold line or else the
              grain line where it is, or else the longer side
    new_name  of the dart that opens; the old name where the whole dart moves
    drop      corners that may go where the closed mouth leaves no turn
    Notches at a mouth's ends and inside it go where the dart goes; what is drawn between its legs
    turns with them. Both new mouths are straight. The cut line and allowances are dropped (see
    `renew`).
    GeometryError: the cut would leave the piece, cross another dart, or end in a mouth or at a
    corner; or the turned side would lie over the rest.
    """
    darts = {d.name: d for d in shape.darts}
    dart = darts[name]
    other = darts[at] if isinstance(at, str) else None
    wedge = wedge_of(shape, dart)
    if abs(wedge.legs[0] - wedge.legs[1]) > _ON:
        raise GeometryError("the legs are not equally long")
    if not 0.0 < wedge.angle < 180.0:
        raise GeometryError("the point does not lie inside the mouth")
    full = share >= 1.0
    held = hold_names(shape)
    seam = held.seam_line
    left, right = seam.length_of(dart.left), seam.length_of(dart.right)
    if other is None:
        assert not isinstance(at, str)
        place = float(at) % seam.length
        _check_place(held, dart, place)
        ends = (place, place)
    else:
        if max(abs(a - b) for a, b in zip(other.apex, dart.apex, strict=True)) > _ON:
            raise GeometryError("the two darts do not share their point")
        ends = (seam.length_of(other.left), seam.length_of(other.right))
    # From the old mouth's right end on to the new place, and from there to its left end.
    after, before = part_between(held, right, ends[0]), part_between(held, ends[1], left)
    region = inside_of(after.curve, wedge.apex)
    sorted_ = _sorted(held, dart, other, after.curve, wedge, region)
    side: TurnedSide = _side(held, region, after, before) if turned == "auto" else turned
    turn = (-1.0 if side == "after" else 1.0) * min(share, 1.0) * wedge.angle
    matrix, half = turn_about(wedge.apex, turn), turn_about(wedge.apex, turn / 2.0)
    mouth = part_between(held, left, right)
    if other is None:
        # A notch at the place itself stays with the side that stays.
        after = replace(after, notches=_less(after.notches, after.curve.length, side == "after"))
        before = replace(before, notches=_less(before.notches, 0.0, side == "before"))
    if full:
        after = replace(after, notches=_less(after.notches, 0.0, True))
        before = replace(before, notches=_less(before.notches, before.curve.length, True))
    if side == "after":
        after = after.moved(matrix)
    else:
        before = before.moved(matrix)
    kink = None
    if full:
        after, before = _closed(after, before, side)
        kink = _kink(before.curve, after.curve)
        if abs(kink) > _TURNS:
            after = replace(after, corners=(*after.corners, (0.0, None)))
        else:
            after, before = _dropped(after, 0.0, drop), _dropped(before, before.curve.length, drop)
    opened = Dart(
        name=other.name if other is not None else new_name or (name if full else f"{name}-2"),
        left=Station(0, 0.0), right=Station(0, 1.0), apex=dart.apex,
    )  # fmt: skip
    inherited = mouth if full else None
    if other is not None:
        inherited = part_between(held, *ends)
    parts = [after, _mouth(after.curve.end, before.curve.start, opened, inherited), before]
    if not full:
        parts.append(_mouth(before.curve.end, after.curve.start, dart, mouth))
    contents = sorted_.put_together(matrix, half, side)
    in_mouth = half
    if full:
        was, now = wedge.bisector, _middle(wedge, after.curve.end, before.curve.start)
        in_mouth = turn_about(
            wedge.apex,
            float(np.degrees(np.arctan2(was[0] * now[1] - was[1] * now[0], was @ now))),
        )
    contents = contents.with_(sorted_.mouth.moved(in_mouth))
    made = release_names(shape_of_parts(held, parts, contents, new_corners=False), shape)
    if crosses_itself(made.seam_line):
        raise GeometryError("the side that turns would lie over the rest of the piece")
    return Turned(
        shape=made,
        degrees=turn,
        side=side,
        dart=next(d for d in made.darts if d.name == opened.name),
        kink=kink,
    )


def _check_place(shape: Shape, dart: Dart, place: float) -> None:
    """Raises GeometryError where no cut can be made from the dart's point to a place."""
    seam = shape.seam_line
    for corner in shape.corners:
        gap = abs(float(seam.cumulative[corner.station.segment]) - place)
        if min(gap, seam.length - gap) <= _ON:
            raise GeometryError("the new place is a corner: a dart opens within an edge")
    for each in shape.darts:
        low = seam.length_of(each.left)
        wide = (seam.length_of(each.right) - low) % seam.length
        gone = (place - low) % seam.length
        if gone <= wide + _ON or gone >= seam.length - _ON:
            raise GeometryError(f'the new place lies in the mouth of the dart "{each.name}"')
    cut = Curve.line(dart.apex, seam.point_at(place))
    if (seam.intersections(cut).others < cut.length - 1e-5).any():
        raise GeometryError("the straight cut from the dart's point to the place leaves the piece")
    for each in shape.darts:
        if each is dart:
            continue
        ends = [seam.point_of(each.left), np.asarray(each.apex), seam.point_of(each.right)]
        if (cut.intersections(Curve.polyline(ends)).own > 1e-5).any():
            raise GeometryError(f'the cut from the point to the place crosses "{each.name}"')


@dataclass(frozen=True, slots=True, eq=False)
class _Sorted:
    """The inside of a piece: between the old legs, in the region that lies after them, the rest,
    and between the legs of the dart that takes in."""

    mouth: Contents
    after: Contents
    rest: Contents
    other: Contents | None

    def put_together(self, matrix: FloatArray, half: FloatArray, side: TurnedSide) -> Contents:
        after = self.after.moved(matrix) if side == "after" else self.after
        rest = self.rest.moved(matrix) if side == "before" else self.rest
        # The grain line that stayed comes first.
        both = rest.with_(after) if side == "after" else after.with_(rest)
        return both if self.other is None else both.with_(self.other.moved(half))


def _sorted(
    shape: Shape, dart: Dart, other: Dart | None, edge: Curve, wedge: Wedge, region: Side
) -> _Sorted:
    everything = contents_of(shape)
    mouth, everything = _between_legs(shape, dart, everything)
    taking = None
    if other is not None:
        taking, everything = _between_legs(shape, other, everything)
    cut = Curve.polyline([edge.end, wedge.apex, edge.start])
    return _Sorted(
        mouth,
        part_of(everything, cut, region),
        part_of(everything, cut, lambda p: not region(p)),
        taking,
    )


def _between_legs(shape: Shape, dart: Dart, contents: Contents) -> tuple[Contents, Contents]:
    """What lies between a dart's legs, and what does not."""
    mouth = mouth_curve(shape, dart)
    apex = np.asarray(dart.apex, dtype=np.float64)
    within = inside_of(mouth, apex)
    legs = Curve.polyline([mouth.start, apex, mouth.end])
    return part_of(contents, legs, within), part_of(contents, legs, lambda p: not within(p))


def _side(shape: Shape, region: Side, after: Part, before: Part) -> TurnedSide:
    folds = [x.curve for x in shape.internal_lines if x.kind is InternalKind.FOLD]
    middles = [f.point_at(f.length / 2.0) for f in folds]
    if shape.grain_line is not None:
        ends = np.array([shape.grain_line.start, shape.grain_line.end])
        middles.append(ends.mean(axis=0))
    for middle in middles:
        return "before" if region(middle) else "after"
    return "after" if after.curve.length <= before.curve.length else "before"


def _less(
    notches: tuple[tuple[float, Notch], ...], at: float, really: bool
) -> tuple[tuple[float, Notch], ...]:
    return tuple(x for x in notches if not (really and abs(x[0] - at) <= _ON))


def _dropped(part: Part, at: float, names: Collection[str]) -> Part:
    """Without those corners at a place of the part."""
    gone = {"\0" + n for n in names}
    kept = tuple(c for c in part.corners if abs(c[0] - at) > _ON or c[1] not in gone)
    return replace(part, corners=kept)


def _closed(after: Part, before: Part, side: TurnedSide) -> tuple[Part, Part]:
    """Both parts, the turned one's end exactly on the other's (rotation leaves a rounding
    error)."""
    if side == "after":
        segments = np.array(after.curve.segments)
        segments[0, 0] = before.curve.end
        return replace(after, curve=Curve.from_segments(segments, after.curve.kinds)), before
    segments = np.array(before.curve.segments)
    segments[-1, 3] = after.curve.start
    return after, replace(before, curve=Curve.from_segments(segments, before.curve.kinds))


def _kink(first: Curve, then: Curve) -> float:
    a, b = first.tangent_at(first.length), then.tangent_at(0.0)
    return float(np.degrees(np.arctan2(a[0] * b[1] - a[1] * b[0], a @ b)))


def _mouth(a: FloatArray, b: FloatArray, dart: Dart, marks: Part | None) -> Part:
    """A straight mouth with its dart, and the notches of an old mouth in proportion."""
    curve = Curve.line(a, b)
    notches: tuple[tuple[float, Notch], ...] = ()
    if marks is not None and marks.curve.length:
        scale = curve.length / marks.curve.length
        notches = tuple((at * scale, notch) for at, notch in marks.notches)
    return Part(curve=curve, notches=notches, darts=((0.0, curve.length, dart),))


def _middle(wedge: Wedge, left: FloatArray, right: FloatArray) -> FloatArray:
    """Unit direction from the point between two ends of a mouth at one distance."""
    way = 0.5 * (left + right) - wedge.apex
    return np.asarray(way / np.hypot(*way))
