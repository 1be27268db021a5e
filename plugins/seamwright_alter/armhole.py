"""The armhole of a bodice piece: its underarm and shoulder points moved, its edge with them."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from seamwright.geometry import LINE, Curve, FloatArray, GeometryError, Station
from seamwright.geometry.simple import crosses_itself
from seamwright.model import Shape
from seamwright.model.edit import deform_curve
from seamwright.model.edit.replace_run import Replacement, replace_runs

_ON = 1e-6  # mm
_MOST = 0.6  # of the side seam may go

Carry = Callable[[float], float]


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Armhole:
    """One half's armhole on one piece in one size, going from side seam to shoulder.

    turned    whether that goes against the outline
    side      open curve of the side seam, from its far corner to the underarm point
    edge      open curve from the underarm to the shoulder point (or the part of the armhole
              that lies on this piece)
    shoulder  open curve from the shoulder point to the next corner
    start, top, end  stations: where the side seam begins, the shoulder point, where the shoulder
              ends
    """

    shape: Shape
    turned: bool
    side: Curve
    edge: Curve
    shoulder: Curve
    start: Station
    top: Station
    end: Station

    @property
    def down(self) -> FloatArray:
        """Unit vector (2,) from the underarm point along the side seam."""
        tangent = np.asarray(self.side.tangents_of([self.side.n - 1], [1.0])[0])
        return -tangent


def armhole_of(shape: Shape, underarm: str, top: str, *, forward: bool) -> Armhole:
    """The armhole of a piece that begins at the corner `underarm` and goes (forward: with the
    outline) to the mark `top`. GeometryError where the underarm point is no corner, and where a
    dart opens into the armhole."""
    corners = {c.name: i for i, c in enumerate(shape.corners)}
    marks = {n.name: n.station for n in shape.notches} | {c.name: c.station for c in shape.corners}
    if underarm not in corners:
        raise GeometryError(f'"{underarm}" is no corner: no side seam begins there')
    if top not in marks:
        raise GeometryError(f'"{top}" is missing in this size')
    seam, count = shape.seam_line, len(shape.corners)
    u = corners[underarm]
    way = 1 if forward else -1
    start = shape.corners[(u - way) % count].station
    at_u, at_top = (seam.length_of(s) for s in (shape.corners[u].station, marks[top]))
    # The next corner beyond the shoulder point.
    gaps = [(way * (seam.length_of(c.station) - at_top)) % seam.length for c in shape.corners]
    end = shape.corners[int(np.argmin([g if g > _ON else np.inf for g in gaps]))].station

    def between(a: float, b: float) -> Curve:
        return seam.part(a, b) if forward else seam.part(b, a).reversed()

    whole = (way * (at_top - at_u)) % seam.length
    for dart in shape.darts:
        if any(
            (way * (seam.length_of(s) - at_u)) % seam.length < whole
            for s in (dart.left, dart.right)
        ):
            raise GeometryError(f'the dart "{dart.name}" opens into the armhole: move it first')
    return Armhole(
        shape=shape,
        turned=not forward,
        side=between(seam.length_of(start), at_u),
        edge=between(at_u, at_top),
        shoulder=between(at_top, seam.length_of(end)),
        start=start,
        top=marks[top],
        end=end,
    )


def shortened(side: Curve, amount: float) -> Curve:
    """An open curve shorter at its end by exactly `amount`; negative: longer, straight on along
    its tangent. GeometryError where too little would be left."""
    if amount >= 0.0:
        if amount > _MOST * side.length:
            raise GeometryError(
                f"{amount:.1f} mm is more than {_MOST:.0%} of the seam of {side.length:.1f} mm"
            )
        return side.part(0.0, side.length - amount) if amount else side
    segments, kinds = np.array(side.segments), np.array(side.kinds)
    tangent = np.asarray(side.tangents_of([side.n - 1], [1.0])[0])
    end = segments[-1, 3] - amount * tangent
    if kinds[-1] == LINE:
        longer = Curve.line(segments[-1, 0], end).segments
        return Curve.from_segments(np.concatenate([segments[:-1], longer]), kinds)
    return side.joined(Curve.line(side.end, end))


def with_ends(
    edge: Curve, start: FloatArray, end: FloatArray, along: FloatArray, bow: float = 0.0
) -> Curve:
    """An open curve under the affine map that takes its ends to new ones: each point moves by
    both ends' shifts, shared as it lies between them in the direction `along`; so a curve that is
    square to `along` at an end stays so where the end moves that way.

    bow  then the distance from the line between the ends is stretched by this share
    GeometryError where the ends lie beside one another.
    """
    a, b = edge.start, edge.end
    span = float((b - a) @ along)
    if abs(span) < 0.2 * float(np.hypot(*(b - a))):
        raise GeometryError("the armhole does not rise from its underarm point to its shoulder")

    def mapped(p: FloatArray) -> FloatArray:
        t = ((p - a) @ along / span)[:, None]
        q = p + (1.0 - t) * (start - a) + t * (end - b)
        if bow:
            chord = (end - start) / float(np.hypot(*(end - start)))
            square = np.array([-chord[1], chord[0]])
            q = q + bow * ((q - start) @ square)[:, None] * square
        return np.asarray(q)

    made = deform_curve(edge, mapped)
    segments = np.array(made.segments)
    segments[0, 0], segments[-1, 3] = start, end
    return Curve.from_segments(segments, made.kinds)


def by_station(old: Curve, new: Curve) -> Carry:
    """Lengths along a curve carried to one with the same segments: marks keep their station."""

    def carry(s: float) -> float:
        return float(new.length_of(old.station_at(min(max(s, 0.0), old.length))))

    return carry


def rebuilt(
    armhole: Armhole,
    side: Curve,
    edge: Curve,
    shoulder: Curve | None = None,
    *,
    subdivided: Curve | None = None,
) -> Shape:
    """The piece with another side seam, armhole and (where given, ending where it ended) shoulder.

    Marks of the side seam keep their length from its far corner, those of the armhole their
    station (their length, where it is as long as it was), those of the shoulder theirs.
    subdivided: the old edge with the joints that the new one has, where it has more. GeometryError
    where the side seam lost a mark.
    """
    shape = armhole.shape
    _nothing_lost(armhole, side.length)
    parts = [(armhole.side, side), (subdivided or armhole.edge, edge)]
    if shoulder is not None:
        parts.append((armhole.shoulder, shoulder))
    on_edge, on_shoulder = (by_station(*p) for p in (parts[1], parts[-1]))
    if abs(edge.length - armhole.edge.length) < 1e-8:
        # An armhole that kept its length keeps its notches' lengths, so that they still meet.
        def on_edge(s: float) -> float:
            return min(s, edge.length)

    old = np.cumsum([0.0, *(a.length for a, _ in parts)])
    new = np.cumsum([0.0, *(b.length for _, b in parts)])

    def carry(s: float) -> float:
        if abs(s - old[1]) <= _ON:
            return float(new[1])
        if s < old[1]:
            return min(s, side.length)
        if s <= old[2] + _ON:
            return float(new[1]) + on_edge(s - float(old[1]))
        return float(new[2]) + on_shoulder(s - float(old[2]))

    curve = parts[0][1]
    for _, part in parts[1:]:
        curve = curve.joined(part, tolerance=_ON)
    ends = (armhole.start, armhole.end if shoulder is not None else armhole.top)
    turned = carry
    if armhole.turned:
        curve, ends = curve.reversed(), (ends[1], ends[0])

        def turned(s: float) -> float:
            return float(new[-1]) - carry(float(old[-1]) - s)

    made = replace_runs(
        shape, [Replacement(start=ends[0], end=ends[1], curve=curve, carry=turned)]
    ).shape
    if crosses_itself(made.seam_line):
        raise GeometryError("the new outline would cross itself")
    return made


def _nothing_lost(armhole: Armhole, left: float) -> None:
    shape, seam = armhole.shape, armhole.shape.seam_line
    begin = seam.length_of(armhole.start)
    way = -1.0 if armhole.turned else 1.0
    places = {n.name: n.station for n in shape.notches}
    places |= {d.name: s for d in shape.darts for s in (d.left, d.right)}
    for name, station in places.items():
        along = (way * (seam.length_of(station) - begin)) % seam.length
        if left - _ON < along < armhole.side.length - _ON:
            raise GeometryError(f'"{name}" lies in the part of the side seam that would go')
