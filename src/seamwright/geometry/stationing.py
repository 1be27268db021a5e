"""From lengths along a curve to stations and back."""

from __future__ import annotations

from bisect import bisect_right
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import ArrayLike

from . import single
from .corners import end_tangents
from .evaluate import to_complex, to_real, unit_tangents_complex
from .kinds import LINE, TOUCH, ComplexArray, FloatArray, GeometryError, IntArray, KindArray
from .length import arc_lengths
from .locate import LengthTable

if TYPE_CHECKING:
    from .curve import Curve

#: So few cubics are measured, so few places found, one by one.
_FEW = 3


def frozen(array: FloatArray) -> FloatArray:
    """The array itself, read-only from now on."""
    array.flags.writeable = False
    return array


def measured(segments: FloatArray, kinds: KindArray) -> FloatArray:
    """Lengths (K,): chords for lines, the certified integral for cubics."""
    cubics = kinds != LINE
    count = int(np.count_nonzero(cubics))
    if count == len(kinds) > _FEW:
        return arc_lengths(segments)
    chord = segments[:, 3] - segments[:, 0]
    out: FloatArray = np.hypot(chord[:, 0], chord[:, 1])
    if count > _FEW:
        out[cubics] = arc_lengths(segments[cubics])
    elif count:
        # Few are done sooner one by one, where 16 nodes are proved to do.
        for i in np.flatnonzero(cubics).tolist():
            plain = single.squares(single.control(segments, i))
            if plain is None:
                out[i] = arc_lengths(segments[i : i + 1])[0]
            else:
                out[i] = single.length_to(plain, 1.0)
    return out


def in_range(curve: Curve, s: FloatArray) -> FloatArray:
    """Lengths on the curve: clipped within 1e-9 mm on an open one, taken round on a closed one.

    GeometryError: a length that is not finite, or not on an open curve.
    """
    if not np.isfinite(s).all():
        raise GeometryError("a length along the curve is not finite")
    whole = curve.length
    if curve.closed:
        return np.where((s >= 0.0) & (s < whole), s, np.mod(s, whole) if whole else 0.0)
    slack = max(TOUCH, 4.0 * float(np.spacing(whole)))
    if s.size and (s.min() < -slack or s.max() > whole + slack):
        worst = s.min() if s.min() < -slack else s.max()
        raise GeometryError(f"length {worst:.9g} mm is not on a curve of {whole:.9g} mm")
    return np.clip(s, 0.0, whole)


def checked(curve: Curve, segments: ArrayLike, ts: ArrayLike) -> tuple[IntArray, FloatArray]:
    """Stations as arrays (N,); GeometryError for those that are not on the curve."""
    seg = np.atleast_1d(np.asarray(segments, dtype=np.int64))
    t = np.atleast_1d(np.asarray(ts, dtype=np.float64))
    seg, t = np.broadcast_arrays(seg, t)
    if seg.size:
        if seg.min() < 0 or seg.max() >= curve.n:
            raise GeometryError(f"a station names a segment outside 0..{curve.n - 1}")
        if not (t.min() >= -1e-12 and t.max() <= 1.0 + 1e-12):
            raise GeometryError("a station's parameter lies outside 0..1")
    return seg, np.clip(t, 0.0, 1.0)


def table_of(curve: Curve) -> LengthTable:
    """The curve's table of panels, made when first needed."""
    memo = curve._memo
    if memo.table is None:
        memo.table = LengthTable(curve.segments)
    return memo.table


def parameters(curve: Curve, seg: IntArray, s: FloatArray) -> FloatArray:
    """Parameters (N,) at lengths s (N,) from the starts of segments (N,)."""
    lengths = curve.segment_lengths[seg]
    t = np.clip(s / np.where(lengths > 0.0, lengths, np.inf), 0.0, 1.0)
    curved = np.flatnonzero(curve.kinds[seg] != LINE)
    if curved.size:
        t[curved] = table_of(curve).at(seg[curved], s[curved])
    return t


def stations(curve: Curve, s: FloatArray) -> tuple[IntArray, FloatArray]:
    """Segments and parameters at lengths s (N,); a joint belongs to the segment that follows."""
    if 0 < s.size <= _FEW:
        found = [one_station(curve, one) for one in s.tolist()]
        return np.array([i for i, _ in found], dtype=np.int64), np.array([t for _, t in found])
    at = in_range(curve, s)
    cumulative = curve.cumulative
    seg = np.minimum(np.searchsorted(cumulative, at, side="right") - 1, curve.n - 1)
    t = parameters(curve, seg, at - cumulative[seg])
    t[at >= cumulative[-1]] = 1.0
    return seg, t


