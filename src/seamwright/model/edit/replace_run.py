"""Another curve in place of a stretch of the outline, with every mark carried along."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from seamwright.geometry import Curve, GeometryError, Station

from ..marks import LineRole
from ..numbering import number_notches
from ..shape import Shape
from ..turning import JOINT, at_joint, with_joints

_MEET = 1e-6  # mm; a new curve's ends must come this near to the old ends, and are then made equal


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Replacement:
    """A stretch of the seam line and the curve that takes its place.

    start, end  stations on the seam line; the stretch runs forward from start to end (past the
                outline's start where end comes before start)
    curve       open, from the old start to the old end (within 1e-6 mm)
    carry       old length from `start` within the stretch -> new length along `curve`, mm; None
                carries marks in proportion
    """

    start: Station
    end: Station
    curve: Curve
    carry: Callable[[float], float] | None = None


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Replaced:
    """The new shape, and where an old station lies on its seam line."""

    shape: Shape
    move: Callable[[Station], Station]


def replace_run(
    shape: Shape,
    start: Station,
    end: Station,
    curve: Curve,
    *,
    carry: Callable[[float], float] | None = None,
) -> Shape:
    """The shape with one stretch of its seam line replaced (see `Replacement`)."""
    return replace_runs(shape, [Replacement(start=start, end=end, curve=curve, carry=carry)]).shape


def replace_runs(shape: Shape, replacements: Sequence[Replacement]) -> Replaced:
    """The shape with several stretches of its seam line replaced at once.

    Stretches may touch but not overlap. Corners inside a stretch must fall on a joint of the new
    curve after carrying, or get one there. Everything outside keeps its exact control points. A
    cut line made from the old seam line no longer fits, so it is left to the caller: it stays as
    it was. Raises GeometryError for stretches that overlap or curves whose ends do not meet.
    """
    if not replacements:
        return Replaced(shape=shape, move=lambda s: s)
    old = shape.seam_line
    ends = [s for r in replacements for s in (r.start, r.end)]
    outline, split = with_joints(old, ends)
    n = outline.n
    spans = sorted(
        (
            _Span(
                first=split(at_joint(old, r.start)).segment,
                last=split(at_joint(old, r.end)).segment,
                curve=r.curve,
                carry=r.carry,
            )
            for r in replacements
        ),
        key=lambda s: s.first,
    )
    covered = np.zeros(n, dtype=int)
    for span in spans:
        covered[span.covers(n)] += 1
    if (covered > 1).any():
        raise GeometryError("two stretches that are to be replaced overlap")

    # Corners inside a stretch need a joint on the new curve.
    corner_stations = [split(c.station) for c in shape.corners]
    for span in spans:
        span.prepare(outline, corner_stations)

    segments: list[np.ndarray] = []
    kinds: list[np.ndarray] = []
    new_first = np.full(n, -1)
    count = 0
    span_at: dict[int, int] = {}
    start_of = {span.first: i for i, span in enumerate(spans)}
    i = 0
    over_start = (s for s in spans if s.first and {n - 1, 0} <= set(s.covers(n)))
    wrapping = next(over_start, None)
    stop = n
    if wrapping is not None:
        i, stop = wrapping.last, wrapping.last + n
    while i < stop:
        k = start_of.get(i % n)
        if k is not None:
            span = spans[k]
            span_at[k] = count
            segments.append(np.array(span.fitted.segments))
            kinds.append(np.array(span.fitted.kinds))
            count += span.fitted.n
            i += len(span.covers(n))
        else:
            new_first[i % n] = count
            segments.append(np.array(outline.segments[i % n : i % n + 1]))
            kinds.append(np.array(outline.kinds[i % n : i % n + 1]))
            count += 1
            i += 1
    joined = np.concatenate(segments)
    # The neighbours' exact ends stand; the new curve's ends, which agree within a hair, follow.
    for k, at in span_at.items():
        span = spans[k]
        joined[at, 0] = span.fitted_start
        joined[at + span.fitted.n - 1, 3] = span.fitted_end
    curve = Curve.from_segments(joined, np.concatenate(kinds), closed=True)

    def move(station: Station) -> Station:
        s = at_joint(outline, split(at_joint(old, station)))
        if s.t == 0.0:
            # A joint belongs to an untouched neighbour where it has one.
            if new_first[s.segment] >= 0:
                return Station(int(new_first[s.segment]), 0.0)
            before = (s.segment - 1) % n
            if new_first[before] >= 0:
                return Station((int(new_first[before]) + 1) % count, 0.0)
        if new_first[s.segment] >= 0:
            return Station(int(new_first[s.segment]), s.t)
        for k, span in enumerate(spans):
            if s.segment in span.covers(n):
                on = span.carried(outline, s)
                return Station((span_at[k] + on.segment) % count, on.t)
        raise AssertionError("every segment is either kept or replaced")

    if shape.corners:
        shift = move(shape.corners[0].station).segment
        if shift:
            curve = curve.started_at(shift)
            inner = move

            def move(station: Station) -> Station:
                s = inner(station)
                return Station((s.segment - shift) % count, s.t)

    notches = number_notches(
        [
            replace(x, station=move(x.station)) if x.line is LineRole.SEAM else x
            for x in shape.notches
        ],
        curve,
        shape.cut_line,
    )
    new = shape.but(
        seam_line=curve,
        corners=tuple(replace(c, station=move(c.station)) for c in shape.corners),
        notches=notches,
        darts=tuple(replace(d, left=move(d.left), right=move(d.right)) for d in shape.darts),
        grade_points=tuple(
            replace(g, station=move(g.station))
            if g.station is not None and g.line is LineRole.SEAM
            else g
            for g in shape.grade_points
        ),
        curve_points=tuple(move(s) for s in shape.curve_points),
    )
    return Replaced(shape=new, move=move)


class _Span:
    """One stretch while it is being replaced: segments first .. last - 1 of the split outline."""

    def __init__(
        self, *, first: int, last: int, curve: Curve, carry: Callable[[float], float] | None
    ) -> None:
        self.first, self.last, self.curve, self._carry = first, last, curve, carry
        self.fitted = curve

    def covers(self, n: int) -> list[int]:
        count = (self.last - self.first) % n or n
        return [(self.first + i) % n for i in range(count)]

    def prepare(self, outline: Curve, corners: Sequence[Station]) -> None:
        n = outline.n
        self.fitted_start = np.array(outline.segments[self.first, 0])
        self.fitted_end = np.array(outline.segments[(self.last - 1) % n, 3])
        gaps = (
            float(np.hypot(*(self.curve.start - self.fitted_start))),
            float(np.hypot(*(self.curve.end - self.fitted_end))),
        )
        if max(gaps) > _MEET:
            raise GeometryError(
                f"the new curve misses the ends of the stretch by {max(gaps):.3g} mm"
            )
        self._whole = self._length_within(outline, Station(self.last % n, 0.0), end=True)
        inside = self.covers(n)[1:]
        joints = [
            at_joint(self.curve, self.curve.station_at(self._map(self._length_within(outline, c))))
            for c in corners
            if c.segment in inside
        ]
        self.fitted = self.curve.insert_joints([j for j in joints if j.t > 0.0])

    def carried(self, outline: Curve, s: Station) -> Station:
        at = self._map(self._length_within(outline, s))
        if at >= self.fitted.length - JOINT:  # the end of an open curve is not its start
            return Station(self.fitted.n, 0.0)
        return at_joint(self.fitted, self.fitted.station_at(at))

    def _map(self, old: float) -> float:
        if self._carry is not None:
            return min(max(self._carry(old), 0.0), self.curve.length)
        return old * self.curve.length / self._whole if self._whole else 0.0

    def _length_within(self, outline: Curve, s: Station, *, end: bool = False) -> float:
        at = outline.length_of(s) - float(outline.cumulative[self.first])
        if abs(at) <= JOINT:
            return outline.length if end else 0.0
        return at + outline.length if at < 0.0 else at
