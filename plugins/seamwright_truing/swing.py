"""An edge whose end is swung to another direction, its end point and all that lies farther kept.

Laid together along the seam, the crossing line turns by k at the seam. Each of the two edges is
swung by k / 2 over a stretch d before the seam: a place at share u of the stretch moves sideways,
square to the edge's direction at the seam, by tan(k / 2) d (u^4 - u^3). That is 0 at both ends,
and at the stretch's start its slope and bend are 0 too; at the seam its slope is tan(k / 2), so
the two directions meet exactly; and the bends that both sides gain there are equal. The farthest
move is 27 / 256 of tan(k / 2) d. (Hermite interpolation; the choice of it: common practice, no
source.)
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from seamwright.geometry import Curve, FloatArray, IntArray, evaluate, first_derivatives
from seamwright.geometry.corners import end_tangents

_PIECES = 4  # cubics over a stretch without joints


class Swung(NamedTuple):
    """The new curve, and how far the line moved at most, mm."""

    curve: Curve
    shift: float


def swing(edge: Curve, degrees: float, *, at_end: bool = True) -> Swung:
    """The open curve with its direction of travel at its end turned by `degrees` (to the left
    where positive); at_end=False: at its start. Both end points stay."""
    if not at_end:
        # Run the other way, a turn to the left of travel remains a turn to the left.
        turned = swing(edge.reversed(), degrees)
        return Swung(turned.curve.reversed(), turned.shift)
    line = edge.segments[edge.segment_lengths > 1e-9]
    lengths = edge.segment_lengths[edge.segment_lengths > 1e-9]
    total = float(lengths.sum())
    _, arrive = end_tangents(line[-1:])
    across = np.array([-arrive[0].imag, arrive[0].real])
    slope = float(np.tan(np.radians(degrees)))
    count = np.maximum(np.ceil(_PIECES * lengths / total - 1e-6).astype(np.int64), 1)
    owner = np.repeat(np.arange(len(line)), count)
    index = np.arange(len(owner)) - np.repeat(np.cumsum(count) - count, count)
    # Joints at even lengths, so that a piece's speed says how long it is.
    ends = np.concatenate(([0.0], np.cumsum(lengths)))
    low = ends[owner] + lengths[owner] * index / count[owner]
    high = ends[owner] + lengths[owner] * (index + 1) / count[owner]
    clean = Curve.from_segments(line)
    t0, t1 = _parameters(clean, owner, low), _parameters(clean, owner, high)
    t0[index == 0], t1[index == count[owner] - 1] = 0.0, 1.0
    pieces = np.empty((len(owner), 4, 2))
    for k, (t, s, way) in enumerate(((t0, low, 1.0), (t1, high, -1.0))):
        u = (s / total)[:, None]
        place = evaluate(line[owner], t) + slope * total * (u**4 - u**3) * across
        tangent = _tangents(line[owner], t) + slope * (4.0 * u**3 - 3.0 * u**2) * across
        pieces[:, 3 * k] = place
        pieces[:, 3 * k + (1 if way > 0 else -1)] = (
            place + way * ((high - low) / 3.0)[:, None] * tangent
        )
    pieces[1:, 0] = pieces[:-1, 3]
    pieces[0, 0], pieces[-1, 3] = edge.start, edge.end
    return Swung(Curve.from_segments(pieces), abs(slope) * total * 27.0 / 256.0)


def _parameters(line: Curve, owner: IntArray, at: FloatArray) -> FloatArray:
    """Parameters on their own segments of lengths along the line."""
    inside = np.clip(at, line.cumulative[owner], line.cumulative[owner + 1])
    segments, ts = line.stations_at(np.clip(inside, 0.0, line.length))
    # A joint belongs to both segments that meet there.
    ts = np.where(segments > owner, 1.0, np.where(segments < owner, 0.0, ts))
    return np.asarray(ts, dtype=np.float64)


def _tangents(segments: FloatArray, t: FloatArray) -> FloatArray:
    d = first_derivatives(segments, t)
    size = np.hypot(d[:, 0], d[:, 1])
    out, arrive = end_tangents(segments)
    limit = np.where(t <= 0.5, out, arrive)  # a collapsed handle has no speed at its end
    safe = np.where(size > 1e-9, size, 1.0)[:, None]
    return np.where((size > 1e-9)[:, None], d / safe, np.column_stack((limit.real, limit.imag)))
