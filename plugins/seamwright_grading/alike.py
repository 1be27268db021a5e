"""A nest whose sizes have the same segments: which points need a rule so that it comes back.

All sizes are cut at the same places, so that a segment and a parameter mean the same point in
every size; notches are such places too, each size's own.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from seamwright.geometry import LINE, Curve, FloatArray, KindArray, Station, evaluate, subdivide
from seamwright.model import LineRole, Shape

from .field import Moved

_MOST = 400
"""Points of one piece that get a rule at most; a nest that needs more was not graded by rules."""
_PLACES = np.array([0.25, 0.5, 0.75])


@dataclass(slots=True)
class Alike:
    """The seam line of one piece in Z sizes, cut alike.

    base     (K, 4, 2) in the base size; sizes (Z, K, 4, 2) in all
    kinds    (K,)
    origin   the station of each joint on the base size's own seam line
    graded   numbers of the joints that have a rule
    """

    base: FloatArray
    sizes: FloatArray
    kinds: KindArray
    origin: list[Station]
    graded: list[int]

    def cut(self, segment: int, t_base: float, t_sizes: FloatArray) -> int:
        """Cut a segment, in the base size at t_base, in each size at its own; the new joint."""
        low, high = self.origin[segment], self._end_t(segment)
        place = Station(low.segment, low.t + t_base * (high - low.t))
        self.base = _cut(self.base[None], segment, np.array([t_base]))[0]
        self.sizes = _cut(self.sizes, segment, t_sizes)
        self.kinds = np.insert(self.kinds, segment, self.kinds[segment])
        self.origin.insert(segment + 1, place)
        self.graded = [j + (j > segment) for j in self.graded]
        return segment + 1

    def _end_t(self, segment: int) -> float:
        """The parameter, on its own segment of the base size, at which a piece of it ends."""
        if segment + 1 < len(self.origin):
            after = self.origin[segment + 1]
            if after.segment == self.origin[segment].segment:
                return after.t
        return 1.0

    def moved(self) -> Moved:
        """The base size's curve as cut, and how its graded joints move."""
        curve = Curve.from_segments(self.base, self.kinds, closed=True)
        joints = np.array(sorted(self.graded), dtype=np.int64)
        moves = self.sizes[:, joints, 0] - self.base[joints, 0]
        return Moved(curve, curve.cumulative[joints], moves)

    def off(self) -> tuple[FloatArray, FloatArray]:
        """How far graded sizes lie from the drawn ones: at the joints (K,), and at the worst of
        three places within each segment (K,); the largest over all sizes."""
        segments = np.stack([c.segments for c in self.moved().curves()])
        joints = np.hypot(*np.moveaxis(segments[:, :, 0] - self.sizes[:, :, 0], -1, 0))
        inner = np.zeros(joints.shape)
        bent = np.flatnonzero(self.kinds != LINE)
        if bent.size:
            a, b = (
                evaluate(
                    s[:, bent].reshape(-1, 4, 2), np.tile(_PLACES, (s.shape[0] * bent.size, 1))
                )
                for s in (segments, self.sizes)
            )
            apart = np.hypot(*np.moveaxis(a - b, -1, 0)).max(axis=1)
            inner[:, bent] = apart.reshape(-1, bent.size)
        return joints.max(axis=0), inner.max(axis=0)


def _cut(curves: FloatArray, segment: int, t: FloatArray) -> FloatArray:
    """Curves (Z, K, 4, 2) with one segment cut in two at t (Z,)."""
    old = curves[:, segment]
    zero, one = np.zeros(len(t)), np.ones(len(t))
    first, second = subdivide(old, zero, t), subdivide(old, t, one)
    second[:, 0] = first[:, 3]
    return np.concatenate(
        (curves[:, :segment], first[:, None], second[:, None], curves[:, segment + 1 :]), axis=1
    )


def alike(base: Shape, shapes: Sequence[Shape]) -> Alike | None:
    """The nest, its corners graded (its start, without corners); None where sizes have other
    segments."""
    line = base.seam_line
    if any(
        s.seam_line.n != line.n or not np.array_equal(s.seam_line.kinds, line.kinds) for s in shapes
    ):
        return None
    same = all([c.station for c in s.corners] == [c.station for c in base.corners] for s in shapes)
    if not same:
        return None
    return Alike(
        base=line.segments.copy(),
        sizes=np.stack([s.seam_line.segments for s in shapes]),
        kinds=line.kinds.copy(),
        origin=[Station(i, 0.0) for i in range(line.n)],
        graded=[c.station.segment for c in base.corners] or [0],
    )


def cut_at_notches(nest: Alike, base: Shape, shapes: Sequence[Shape]) -> None:
    """Make every notch a joint, in each size where that size has it. A notch that lies on other
    segments in other sizes, or is missing in one, is left out."""
    rows = [[n for n in s.notches if n.line is LineRole.SEAM] for s in shapes]
    own = [n for n in base.notches if n.line is LineRole.SEAM]
    if any(len(row) != len(own) for row in rows):
        return
    places = []
    for i, notch in enumerate(own):
        stations = [row[i].station for row in rows]
        inside = all(0.0 < s.t < 1.0 and s.segment == notch.station.segment for s in stations)
        if inside and 0.0 < notch.station.t < 1.0:
            places.append((notch.station.segment, notch.station.t, [s.t for s in stations]))
    # From the back, so that earlier segments keep their numbers; within one segment as well.
    last: dict[int, tuple[float, FloatArray]] = {}
    for segment, t, ts in sorted(places, reverse=True):
        until, untils = last.get(segment, (1.0, np.ones(len(ts))))
        cuts = np.array(ts)
        if t >= until - 1e-9 or (cuts >= untils - 1e-9).any():
            continue
        nest.cut(segment, t / until, cuts / untils)
        last[segment] = (t, cuts)


def grade_as_needed(nest: Alike, tolerance: float) -> None:
    """Grade more joints, and cut curves where their joints alone do not do, until graded sizes
    lie within `tolerance` of the drawn ones."""
    while len(nest.graded) < _MOST:
        joints, inner = nest.off()
        ordered = sorted(nest.graded)
        stretch = np.searchsorted(ordered, np.arange(len(joints)), side="right") % len(ordered)
        added: list[int] = []
        cuts: list[int] = []
        # One more point on every stretch between graded points that needs one.
        for k in np.unique(stretch).tolist():
            here = np.flatnonzero(stretch == k)
            worst = int(here[np.argmax(joints[here])])
            bent = int(here[np.argmax(inner[here])])
            if joints[worst] > tolerance:
                added.append(worst)
            elif inner[bent] > tolerance:
                after = (bent + 1) % len(joints)
                loose = [j for j in (bent, after) if j not in nest.graded and joints[j] > 0.0]
                if loose:
                    added += loose[:1]
                else:
                    cuts.append(bent)
        if not added and not cuts:
            return
        nest.graded += added
        half = np.full(nest.sizes.shape[0], 0.5)
        for segment in sorted(cuts, reverse=True):
            nest.graded.append(nest.cut(segment, 0.5, half))
