"""Parts of a curve, and joints put into it."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable
from itertools import pairwise
from typing import TYPE_CHECKING

import numpy as np

from .evaluate import line_segments, points_complex, to_complex, to_real
from .kinds import LINE, TOUCH, FloatArray, GeometryError, IntArray, KindArray, Station
from .split import subdivide
from .stationing import checked, in_range, joint_list, one_parameter

if TYPE_CHECKING:
    from .curve import Curve

_Chain = tuple[FloatArray, KindArray]


def _cut(curve: Curve, seg: IntArray, t0: FloatArray, t1: FloatArray) -> _Chain:
    """Parts [t0, t1] (M,) of segments (M,): lines stay lines, whole segments stay bit for bit,
    and both neighbours of a cut get the same point."""
    out, kinds = curve.segments[seg], curve.kinds[seg]
    work = np.flatnonzero((t0 != 0.0) | (t1 != 1.0))
    if work.size:
        cut = subdivide(out[work], t0[work], t1[work])
        z = to_complex(out[work])
        cut[:, 0] = to_real(points_complex(z, t0[work]))
        cut[:, 3] = to_real(points_complex(z, t1[work]))
        lines = kinds[work] == LINE
        if lines.any():
            cut[lines] = line_segments(cut[lines, 0], cut[lines, 3])
        out[work] = cut
    return out, kinds


def _place(curve: Curve, s: float, joints: list[float]) -> tuple[int, float]:
    """Segment (counted on past the start of a closed curve) and parameter at length s; a joint
    within 1e-9 mm is taken exactly. Segments without length go with what lies before them."""
    if s == 0.0:
        return 0, 0.0
    i = bisect_right(joints, s + TOUCH)
    if abs(joints[i - 1] - s) <= TOUCH:
        return i - 1, 0.0
    return i - 1, one_parameter(curve, (i - 1) % curve.n, s - joints[i - 1])


def part(curve: Curve, s0: float, s1: float) -> tuple[_Chain, FloatArray | None]:
    """Segments and kinds of the part from length s0 to s1; and their lengths where they are
    segments of the curve as they stand."""
    joints = joint_list(curve)
    whole = joints[-1]
    begin, end = float(s0), float(s1)
    if not (0.0 <= begin < whole and 0.0 <= end < whole):
        begin, end = in_range(curve, np.array([s0, s1], dtype=np.float64)).tolist()
    if curve.closed:
        if whole <= TOUCH:
            raise GeometryError("a closed curve without length has no parts")
        if whole - begin <= TOUCH:
            begin = 0.0
        if end <= begin + TOUCH:
            end += whole
        joints = [*joints[:-1], *(joint + whole for joint in joints)]
    elif end - begin <= TOUCH:
        raise GeometryError(
            f"a part of an open curve must run forward, not from {s0:.9g} to {s1:.9g} mm"
        )
    first, last = _place(curve, begin, joints), _place(curve, end, joints)
    stop = last[0] + (1 if last[1] > 0.0 else 0)
    cut = first[1] > 0.0 or last[1] > 0.0
    if stop <= curve.n:
        rows: slice | IntArray = slice(first[0], stop)
    elif first[0] >= curve.n:
        rows = slice(first[0] - curve.n, stop - curve.n)
    else:
        rows = np.arange(first[0], stop) % curve.n
    if not cut:
        chain = curve.segments[rows].copy(), curve.kinds[rows].copy()
        return chain, curve.segment_lengths[rows].copy()
    seg = np.arange(first[0], stop) % curve.n
    t0, t1 = np.zeros(seg.shape), np.ones(seg.shape)
    t0[0] = first[1]
    if last[1] > 0.0:
        t1[-1] = last[1]
    return _cut(curve, seg, t0, t1), None


def cut_marks(curve: Curve, lengths: FloatArray) -> list[tuple[float, float]]:
    """From and to of each part that cuts at lengths (M,) leave; none where nothing is cut."""
    cuts = np.unique(in_range(curve, lengths))
    if cuts.size:
        cuts = cuts[np.concatenate(([True], np.diff(cuts) > TOUCH))]
    whole = curve.length
    if curve.closed:
        if cuts.size > 1 and cuts[0] + whole - cuts[-1] <= TOUCH:
            cuts = cuts[:-1]
        return list(zip(cuts.tolist(), np.roll(cuts, -1).tolist(), strict=True))
    cuts = cuts[(cuts > TOUCH) & (cuts < whole - TOUCH)]
    return list(pairwise([0.0, *cuts.tolist(), whole])) if cuts.size else []


def with_joints(curve: Curve, stations: Iterable[Station]) -> _Chain:
    """Segments and kinds of the same shape with joints at the stations too."""
    wanted = [(int(i), float(t)) for i, t in stations]
    seg, t = checked(curve, [i for i, _ in wanted], [t for _, t in wanted])
    inner = (t > 0.0) & (t < 1.0)
    seg = np.concatenate((np.arange(curve.n), seg[inner]))
    t = np.concatenate((np.zeros(curve.n), t[inner]))
    order = np.lexsort((t, seg))
    seg, t = seg[order], t[order]
    keep = np.concatenate(([True], (np.diff(seg) > 0) | (np.diff(t) > 0.0)))
    seg, t = seg[keep], t[keep]
    ends = np.append(t[1:], 1.0)
    ends[np.append(np.diff(seg) > 0, True)] = 1.0
    return _cut(curve, seg, t, ends)
