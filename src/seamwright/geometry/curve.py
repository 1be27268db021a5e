"""The Curve: a chain of segments as one array of cubic control points, in mm."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from . import arcs, crossings, cutting, stationing
from .area import area_terms
from .box import bounding_box
from .chain import checked_chain
from .corners import corner_segments
from .evaluate import (
    as_points,
    curvatures_complex,
    line_segments,
    points_complex,
    to_complex,
    to_real,
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
from .memo import Memo
from .nearest import nearest_on
from .rebuild import apply_matrix, bridge


@dataclass(frozen=True, slots=True, eq=False, repr=False)
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
    _memo: Memo = field(default_factory=Memo, init=False)

    def __post_init__(self) -> None:
        self.segments.flags.writeable = False
        self.kinds.flags.writeable = False

    def __reduce__(self) -> tuple[Any, ...]:
        return Curve, (np.array(self.segments), np.array(self.kinds), self.closed)

    def __repr__(self) -> str:
        lines = int((self.kinds == LINE).sum())
        return (
            f"<Curve {'closed' if self.closed else 'open'}, {lines} lines and "
            f"{self.n - lines} cubics, {self.length:.3f} mm>"
        )

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
        if not np.isfinite(p).all():
            bad = int(np.flatnonzero(~np.isfinite(p).all(axis=1))[0])
            raise GeometryError(f"point {bad} of a polyline is not a finite number")
        q = np.concatenate((p, p[:1])) if closed else p
        segments = line_segments(q[:-1], q[1:])
        return cls.from_segments(segments, np.zeros(len(segments), np.uint8), closed=closed)

    @classmethod
    def line(cls, a: ArrayLike, b: ArrayLike) -> Curve:
        """One straight segment from a (2,) to b (2,)."""
        return cls.polyline(np.stack((np.asarray(a, np.float64), np.asarray(b, np.float64))))

    @classmethod
    def circle(cls, centre: ArrayLike, radius: float) -> Curve:
        """A closed circle, anticlockwise from angle 0, within 1e-4 mm; its length is exact."""
        return cls.ellipse(centre, radius, radius)

    @classmethod
    def ellipse(cls, centre: ArrayLike, rx: float, ry: float, rotation: float = 0.0) -> Curve:
        """A closed ellipse, anticlockwise, rotated by degrees, within 1e-4 mm; its length is
        exact."""
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
        found = self._memo.lengths
        if found is None:
            found = stationing.frozen(stationing.measured(self.segments, self.kinds))
            self._memo.lengths = found
        return found

    @property
    def cumulative(self) -> FloatArray:
        """Length (K + 1,) from the start to each joint, mm; the last is the whole."""
        found = self._memo.cumulative
        if found is None:
            found = np.zeros(self.n + 1)
            np.cumsum(self.segment_lengths, out=found[1:])
            self._memo.cumulative = stationing.frozen(found)
        return found

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
        found = self._memo.bbox
        if found is None:
            found = self._memo.bbox = stationing.frozen(bounding_box(self.segments))
        return found

    @property
    def start(self) -> FloatArray:
        """First point (2,)."""
        out: FloatArray = self.segments[0, 0]
        return out

    @property
    def end(self) -> FloatArray:
        """Last point (2,); of a closed curve the first again."""
        out: FloatArray = self.segments[-1, 3]
        return out

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
        return stationing.stations(self, np.atleast_1d(np.asarray(s, dtype=np.float64)))

    def station_at(self, s: float) -> Station:
        """The station at length s from the start."""
        return Station(*stationing.one_station(self, float(s)))

    def points_of(self, segments: ArrayLike, ts: ArrayLike) -> FloatArray:
        """Points (N, 2) at parameters ts (N,) of segments (N,)."""
        seg, t = stationing.checked(self, segments, ts)
        return to_real(points_complex(to_complex(self.segments)[seg], t))

    def point_of(self, station: Station) -> FloatArray:
        """Point (2,) at a station."""
        return stationing.one_point(self, *stationing.checked_one(self, *station))

    def tangents_of(self, segments: ArrayLike, ts: ArrayLike) -> FloatArray:
        """Unit tangents (N, 2). A segment without extent takes the direction of the travel that
        follows it, else of that before; a curve without extent gives 0."""
        return to_real(stationing.tangents(self, *stationing.checked(self, segments, ts)))

    def lengths_of(self, segments: ArrayLike, ts: ArrayLike) -> FloatArray:
        """Lengths (N,) from the start of the curve to stations, mm."""
        return stationing.lengths(self, *stationing.checked(self, segments, ts))

    def length_of(self, station: Station) -> float:
        """Length from the start of the curve to a station, mm."""
        return stationing.one_length(self, *stationing.checked_one(self, *station))

    def point_at(self, s: ArrayLike) -> FloatArray:
        """Point (2,) at length s, or (N, 2) at lengths (N,)."""
        if isinstance(s, float | int):
            return stationing.one_point(self, *stationing.one_station(self, float(s)))
        return _shaped(self.points_of(*self.stations_at(s)), s)

    def tangent_at(self, s: ArrayLike) -> FloatArray:
        """Unit tangent (2,) or (N, 2) at length s; at a joint that of the segment that follows."""
        if isinstance(s, float | int):
            return stationing.one_tangent(self, *stationing.one_station(self, float(s)))
        return _shaped(self.tangents_of(*self.stations_at(s)), s)

    def normal_at(self, s: ArrayLike) -> FloatArray:
        """Unit normal to the left of travel, (2,) or (N, 2)."""
        tangent = self.tangent_at(s)
        return np.stack((-tangent[..., 1], tangent[..., 0]), axis=-1)

    def curvature_at(self, s: ArrayLike) -> Any:
        """Signed curvature, 1/mm, left turns positive: float at one length, (N,) at many.

        Infinite where a curved segment stands still (a cusp, a collapsed handle).
        """
        seg, t = self.stations_at(s)
        found = curvatures_complex(to_complex(self.segments)[seg], t)
        found = np.where(self.kinds[seg] == LINE, 0.0, found)
        return float(found[0]) if np.ndim(s) == 0 else found

    def nearest(self, points: ArrayLike) -> Nearest:
        """Where the curve comes nearest to points (N, 2): the exact foot points.

        A joint is told as the start of the segment that follows, as by `stations_at`.
        """
        p = as_points(points)
        if not np.isfinite(p).all():
            raise GeometryError("a point to project is not finite")
        seg, t, distance = nearest_on(self.segments, p)
        ends = (t == 1.0) & ((seg < self.n - 1) | self.closed)
        seg, t = np.where(ends, (seg + 1) % self.n, seg), np.where(ends, 0.0, t)
        return Nearest(seg, t, self.points_of(seg, t), distance, self.lengths_of(seg, t))

    # -- new curves -----------------------------------------------------------------------

    def part(self, s0: float, s1: float) -> Curve:
        """The open curve from length s0 to s1. On a closed curve s1 <= s0 goes round the start.

        An end within 1e-9 mm of a joint takes that joint exactly.
        """
        (segments, kinds), lengths = cutting.part(self, s0, s1)
        if not segments.shape[0]:
            raise GeometryError(f"there is nothing between {s0:.9g} and {s1:.9g} mm")
        # Parts of a sound chain are one: neighbours share their points to the last digit.
        out = Curve(segments, kinds, False)
        if lengths is not None:
            out._memo.lengths = stationing.frozen(lengths)
        return out

    def split(self, lengths: ArrayLike) -> tuple[Curve, ...]:
        """Cuts at lengths (M,). An open curve falls into M + 1 parts, in order; a closed one
        into M parts, the first beginning at the smallest length, the last running round the
        start. Cuts at the very ends of an open curve, and repeated ones, cut nothing."""
        cuts = np.atleast_1d(np.asarray(lengths, dtype=np.float64))
        return tuple(self.part(a, b) for a, b in cutting.cut_marks(self, cuts)) or (self,)

    def insert_joints(self, stations: Iterable[Station]) -> Curve:
        """The same shape with joints at the stations too; at a joint nothing is added."""
        return Curve.from_segments(*cutting.with_joints(self, stations), closed=self.closed)

    def reversed(self) -> Curve:
        """The same curve travelled the other way."""
        return Curve(self.segments[::-1, ::-1].copy(), self.kinds[::-1].copy(), self.closed)

    def transformed(self, matrix: ArrayLike) -> Curve:
        """Under an affine matrix 2x3 or 3x3 (column vectors: p' = A p + b)."""
        mapped = apply_matrix(self.segments, matrix)
        return Curve.from_segments(mapped, self.kinds, closed=self.closed)

    def translated(self, dx: float, dy: float) -> Curve:
        """Moved by (dx, dy) mm."""
        return self.transformed([[1.0, 0.0, dx], [0.0, 1.0, dy]])

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

        Crossings, touches (within 1e-9 mm), and the ends of segments that coincide.
        """
        return crossings.crossings(self, other)

    def self_intersections(self) -> Crossings:
        """Where the curve crosses or touches itself, joints between neighbours left out."""
        return crossings.self_crossings(self)

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


def measure_together(curves: Sequence[Curve]) -> FloatArray:
    """Lengths (N,) of many curves by one call of the kernel; each curve remembers its own."""
    todo = [curve for curve in curves if curve._memo.lengths is None]
    if todo:
        found = stationing.measured(
            np.concatenate([c.segments for c in todo]), np.concatenate([c.kinds for c in todo])
        )
        remember_lengths(todo, found)
    return np.array([curve.length for curve in curves])


def remember_lengths(curves: Sequence[Curve], lengths: FloatArray) -> None:
    """Lets curves know the lengths of all their segments in one row, which somebody measured."""
    ends = np.cumsum([c.n for c in curves])
    for curve, own in zip(curves, np.split(lengths, ends[:-1]), strict=True):
        if curve._memo.lengths is None:
            curve._memo.lengths = stationing.frozen(own.copy())


def _shaped(values: FloatArray, s: ArrayLike) -> FloatArray:
    """One value where one length was asked."""
    return values[0] if np.ndim(s) == 0 else values