def joint_list(curve: Curve) -> list[float]:
    """The curve's cumulative lengths as plain numbers."""
    memo = curve._memo
    if memo.joints is None:
        memo.joints = curve.cumulative.tolist()
    return memo.joints


def one_segment(curve: Curve, i: int) -> tuple[single.Four, single.Squares | None]:
    """Control points of one segment, and the squares of its speed where those are plain."""
    known = curve._memo.singles
    found = known.get(i)
    if found is None:
        z = single.control(curve.segments, i)
        found = known[i] = (z, None if curve.kinds[i] == LINE else single.squares(z))
    return found


def one_parameter(curve: Curve, i: int, s: float) -> float:
    """The parameter at length s from the start of segment i."""
    whole = float(curve.segment_lengths[i])
    if s <= 0.0 or whole <= 0.0:
        return 0.0
    if s >= whole:
        return 1.0
    if curve.kinds[i] == LINE:
        return s / whole
    plain = one_segment(curve, i)[1]
    t = None if plain is None else single.parameter_at(plain, s, whole)
    if t is None:
        return float(table_of(curve).at(np.array([i]), np.array([s]))[0])
    return t


def one_station(curve: Curve, s: float) -> tuple[int, float]:
    """Segment and parameter at one length, as `stations` gives them."""
    joints = joint_list(curve)
    whole = joints[-1]
    if not 0.0 <= s < whole:
        s = float(in_range(curve, np.array([s], dtype=np.float64))[0])
    if s >= whole:
        return curve.n - 1, 1.0
    i = bisect_right(joints, s) - 1
    return i, one_parameter(curve, i, s - joints[i])


def one_point(curve: Curve, i: int, t: float) -> FloatArray:
    """The point (2,) at one station."""
    p = single.point(one_segment(curve, i)[0], t)
    return np.array([p.real, p.imag])


def one_tangent(curve: Curve, i: int, t: float) -> FloatArray:
    """The unit tangent (2,) at one station, as `tangents` gives it."""
    d = single.tangent(one_segment(curve, i)[0], t)
    if d is None:
        out: FloatArray = to_real(tangents(curve, np.array([i]), np.array([t])))[0]
        return out
    return np.array([d.real, d.imag])


def one_length(curve: Curve, i: int, t: float) -> float:
    """The length from the start of the curve to one station."""
    before = joint_list(curve)[i]
    if t <= 0.0:
        return before
    whole = float(curve.segment_lengths[i])
    if t >= 1.0:
        return before + whole
    if curve.kinds[i] == LINE:
        return before + t * whole
    plain = one_segment(curve, i)[1]
    if plain is None:
        return before + float(table_of(curve).lengths(np.array([i]), np.array([t]))[0])
    return before + single.length_to(plain, t)


def checked_one(curve: Curve, segment: int, t: float) -> tuple[int, float]:
    """One station; GeometryError where it is not on the curve."""
    if not 0 <= segment < curve.n:
        raise GeometryError(f"a station names a segment outside 0..{curve.n - 1}")
    if not -1e-12 <= t <= 1.0 + 1e-12:
        raise GeometryError("a station's parameter lies outside 0..1")
    return int(segment), min(max(float(t), 0.0), 1.0)


def lengths(curve: Curve, seg: IntArray, t: FloatArray) -> FloatArray:
    """Lengths (N,) from the start of the curve to stations."""
    if seg.size <= _FEW:
        pairs = zip(seg.tolist(), t.tolist(), strict=True)
        return np.array([one_length(curve, i, at) for i, at in pairs], dtype=np.float64)
    out = t * curve.segment_lengths[seg]
    inner = np.flatnonzero((curve.kinds[seg] != LINE) & (t > 0.0) & (t < 1.0))
    if inner.size:
        out[inner] = table_of(curve).lengths(seg[inner], t[inner])
    out += curve.cumulative[seg]
    return out


def tangents(curve: Curve, seg: IntArray, t: FloatArray) -> ComplexArray:
    """Unit tangents; segments without extent borrow those of their neighbours."""
    out = unit_tangents_complex(to_complex(curve.segments)[seg], t)
    still = out == 0.0
    if still.any():
        leave, arrive = end_tangents(curve.segments)
        live = np.flatnonzero(leave != 0.0)
        if live.size:
            place = np.searchsorted(live, seg[still])
            follows = (place < live.size) | curve.closed
            after, before = live[place % live.size], live[place - 1]
            out[still] = np.where(follows, leave[after], arrive[before])
    return out
