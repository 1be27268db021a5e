"""The jog that a slanted cut leaves: closed by leading the edge over on both of its sides."""

from __future__ import annotations

import numpy as np

from .kinds import FloatArray, IntArray

__all__ = ["close_jogs", "spare_lengths"]

_LEAST_REACH, _REACH = 30.0, 15.0  # mm, and times the jog


def close_jogs(
    points: FloatArray,
    lengths: FloatArray,
    jogs: IntArray,
    marks: FloatArray,
    reach: float | None = None,
) -> FloatArray:
    """Points (N, 2) moved so that the parts before and after each jog lie in line.

    lengths (N,): along the edge. jogs (J, 2): numbers of the points where a jog begins and ends.
    Half of a jog is taken up on each of its sides, fading to nothing over the reach (default 15
    times the jog, at least 30 mm) or up to the next of marks, whichever is nearer: 1 and level
    at the jog, 0 and level at the end of the reach. What of a jog lies along the edge stays, as
    part of its length.
    """
    moved = points.copy()
    for first, last in jogs.tolist():
        before = points[first] - points[first - 1]
        after = points[last + 1] - points[last]
        run = before / np.hypot(*before) + after / np.hypot(*after)
        run = run / np.hypot(*run)
        jog = points[last] - points[first]
        jog = jog - (jog @ run) * run
        far = max(_LEAST_REACH, _REACH * float(np.hypot(*jog))) if reach is None else reach
        back = min(far, float((lengths[first] - marks[marks < lengths[first]]).min()))
        on = min(far, float((marks[marks > lengths[last]] - lengths[last]).min()))
        moved[: first + 1] += 0.5 * _fading((lengths[first] - lengths[: first + 1]) / back) * jog
        moved[last:] -= 0.5 * _fading((lengths[last:] - lengths[last]) / on) * jog
    return moved


def _fading(x: FloatArray) -> FloatArray:
    """1 and level at 0, 0 and level from 1 on (N, 1)."""
    x = np.clip(x, 0.0, 1.0)
    faded: FloatArray = (1.0 - x) ** 3 * (1.0 + 3.0 * x + 6.0 * x * x)
    return faded[:, None]


def spare_lengths(points: FloatArray, lengths: FloatArray, jogs: IntArray) -> FloatArray:
    """By how much (J,) the line led over each jog is longer than it should be."""
    ends = lengths[[0, -1]]
    spare = np.empty(len(jogs))
    for number, (first, last) in enumerate(jogs.tolist()):
        closed = close_jogs(points, lengths, jogs[number : number + 1], ends)
        for part in (slice(None, first + 1), slice(last, None)):
            old, new = (np.hypot(*np.diff(p[part], axis=0).T).sum() for p in (points, closed))
            spare[number] = new - old if part.start is None else spare[number] + new - old
        gap = float(np.hypot(*(closed[last] - closed[first])))
        spare[number] += gap - (lengths[last] - lengths[first])
    return spare
