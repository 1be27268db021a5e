"""The pressed edge trued: no dent where a tuck was, no bend where the held underarm ends.

A sheet turns freely about the last point that is held, and dips a little where a tuck was closed;
a hand with a curve would draw over both. So near these places the edge is bent like a springy
strip that cannot stretch: next to a held stretch it would like to have the curvature that it had
before, at a tuck that of its neighbours. Ends and their tangents stay, and every length along the
edge stays exactly what it was.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from seamwright.geometry import Curve, FloatArray
from seamwright.geometry.press import PressedEdge
from seamwright.geometry.press.bend import bent

BoolArray = NDArray[np.bool_]

_BESIDE_TUCK = 30.0  # mm on both sides
_FROM_HELD = 60.0  # mm from the end of the held stretch upwards
_AS_BEFORE = 30.0  # mm of those that would like their old curvature
_LEAST = 6  # pieces in a window
_NEIGHBOURS = 3  # joints on each side that say how much the edge turns anyway


@dataclass(frozen=True, slots=True)
class _Window:
    first: int
    last: int
    breaks: tuple[int, ...]


def smoothed(pressed: PressedEdge, edge: Curve, marks: Sequence[float]) -> PressedEdge:
    """The edge with its breaks spread. edge: the original; marks: lengths along the new edge that
    must stay at their place (the shoulder point). A window that will not come to rest is left as
    it was pressed."""
    points = np.array(pressed.points)
    before = np.clip(pressed.taken.before(pressed.lengths), 0.0, edge.length)
    too_much = _turns(points) - _turns(edge.point_at(before))
    for window in _windows(pressed, marks):
        _spread(points, pressed, window, too_much)
    return replace(pressed, points=points)


def _turns(points: FloatArray) -> FloatArray:
    """How far the polyline turns at each of its points (N,), radians; 0 at its ends."""
    steps = np.diff(points[:, 0] + 1j * points[:, 1])
    turns = np.zeros(len(points))
    turns[1:-1] = np.angle(steps[1:] / steps[:-1])
    return turns


def _windows(pressed: PressedEdge, marks: Sequence[float]) -> list[_Window]:
    lengths = pressed.lengths
    low, high = pressed.held[0], pressed.length - pressed.held[1]
    fixed = sorted({low, high, *(m for m in marks if low < m < high)})
    wanted: list[tuple[float, float, float]] = []
    if pressed.held[0] > 0.0:
        wanted.append((low, low + _FROM_HELD, low))
    if pressed.held[1] > 0.0:
        wanted.append((high - _FROM_HELD, high, high))
    jogs = lengths[pressed.jogs].reshape(-1, 2)
    slashed = jogs.mean(axis=1)
    for place in pressed.taken.places.tolist():
        if np.abs(slashed - place).min(initial=np.inf) > _BESIDE_TUCK:
            wanted.append((place - _BESIDE_TUCK, place + _BESIDE_TUCK, place))
    merged: list[tuple[float, float, list[float]]] = []
    for a, b, place in sorted(wanted, key=lambda w: w[2]):
        a = max(a, max((f for f in fixed if f < place), default=low))
        b = min(b, min((f for f in fixed if f > place), default=high))
        # A jog is closed by the refit: windows end before it.
        a = max(a, jogs[jogs[:, 1] <= place, 1].max(initial=a))
        b = min(b, jogs[jogs[:, 0] >= place, 0].min(initial=b))
        if merged and a < merged[-1][1]:
            before = merged.pop()
            merged.append((before[0], max(b, before[1]), [*before[2], place]))
        else:
            merged.append((a, b, [place]))
    found = []
    for a, b, places in merged:
        first = int(np.searchsorted(lengths, a - 1e-9))
        last = int(np.searchsorted(lengths, b + 1e-9)) - 1
        if last - first >= _LEAST:
            breaks = tuple(int(np.abs(lengths - p).argmin()) for p in places)
            found.append(_Window(first, last, breaks))
    return found


def _spread(
    points: FloatArray, pressed: PressedEdge, window: _Window, too_much: FloatArray
) -> None:
    """Bends one window of the points in place."""
    z = points[:, 0] + 1j * points[:, 1]
    first, last = window.first, window.last
    lost = np.zeros(last - first + 1)
    near = _next_to_held(pressed)[first : last + 1]
    lost[near] = too_much[first : last + 1][near]
    turns = _turns(points)
    for at in window.breaks:
        if at not in (first, last):
            lost[at - first] = _excess(turns, pressed.lengths, at)
    chords = np.diff(z)[first:last]
    rest = bent(
        chords[None],
        lost[None],
        np.abs(chords)[None],
        np.array([z[last] - z[first]]),
        np.array([last - first]),
    )
    if not rest.at_rest[0]:
        return
    new = z[first] + np.cumsum(chords * np.exp(1j * rest.turned[0]))
    points[first + 1 : last, 0] = new[:-1].real
    points[first + 1 : last, 1] = new[:-1].imag


def _next_to_held(pressed: PressedEdge) -> BoolArray:
    """Points (N,) that would like the curvature that they had before."""
    s, (low, high) = pressed.lengths, pressed.held
    away = np.full(len(s), np.inf)
    if low > 0.0:
        away = np.minimum(away, s - low)
    if high > 0.0:
        away = np.minimum(away, pressed.length - high - s)
    near: BoolArray = (away >= -1e-6) & (away <= _AS_BEFORE)
    return near


def _excess(turns: FloatArray, lengths: FloatArray, at: int) -> float:
    """By how much more the edge turns at a point than its neighbours say, radians."""
    reach = np.gradient(lengths)
    near = np.arange(at - 1 - _NEIGHBOURS, at + 2 + _NEIGHBOURS)
    near = near[(np.abs(near - at) > 1) & (near > 0) & (near < len(turns) - 1)]
    if not len(near):
        return float(turns[at])
    usual = float(turns[near].sum() / reach[near].sum())
    return float(turns[at]) - usual * float(reach[at])
