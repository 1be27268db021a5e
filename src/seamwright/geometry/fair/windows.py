"""The stretches that may change when kinks are smoothed."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from ..curve import Curve
from ..kinds import FloatArray
from .kinks import Kink

__all__ = ["LEAST_ROOM", "Window", "snapped", "windows_around"]

LEAST_ROOM = 2.0  # mm between a kink and the end of the run
_SNAP = 1.0  # mm: a window ends at a joint that lies this little inside it


class Window(NamedTuple):
    """A stretch to smooth: lengths along the run, the kinks in it, and whether it ends at a corner
    or an end of the run."""

    start: float
    end: float
    kinks: tuple[Kink, ...]
    corner_before: bool
    corner_after: bool


def windows_around(kinks: Sequence[Kink], stops: FloatArray, within: float) -> list[Window]:
    """Stretches to smooth, kinks with meeting stretches together."""
    found: list[Window] = []
    for kink in sorted(kinks):
        start = max(kink.start - within, float(stops[stops <= kink.start].max()))
        end = min(kink.end + within, float(stops[stops >= kink.end].min()))
        if found and start < found[-1].end + LEAST_ROOM and not _between(stops, found[-1], kink):
            before = found.pop()
            start, earlier = before.start, before.kinks
        else:
            earlier = ()
        corners = bool((stops == start).any()), bool((stops == end).any())
        found.append(Window(start, end, (*earlier, kink), *corners))
    return found


def _between(stops: FloatArray, window: Window, kink: Kink) -> bool:
    return bool(((stops > window.kinks[-1].end) & (stops < kink.start)).any())


def snapped(curve: Curve, window: Window) -> Window:
    """The window drawn in to joints just inside its ends, so that no crumb of a segment is cut
    off."""
    joints = curve.cumulative
    start, end = window.start, window.end
    if not window.corner_before:
        latest = min(start + _SNAP, window.kinks[0].start - LEAST_ROOM)
        start = min(joints[(joints >= start) & (joints <= latest)].tolist(), default=start)
    if not window.corner_after:
        earliest = max(end - _SNAP, window.kinks[-1].end + LEAST_ROOM)
        end = max(joints[(joints >= earliest) & (joints <= end)].tolist(), default=end)
    return window._replace(start=start, end=end)
