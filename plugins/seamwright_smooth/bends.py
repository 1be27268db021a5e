"""How lines bend: kinks and jumps at joints, lobes between inflections. Whole arrays over all
stretches of all sizes.

A lobe is a stretch that bends to one side. Lobes that turn by less than a fifth of a degree are
no bend but noise, and straight lines are none.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from seamwright.geometry import LINE, Curve, FloatArray, IntArray, evaluate
from seamwright.geometry.corners import end_tangents

from .combs import curvatures

BoolArray = np.ndarray[tuple[int, ...], np.dtype[np.bool_]]

_SAMPLES = 24  # on each segment
_NOISE = 0.2  # degrees


@dataclass(frozen=True, slots=True, eq=False)
class Bends:
    """For each of M stretches: largest kink (degrees) and jump of the bend (1/mm) at its joints,
    how often it changes its bend, how many short lobes it has between two of the other sign; and
    by code where the worst of each lies (M, 2)."""

    kinks: FloatArray
    jumps: FloatArray
    inflections: IntArray
    waves: IntArray
    places: dict[str, FloatArray]


def bends_of(curves: Sequence[Curve], *, kink: float, wave: float) -> Bends:
    """kink: breaks above it are told as kinks, and the bend is not compared across them; wave: mm
    below which a lobe is short."""
    many = len(curves)
    starts = np.array([c.start for c in curves]).reshape(-1, 2)
    if not many:
        none = np.zeros(0)
        return Bends(none, none, none.astype(int), none.astype(int), {})
    counts = np.array([c.n for c in curves])
    owner = np.repeat(np.arange(many), counts)
    segments = np.concatenate([c.segments for c in curves])
    lengths = np.concatenate([c.segment_lengths for c in curves])
    straight = np.concatenate([c.kinds for c in curves]) == LINE
    live = lengths > 1e-9
    owner, segments, lengths, straight = owner[live], segments[live], lengths[live], straight[live]
    kinks, jumps, kink_at, jump_at = _joints(many, owner, segments, straight, kink, starts)
    inflections, waves, turn_at, wave_at = _lobes(many, owner, segments, lengths, straight, wave,
                                                  starts)  # fmt: skip
    return Bends(
        kinks, jumps, inflections, waves,
        {
            "smooth.kink": kink_at, "smooth.jump": jump_at,
            "smooth.inflections": turn_at, "smooth.wave": wave_at,
        },
    )  # fmt: skip


def _joints(
    many: int, owner: IntArray, segments: FloatArray, straight: BoolArray,
    kink: float, starts: FloatArray,
) -> tuple[FloatArray, FloatArray, FloatArray, FloatArray]:  # fmt: skip
    out, arrive = end_tangents(segments)
    inner = np.flatnonzero(owner[1:] == owner[:-1])
    turn = np.abs(np.degrees(np.angle(out[inner + 1] / arrive[inner])))
    # A collapsed handle has no bend at its very end.
    before = np.where(straight[inner], 0.0, curvatures(segments[inner], np.full(inner.size, 0.999)))
    after = np.where(
        straight[inner + 1], 0.0, curvatures(segments[inner + 1], np.full(inner.size, 0.001))
    )
    jump = np.where(turn > kink, 0.0, np.abs(after - before))
    places = segments[inner, 3]
    kinks, kink_at = _largest(many, owner[inner], turn, places, starts)
    jumps, jump_at = _largest(many, owner[inner], jump, places, starts)
    return kinks, jumps, kink_at, jump_at


def _largest(
    many: int, owner: IntArray, values: FloatArray, places: FloatArray, starts: FloatArray
) -> tuple[FloatArray, FloatArray]:
    """The largest value of each owner (0 where it has none), and its place."""
    most, at = np.zeros(many), starts.copy()
    order = np.argsort(values, kind="stable")  # the largest is written last
    most[owner[order]] = values[order]
    at[owner[order]] = places[order]
    return most, at


def _lobes(
    many: int, owner: IntArray, segments: FloatArray, lengths: FloatArray,
    straight: BoolArray, wave: float, starts: FloatArray,
) -> tuple[IntArray, IntArray, FloatArray, FloatArray]:  # fmt: skip
    count = len(segments)
    ts = (np.arange(_SAMPLES) + 0.5) / _SAMPLES
    row = np.repeat(np.arange(count), _SAMPLES)
    t = np.tile(ts, count)
    bend = np.where(straight[row], 0.0, curvatures(segments[row], t))
    step = lengths[row] / _SAMPLES
    whose = owner[row]
    sign = np.sign(bend).astype(np.int64)
    change = np.concatenate(([True], (sign[1:] != sign[:-1]) | (whose[1:] != whose[:-1])))
    lobe = np.cumsum(change) - 1
    first = np.flatnonzero(change)
    turned = np.degrees(np.bincount(lobe, weights=np.abs(bend) * step))
    long = np.bincount(lobe, weights=step)
    keep = (turned > _NOISE) & (sign[first] != 0)
    lobe_owner, lobe_sign = whose[first][keep], sign[first][keep]
    long, middle = long[keep], first[keep]
    # Neighbours of one sign, once the noise between them is gone, are one lobe.
    starts_new = np.ones(len(lobe_sign), dtype=bool)
    starts_new[1:] = (lobe_sign[1:] != lobe_sign[:-1]) | (lobe_owner[1:] != lobe_owner[:-1])
    group = np.cumsum(starts_new) - 1
    head = np.flatnonzero(starts_new)
    reach = np.bincount(group, weights=long) if len(group) else np.zeros(0)
    g_owner, g_at = lobe_owner[head], middle[head]
    lobes = np.bincount(g_owner, minlength=many)
    inner = np.zeros(len(head), dtype=bool)
    if len(head) > 2:
        inner[1:-1] = (g_owner[1:-1] == g_owner[:-2]) & (g_owner[1:-1] == g_owner[2:])
    short = np.flatnonzero(inner & (reach < wave))
    spots = evaluate(segments[row[g_at]], t[g_at]) if len(g_at) else np.zeros((0, 2))
    turn_at, wave_at = starts.copy(), starts.copy()
    turn_at[g_owner] = spots
    wave_at[g_owner[short]] = spots[short]
    waves = np.bincount(g_owner[short], minlength=many)
    return np.maximum(lobes - 1, 0), waves, turn_at, wave_at
