"""Where a line breaks: kinks, and jogs between two of them."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from ..corners import end_tangents
from ..curve import Curve
from ..kinds import LINE, FloatArray

__all__ = ["Kink", "find_kinks"]

_REGULAR = 3.0  # a polyline's vertex stands out when it turns this much more than those near it
_NEIGHBOURS = 4  # on each side
_STEP_TURN = 25.0  # degrees: both ends of a step turn at least so far


class Kink(NamedTuple):
    """A break of the tangent, or a jog between two.

    start, end: lengths along the curve, equal for a bare break. turn: degrees, of the break, or
    of the larger one of a jog's two; positive to the left. step: how wide the jog is, mm.
    """

    start: float
    end: float
    turn: float
    step: float


def find_kinks(
    curve: Curve, *, sharper_than: float = 5.0, longest_step: float = 10.0
) -> tuple[Kink, ...]:
    """Kinks and jogs of an open curve, in order.

    A kink is a joint where the tangent turns by more than `sharper_than` degrees, and three
    times more than at the joints of straight pieces nearby (a drawn-out polyline has no kinks).
    Two sharp kinks of opposite sign within `longest_step` mm of one another are one jog.
    """
    turns, lengths = _breaks(curve, sharper_than)
    found: list[Kink] = []
    i = 0
    while i < len(turns):
        pair = i + 1 < len(turns) and lengths[i + 1] - lengths[i] <= longest_step
        if pair and _is_step(float(turns[i]), float(turns[i + 1])):
            ends = curve.point_at(lengths[i : i + 2])
            larger = turns[i] if abs(turns[i]) >= abs(turns[i + 1]) else turns[i + 1]
            width = float(np.hypot(*(ends[1] - ends[0])))
            found.append(Kink(float(lengths[i]), float(lengths[i + 1]), float(larger), width))
            i += 2
        else:
            found.append(Kink(float(lengths[i]), float(lengths[i]), float(turns[i]), 0.0))
            i += 1
    return tuple(found)


def _is_step(first: float, second: float) -> bool:
    return first * second < 0.0 and min(abs(first), abs(second)) >= _STEP_TURN


def _breaks(curve: Curve, sharper_than: float) -> tuple[FloatArray, FloatArray]:
    """Turns (M,) in degrees and lengths (M,) of the joints that stand out."""
    live = curve.segment_lengths > 0.0
    segments, kinds = curve.segments[live], curve.kinds[live]
    lengths = np.cumsum(curve.segment_lengths[live])[:-1]
    if not len(lengths):
        return np.empty(0), np.empty(0)
    leave, arrive = end_tangents(segments)
    turns = np.degrees(np.angle(leave[1:] / arrive[:-1]))
    straight = (kinds[1:] == LINE) & (kinds[:-1] == LINE)
    limits = np.maximum(sharper_than, _REGULAR * _usual(np.abs(turns), straight))
    sharp = np.abs(turns) > limits
    return turns[sharp], lengths[sharp]


def _usual(turns: FloatArray, straight: NDArray[np.bool_]) -> FloatArray:
    """For each joint, how much joints of straight pieces nearby turn: the median of up to four
    on each side; 0 beside a curve, and where there are fewer than four."""
    padded = np.pad(np.where(straight, turns, np.nan), _NEIGHBOURS, constant_values=np.nan)
    windows = np.lib.stride_tricks.sliding_window_view(padded, 2 * _NEIGHBOURS + 1)
    others = np.delete(windows, _NEIGHBOURS, axis=1)
    enough = np.count_nonzero(~np.isnan(others), axis=1) >= _NEIGHBOURS
    usual = np.zeros(len(turns))
    use = enough & straight
    usual[use] = np.nanmedian(others[use], axis=1)
    return usual
