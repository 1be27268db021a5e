"""The Curve: a chain of segments as one array of cubic control points, in mm."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from . import arcs
from .area import area_terms
from .box import bounding_box
from .chain import checked_chain, touch_limit
from .corners import corner_segments, end_tangents
from .crossings import crossings, self_crossings
from .evaluate import (
    as_points,
    curvatures_complex,
    line_segments,
    points_complex,
    to_complex,
    to_real,
    unit_tangents_complex,
)
from .flatten import flatten_chain
from .kinds import (
    LINE,
    TOUCH,
    Crossings,
    FloatArray,
    GeometryError,
    IntArray,
    KindArray,
    Nearest,
    Station,
)
from .length import arc_lengths
from .locate import LengthTable
from .nearest import nearest_on
from .rebuild import apply_matrix, bridge, cut_at, reverse_chain


@dataclass(frozen=True, slots=True, eq=False)
class Curve:
    """A chain of segments: segments (K, 4, 2) mm and kinds (K,) uint8, both read-only, and
    whether the chain closes.

    A LINE has its handles at the thirds of its chord. Build one with `from_segments`,
    `polyline`, `line`, `circle`, `ellipse` or `arc`, which check what they are given. Lengths
    along the curve run from its start; they are integrated on the cubics themselves, to 1e-9 mm.
    """

    segments: FloatArray
    kinds: KindArray
    closed: bool
    _cache: dict[str, Any] = field(default_factory=dict, init=False, repr=False)

    def __post_init__(self) -> None:
        self.segments.flags.writeable = False
        self.kinds.flags.writeable = False

    def __reduce__(self) -> tuple[Any, ...]:
        return _restore, (np.array(self.segments), np.array(self.kinds), self.closed)

    # -- construction ---------------------------------------------------------------------

    @classmethod
    def from_segments(
        cls, segments: ArrayLike, kinds: ArrayLike | None = None, *, closed: bool = False
    ) -> Curve:
        """A curve from control points (K, 4, 2); kinds default to CUBIC throughout.

        Ends within 1e-9 mm are made one point. GeometryError: wrong shape, a number that is not
        finite, a gap in the chain.
        """
        p, kind = checked_chain(segments, kinds, closed)
        return cls(p, kind, closed)

    @classmethod
    def polyline(cls, points: ArrayLike, *, closed: bool = False) -> Curve:
        """Straight segments through points (N, 2), vertex for vertex, N at least 2.

        A closed one returns to its first point by itself: give that point once. Repeated
        points are kept as segments of no length.
        """
        p = as_points(points)
        if p.shape[0] < 2:
            raise GeometryError(f"a polyline needs at least 2 points, not {p.shape[0]}")
        q = np.concatenate((p, p[:1])) if closed else p
        segments = line_segments(q[:-1], q[1:])
        return cls.from_segments(segments, np.zeros(len(segments), np.uint8), closed=closed)

    @classmethod
    def line(cls, a: ArrayLike, b: ArrayLike) -> Curve:
        """One straight segment from a (2,) to b (2,)."""
        return cls.polyline(np.stack((np.asarray(a, float), np.asarray(b, float))))

    @classmethod
    def circle(cls, centre: ArrayLike, radius: float) -> Curve:
        """A closed circle, anticlockwise from angle 0, within 1e-4 mm; its length is exact."""
        return cls.ellipse(centre, radius, radius)

    @classmethod
    def ellipse(cls, centre: ArrayLike, rx: float, ry: float, rotation: float = 0.0) -> Curve:
        """A closed ellipse, anticlockwise, rotated by degrees, within 1e-4 mm."""
        if not (rx > 0.0 and ry > 0.0):
            raise GeometryError("an ellipse needs two radii above 0")
        return cls.from_segments(
            arcs.ellipse_arc(centre, rx, ry, rotation, 0.0, 360.0), closed=True
        )

    @classmethod
    def arc(cls, centre: ArrayLike, radius: float, start: float, sweep: float) -> Curve:
        """An open arc of a circle from angle start through sweep degrees (anticlockwise where
        positive), within 1e-4 mm; its length is exact."""
        return cls.from_segments(arcs.ellipse_arc(centre, radius, radius, 0.0, start, sweep))

    # -- measures -------------------------------------------------------------------------

    @property
    def n(self) -> int:
        """Number of segments."""
        return int(self.segments.shape[0])

    @property
    def segment_lengths(self) -> FloatArray:
        """Length (K,) of each segment, mm."""
        found = self._cache.get("lengths")
        if found is None:
            found = _frozen(measured(self.segments, self.kinds))
            self._cache["lengths"] = found
        return found  # type: ignore[no-any-return]

    @property
    def cumulative(self) -> FloatArray:
        """Length (K + 1,) from the start to each joint, mm; the last is the whole."""
        found = self._cache.get("cumulative")
        if found is None:
            out = np.zeros(self.n + 1)
            np.cumsum(self.segment_lengths, out=out[1:])
            found = self._cache["cumulative"] = _frozen(out)
        return found  # type: ignore[no-any-return]

    @property
    def length(self) -> float:
        """Whole length, mm."""
        return float(self.cumulative[-1])

    @property
    def area(self) -> float:
        """Signed area inside a closed curve, mm2, positive where it runs anticlockwise."""
        if not self.closed:
            raise GeometryError("only a closed curve has an area")
        return float(area_terms(self.segments, self.segments[0, 0]).sum())

    @property
    def bbox(self) -> FloatArray:
        """Exact box (4,) as x0, y0, x1, y1."""
        found = self._cache.get("bbox")
        if found is None:
            found = self._cache["bbox"] = _frozen(bounding_box(self.segments))
        return found  # type: ignore[no-any-return]

    @property
    def start(self) -> FloatArray:
        """First point (2,)."""
        return self.segments[0, 0]

    @property
    def end(self) -> FloatArray:
        """Last point (2,); of a closed curve the first again."""
        return self.segments[-1, 3]

    @property
    def joints(self) -> FloatArray:
        """Points where segments begin: (K, 2) of a closed curve; with the end (K + 1, 2) else."""
        if self.closed:
            return self.segments[:, 0]
        return np.concatenate((self.segments[:, 0], self.segments[-1:, 3]))

    # -- places along the curve -----------------------------------------------------------

    def stations_at(self, s: ArrayLike) -> tuple[IntArray, FloatArray]:
        """Segments (N,) and parameters (N,) at lengths s (N,) from the start, mm.

        A length at a joint gives the start of the segment that follows. Lengths beyond an open
        curve raise GeometryError (1e-9 mm is forgiven); on a closed one they go round again.
        """
        at = self._lengths_in_range(np.atleast_1d(np.asarray(s, dtype=np.float64)))
        cumulative = self.cumulative
        seg = np.searchsorted(cumulative, at, side="right") - 1
        seg = np.minimum(seg, self.n - 1)
        return seg, self._table().at(seg, at - cumulative[seg])

    def station_at(self, s: float) -> Station:
        """The station at length s from the start."""
        seg, t = self.stations_at([s])
        return Station(int(seg[0]), float(t[0]))

    def points_of(self, segments: ArrayLike, ts: ArrayLike) -> FloatArray:
        """Points (N, 2) at parameters ts (N,) of segments (N,)."""
        seg, t = self._checked_stations(segments, ts)
        return to_real(points_complex(to_complex(self.segments)[seg], t))

    def point_of(self, station: Station) -> FloatArray:
        """Point (2,) at a station."""
        return self.points_of([station[0]], [station[1]])[0]

    def tangents_of(self, segments: ArrayLike, ts: ArrayLike) -> FloatArray:
        """Unit tangents (N, 2). A segment without extent takes the direction of the travel that
        follows it, else of that before; a curve without extent gives 0."""
        seg, t = self._checked_stations(segments, ts)
        z = to_complex(self.segments)
        out = unit_tangents_complex(z[seg], t)
        still = out == 0.0
        if still.any():
            leave, arrive = end_tangents(self.segments)
            live = np.flatnonzero(leave != 0.0)
            if live.size:
                place = np.searchsorted(live, seg[still])
                after = live[place % live.size]
                before = live[place - 1]
                use_after = (place < live.size) | self.closed
                out[still] = np.where(use_after, leave[after], arrive[before])
        return to_real(out)

    def lengths_of(self, segments: ArrayLike, ts: ArrayLike) -> FloatArray:
        """Lengths (N,) from the start of the curve to stations, mm."""
        seg, t = self._checked_stations(segments, ts)
        return self.cumulative[seg] + self._table().lengths(seg, t)

    def length_of(self, station: Station) -> float:
        """Length from the start of the curve to a station, mm."""
        return float(self.lengths_of([station[0]], [station[1]])[0])

    def point_at(self, s: ArrayLike) -> FloatArray:
        """Point (2,) at length s, or (N, 2) at lengths (N,)."""
        return _shaped(self.points_of(*self.stations_at(s)), s)

    def tangent_at(self, s: ArrayLike) -> FloatArray:
        """Unit tangent (2,) or (N, 2) at length s; at a joint that of the segment that follows."""
        return _shaped(self.tangents_of(*self.stations_at(s)), s)

    def normal_at(self, s: ArrayLike) -> FloatArray:
        """Unit normal to the left of travel, (2,) or (N, 2)."""
        tangent = self.tangent_at(s)
        return np.stack((-tangent[..., 1], tangent[..., 0]), axis=-1)

    def curvature_at(self, s: ArrayLike) -> Any:
        """Signed curvature, 1/mm, left turns positive: float at one length, (N,) at many."""
        seg, t = self.stations_at(s)
        out = curvatures_complex(to_complex(self.segments)[seg], t)
        out = np.where(self.kinds[seg] == LINE, 0.0, out)
        return float(out[0]) if np.ndim(s) == 0 else out

    def nearest(self, points: ArrayLike) -> Nearest:
        """Where the curve comes nearest to points (N, 2): the exact foot points."""
        p = as_points(points)
        if not np.isfinite(p).all():
            raise GeometryError("a point to project is not finite")
        seg, t, distance = nearest_on(self.segments, p)
        return Nearest(seg, t, self.points_of(seg, t), distance, self.lengths_of(seg, t))

    # -- new curves -----------------------------------------------------------------------

    def part(self, s0: float, s1: float) -> Curve:
        """The open curve from length s0 to s1. On a closed curve s1 <= s0 goes round the start.

        An end within 1e-9 mm of a joint takes that joint exactly.
        """
        (s0, s1), whole = self._lengths_of_part(float(s0), float(s1)), self.length
        if self.closed and s1 <= s0 + TOUCH:
            s1 += whole
        joints = self.cumulative
        if self.closed:
            joints = np.concatenate((joints[:-1], joints + whole))
        first = self._snapped(s0, joints)
        last = self._snapped(s1, joints)
        count = self.n
        parts = np.arange(first[0], last[0] + (1 if last[1] > 0.0 else 0))
        segments = self.segments[parts % count].copy()
        kinds = self.kinds[parts % count]
        t0, t1 = np.zeros(len(parts)), np.ones(len(parts))
        t0[0] = first[1]
        if last[1] > 0.0:
            t1[-1] = last[1]
        cut = cut_at(segments, kinds, t0, t1)
        return Curve.from_segments(cut, kinds)

    def split(self, lengths: ArrayLike) -> tuple[Curve, ...]:
        """Cuts at lengths (M,). An open curve falls into M + 1 parts, in order; a closed one
        into M parts, the first beginning at the smallest length, the last running round the
        start. Cuts at the very ends of an open curve, and repeated ones, cut nothing."""
        cuts = np.unique(self._lengths_in_range(np.atleast_1d(np.asarray(lengths, float))))
        if cuts.size:
            cuts = cuts[np.concatenate(([True], np.diff(cuts) > TOUCH))]
        if self.closed:
            if cuts.size > 1 and cuts[0] + self.length - cuts[-1] <= TOUCH:
                cuts = cuts[:-1]
            if cuts.size == 0:
                return (self,)
            return tuple(self.part(a, b) for a, b in zip(cuts, np.roll(cuts, -1), strict=True))
        cuts = cuts[(cuts > TOUCH) & (cuts < self.length - TOUCH)]
        if cuts.size == 0:
            return (self,)
        marks = np.concatenate(([0.0], cuts, [self.length]))
        return tuple(self.part(a, b) for a, b in pairwise(marks))

    def insert_joints(self, stations: Iterable[Station]) -> Curve:
        """The same shape with joints at the stations too; at a joint nothing is added."""
        wanted = [(int(i), float(t)) for i, t in stations]
        if not wanted:
            return self
        seg, t = self._checked_stations([i for i, _ in wanted], [t for _, t in wanted])
        inner = (t > 0.0) & (t < 1.0)
        seg, t = seg[inner], t[inner]
        all_seg = np.concatenate((np.arange(self.n), seg))
        all_t = np.concatenate((np.zeros(self.n), t))
        order = np.lexsort((all_t, all_seg))
        all_seg, all_t = all_seg[order], all_t[order]
        keep = np.concatenate(([True], (np.diff(all_seg) > 0) | (np.diff(all_t) > 0.0)))
        all_seg, all_t = all_seg[keep], all_t[keep]
        ends = np.append(all_t[1:], 1.0)
        ends[np.append(np.diff(all_seg) > 0, True)] = 1.0
        kinds = self.kinds[all_seg]
        cut = cut_at(self.segments[all_seg].copy(), kinds, all_t, ends)
        return Curve.from_segments(cut, kinds, closed=self.closed)

    def reversed(self) -> Curve:
        """The same curve travelled the other way."""
        return Curve(*reverse_chain(self.segments, self.kinds), self.closed)

    def transformed(self, matrix: ArrayLike) -> Curve:
        """Under an affine matrix 2x3 or 3x3 (column vectors: p' = A p + b)."""
        return Curve.from_segments(
            apply_matrix(self.segments, matrix), self.kinds, closed=self.closed
        )

    def translated(self, dx: float, dy: float) -> Curve:
        """Moved by (dx, dy) mm."""
        return Curve.from_segments(
            self.segments + np.array([dx, dy], dtype=np.float64), self.kinds, closed=self.closed
        )

    def started_at(self, segment: int) -> Curve:
        """A closed curve that begins with another of its segments."""
        if not self.closed:
            raise GeometryError("only a closed curve can start elsewhere")
        if not -self.n <= segment < self.n:
            raise GeometryError(f"no segment {segment} in a curve of {self.n}")
        return Curve(np.roll(self.segments, -segment, axis=0), np.roll(self.kinds, -segment), True)

    def joined(self, other: Curve, *, tolerance: float = TOUCH) -> Curve:
        """This open curve and then another that starts within `tolerance` mm of its end.

        Over a gap both ends (and their handles) move half way to meet.
        """
        if self.closed or other.closed:
            raise GeometryError("only open curves can be joined")
        segments = np.concatenate((self.segments, other.segments))
        kinds = np.concatenate((self.kinds, other.kinds))
        bridge(segments, kinds, self.n - 1, self.n, tolerance)
        return Curve.from_segments(segments, kinds)

    def closed_up(self, tolerance: float = TOUCH) -> Curve:
        """This open curve closed, its end within `tolerance` mm of its start.

        Over a gap both ends (and their handles) move half way to meet.
        """
        if self.closed:
            return self
        segments = self.segments.copy()
        bridge(segments, self.kinds, self.n - 1, 0, tolerance)
        return Curve.from_segments(segments, self.kinds, closed=True)

    # -- meetings, flattening, corners ----------------------------------------------------

    def intersections(self, other: Curve) -> Crossings:
        """Where this curve meets another: lengths along both, and points, in own order.

        Crossings, touches (within 1e-9 mm), and the ends of stretches that coincide.
        """
        return crossings(self, other)

    def self_intersections(self) -> Crossings:
        """Where the curve crosses or touches itself, joints between neighbours left out."""
        return self_crossings(self)

    def flatten(self, tolerance: float) -> FloatArray:
        """Points (N, 2) of a polyline nowhere farther than `tolerance` mm from the curve.

        Joints are kept, straight segments get no inner points, and a closed curve's first point
        is not repeated.
        """
        return flatten_chain(self.segments, tolerance, closed=self.closed)

    def corner_segments(self, threshold_degrees: float = 20.0) -> IntArray:
        """Indices (C,) of segments at whose START the outline turns by more than the threshold
        (a closed curve's first included; an open one's ends are no corners)."""
        return corner_segments(
            self.segments, closed=self.closed, threshold_degrees=threshold_degrees
        )

    # -- inside ---------------------------------------------------------------------------

    def _table(self) -> LengthTable:
        found = self._cache.get("table")
        if found is None:
            found = self._cache["table"] = LengthTable(self.segments)
        return found  # type: ignore[no-any-return]

    def _lengths_in_range(self, s: FloatArray) -> FloatArray:
        if not np.isfinite(s).all():
            raise GeometryError("a length along the curve is not finite")
        whole = self.length
        if self.closed:
            return np.where((s >= 0.0) & (s < whole), s, np.mod(s, whole) if whole else 0.0)
        slack = max(TOUCH, 4.0 * float(np.spacing(whole)))
        if s.size and (s.min() < -slack or s.max() > whole + slack):
            worst = s.min() if s.min() < -slack else s.max()
            raise GeometryError(f"length {worst:.9g} mm is not on a curve of {whole:.9g} mm")
        return np.clip(s, 0.0, whole)

    def _checked_stations(self, segments: ArrayLike, ts: ArrayLike) -> tuple[IntArray, FloatArray]:
        seg = np.atleast_1d(np.asarray(segments, dtype=np.int64))
        t = np.atleast_1d(np.asarray(ts, dtype=np.float64))
        seg, t = np.broadcast_arrays(seg, t)
        if seg.size:
            if seg.min() < 0 or seg.max() >= self.n:
                raise GeometryError(f"a station names a segment outside 0..{self.n - 1}")
            if not (t.min() >= -1e-12 and t.max() <= 1.0 + 1e-12):
                raise GeometryError("a station's parameter lies outside 0..1")
        return seg, np.clip(t, 0.0, 1.0)

    def _lengths_of_part(self, s0: float, s1: float) -> tuple[float, float]:
        if not self.closed:
            a, b = self._lengths_in_range(np.array([s0, s1]))
            if b <= a:
                raise GeometryError(
                    f"a part of an open curve must run forward, not from {s0:.9g} to {s1:.9g} mm"
                )
            return float(a), float(b)
        whole = self.length
        a = float(self._lengths_in_range(np.array([s0]))[0])
        end = float(self._lengths_in_range(np.array([s1]))[0])
        if whole - a <= TOUCH:
            a = 0.0
        if end == 0.0 and s1 > s0:
            end = whole
        return a, end

    def _snapped(self, s: float, joints: FloatArray) -> tuple[int, float]:
        """Segment (counting on past the start of a closed curve) and parameter at length s."""
        i = int(np.searchsorted(joints, s))
        near = [j for j in (i - 1, i) if 0 <= j < joints.size and abs(joints[j] - s) <= TOUCH]
        if near:
            return near[-1], 0.0
        seg = i - 1
        t = self._table().at([seg % self.n], [s - joints[seg]])[0]
        return seg, float(t)


def measured(segments: FloatArray, kinds: KindArray) -> FloatArray:
    """Lengths (K,): chords for lines, the certified integral for cubics."""
    chord = segments[:, 3] - segments[:, 0]
    out: FloatArray = np.hypot(chord[:, 0], chord[:, 1])
    cubics = kinds != LINE
    if cubics.all():
        return arc_lengths(segments)
    if cubics.any():
        out[cubics] = arc_lengths(segments[cubics])
    return out


def measure_together(curves: Sequence[Curve]) -> FloatArray:
    """Lengths (N,) of many curves by one call of the kernel; each curve remembers its own."""
    todo = [c for c in curves if "lengths" not in c._cache]
    if todo:
        found = measured(
            np.concatenate([c.segments for c in todo]), np.concatenate([c.kinds for c in todo])
        )
        ends = np.cumsum([c.n for c in todo])
        for curve, lengths in zip(todo, np.split(found, ends[:-1]), strict=True):
            curve._cache.setdefault("lengths", _frozen(lengths))
    return np.array([c.length for c in curves])


def _frozen(array: FloatArray) -> FloatArray:
    array.flags.writeable = False
    return array


def _shaped(values: FloatArray, s: ArrayLike) -> FloatArray:
    return values[0] if np.ndim(s) == 0 else values


def _restore(segments: FloatArray, kinds: KindArray, closed: bool) -> Curve:
    return Curve(segments, kinds, closed)


__all__ = ["Curve", "measure_together", "touch_limit"]
