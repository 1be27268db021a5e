"""Curvature combs: teeth square to a line, as long as it is bent, their tips joined."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np

from seamwright.geometry import Curve, FloatArray, evaluate, first_derivatives, second_derivatives

_EVERY = 6.0  # mm from tooth to tooth
_SCALE = 1200.0  # mm2: a circle of 60 mm radius has teeth of 20 mm
_LONGEST = 60.0  # mm
_DIGITS = 2


def curvatures(segments: FloatArray, ts: FloatArray) -> FloatArray:
    """Signed curvature (N,) in 1/mm of segments (N, 4, 2) at their parameters, positive to the
    left; 0 where a collapsed handle leaves no speed."""
    d1, d2 = first_derivatives(segments, ts), second_derivatives(segments, ts)
    cross = d1[:, 0] * d2[:, 1] - d1[:, 1] * d2[:, 0]
    speed = np.hypot(d1[:, 0], d1[:, 1])
    safe = np.where(speed > 1e-6, speed, np.inf)
    return np.asarray(cross / safe**3)


def comb(curves: Sequence[Curve]) -> list[list[list[float]]]:
    """The comb over some stretches of one outline, as polylines of [x, y] in mm: one through the
    tips of each stretch, and each tooth. Teeth point outwards where the outline bulges."""
    out: list[list[list[float]]] = []
    for curve in curves:
        live = curve.segment_lengths > 1e-9
        segments, lengths = curve.segments[live], curve.segment_lengths[live]
        count = np.maximum(np.ceil(lengths / _EVERY).astype(np.int64), 2) + 1
        owner = np.repeat(np.arange(len(segments)), count)
        index = np.arange(len(owner)) - np.repeat(np.cumsum(count) - count, count)
        ts = index / (count[owner] - 1)
        bend = curvatures(segments[owner], ts)
        if not len(bend) or np.abs(bend).max() < 1e-6:
            continue
        feet = evaluate(segments[owner], ts)
        d1 = first_derivatives(segments[owner], np.clip(ts, 1e-4, 1.0 - 1e-4))
        speed = np.maximum(np.hypot(d1[:, 0], d1[:, 1]), 1e-12)
        right = np.column_stack((d1[:, 1], -d1[:, 0])) / speed[:, None]
        reach = np.clip(_SCALE * bend, -_LONGEST, _LONGEST)
        tips = feet + reach[:, None] * right
        feet, tips = np.round(feet, _DIGITS), np.round(tips, _DIGITS)
        out.append(tips.tolist())
        out += np.stack((feet, tips), axis=1).tolist()
    return out


def comb_row(piece: str, size: str, when: str, curves: Sequence[Curve]) -> dict[str, Any]:
    """One entry of figures["combs"]; when: "before" or "after"."""
    return {"piece": piece, "size": size, "when": when, "lines": comb(curves)}
