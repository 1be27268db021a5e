"""A jog or a kink in an open run made smooth within a stated distance.

The line between the ends of the window is taken as an elastic rod that keeps the curvature it
has, without the breaks and without the step of a jog, and is bent as little as possible so that
its ends and the tangents there stay. It comes back as a few cubics.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from ..curve import Curve
from ..kinds import FloatArray, GeometryError, IntArray
from ..press.bend import bent
from ..press.cap import is_simple
from ..press.chainfit import ChainTask, ComplexArray, fit_chain
from ..press.kinds import PressError
from ..press.tangents import first_tangent, last_tangent
from .kinks import Kink, find_kinks
from .windows import LEAST_ROOM, Window, snapped, windows_around

__all__ = ["FairError", "Faired", "fair_jog"]

_SEGMENTS = 4
_PIECES = 120
_SLIGHT = 1.0  # degrees: kinks that are looked for at places named


class FairError(GeometryError):
    """A kink that cannot be faired; `reason` is `room`, `nothing` or `shape`."""

    def __init__(self, reason: str, message: str) -> None:
        super().__init__(message)
        self.reason = reason

    def __reduce__(self) -> tuple[type[FairError], tuple[str, str]]:
        return type(self), (self.reason, str(self))


@dataclass(frozen=True, slots=True, eq=False)
class Faired:
    """curve: the new run. kinks: what was smoothed. left: what was found and left alone, because
    it is a corner or too near an end. windows (W, 2): stretches of the old run that changed;
    new_windows (W, 2): where they are now. largest_shift: how far the line moved at most, mm."""

    curve: Curve
    kinks: tuple[Kink, ...]
    left: tuple[Kink, ...]
    windows: FloatArray
    new_windows: FloatArray
    largest_shift: float

    def lengths_after(self, s: FloatArray | Sequence[float] | float) -> FloatArray:
        """Lengths along the new run of lengths s along the old; inside a window in proportion."""
        old = np.concatenate([[0.0], self.windows.ravel()])
        new = np.concatenate([[0.0], self.new_windows.ravel()])
        at = np.asarray(s, dtype=np.float64)
        last = old[-1]
        inner = np.interp(at, old, new)
        moved: FloatArray = np.where(at <= last, inner, at - last + new[-1])
        return moved


def fair_jog(
    curve: Curve,
    *,
    within: float,
    at: Sequence[float] | None = None,
    keep_length: bool = False,
    sharper_than: float = 5.0,
    longest_step: float = 10.0,
    corners_above: float = 45.0,
) -> Faired:
    """Smooths the jogs and kinks of an open curve, each within a distance on both sides.

    within: mm on each side of a kink that may change; windows that meet become one. at: lengths
    near which to look, then even for slight kinks (default: everywhere). keep_length: the run
    keeps its length exactly, the width of a jog's step included, so that the line must bulge to
    make room for it; otherwise its length becomes what is smoothest. sharper_than, longest_step:
    see `find_kinks`. corners_above: a bare break of more degrees is a corner, meant to be there,
    and no window reaches over it.

    The ends of the run, the tangents there, and everything outside the windows stay: segments
    that no window touches are the same control points. Raises FairError: `nothing` (a place in
    `at` without a kink), `room` (a kink named by `at` at a corner or the run's end), `shape`
    (no smooth line found).
    """
    if curve.closed or not within > 0.0:
        raise FairError("room", "fairing needs an open run and a distance above 0")
    limit = sharper_than if at is None else min(sharper_than, _SLIGHT)
    found = find_kinks(curve, sharper_than=limit, longest_step=longest_step)
    corners = [k for k in found if k.step == 0.0 and abs(k.turn) > corners_above]
    stops = np.array([0.0, *(k.start for k in corners), curve.length])
    kinks: list[Kink] = []
    left = list(corners)
    for kink in found:
        if kink in corners:
            continue
        room = min(np.abs(stops - kink.start).min(), np.abs(stops - kink.end).min())
        (kinks if room >= LEAST_ROOM else left).append(kink)
    if at is not None:
        kinks = _named(kinks, left, at, within)
    windows = [snapped(curve, w) for w in windows_around(kinks, stops, within)]
    if not windows:
        none = np.empty((0, 2))
        return Faired(curve, (), tuple(left), none, none, 0.0)
    middles = [_smooth(curve, w, keep_length=keep_length) for w in windows]
    new, places = _assembled(curve, windows, middles)
    shift = max(_shift(curve, w, m) for w, m in zip(windows, middles, strict=True))
    return Faired(
        curve=new,
        kinks=tuple(kinks),
        left=tuple(sorted(left)),
        windows=np.array([w[:2] for w in windows]),
        new_windows=places,
        largest_shift=shift,
    )


def _named(
    kinks: Sequence[Kink], left: Sequence[Kink], at: Sequence[float], within: float
) -> list[Kink]:
    """Those of the kinks that lie near the places named."""

    def near(kink: Kink, place: float) -> bool:
        return kink.start - within <= place <= kink.end + within

    for place in at:
        if any(near(k, place) for k in kinks):
            continue
        if any(near(k, place) for k in left):
            raise FairError(
                "room", f"the break near {place:.4g} mm is a corner or at the end of the run"
            )
        raise FairError("nothing", f"within {within:.4g} mm of {place:.4g} mm nothing breaks")
    return [k for k in kinks if any(near(k, place) for place in at)]


def _smooth(curve: Curve, window: Window, *, keep_length: bool) -> Curve:
    """The window's new line."""
    old, kept, turns = _sampled(curve, window)
    z = _complex(curve.point_at(old))
    chords = z[kept + 1] - z[kept]
    steps = old[kept + 1] - old[kept]
    ends = z[-1] - z[0]
    if abs(ends) < 1e-3 * float(steps.sum()):
        raise _no_line(window)
    if keep_length:
        # What lies outside the steps takes up their width, too.
        factor = (window.end - window.start) / float(steps.sum())
        turned = _bent_at_length(chords * factor, turns, steps * factor, ends)
    else:
        bend = bent(
            chords[None],
            turns[None],
            steps[None],
            np.array([ends]),
            np.array([len(chords)]),
            loose=True,
        )
        if not bend.at_rest[0]:
            raise _no_line(window)
        turned = bend.turned[0]
        factor = abs(ends) / abs((chords * np.exp(1j * turned)).sum())
    if turned is None:
        raise _no_line(window)
    points = np.concatenate([np.zeros(1), np.cumsum(chords * factor * np.exp(1j * turned))]) + z[0]
    lengths = np.concatenate([np.zeros(1), np.cumsum(steps * factor)])
    line = _curves(curve, window, points, lengths)
    if not is_simple(line.flatten(0.02)):
        raise _no_line(window)
    return line


def _no_line(window: Window) -> FairError:
    return FairError(
        "shape",
        f"no smooth line found between {window.start:.4g} and {window.end:.4g} mm: allow a "
        "longer stretch, or a change of length",
    )


def _sampled(curve: Curve, window: Window) -> tuple[FloatArray, IntArray, FloatArray]:
    """Lengths (N,) of places in the window; which of them a kept piece starts from (P,); and the
    turn (P + 1,) that each joint between pieces loses."""
    step = (window.end - window.start) / _PIECES
    old: list[FloatArray] = []
    gone: list[int] = []
    turns: list[float] = []
    count = 0
    begin = window.start
    for kink in window.kinks:
        pieces = max(int(np.ceil((kink.start - begin) / step)), 2)
        old.append(np.linspace(begin, kink.start, pieces + 1))
        count += pieces + 1
        gone.append(count - 1)
        turns.append(_turn(curve, kink))
        begin = kink.end
    pieces = max(int(np.ceil((window.end - begin) / step)), 2)
    old.append(np.linspace(begin, window.end, pieces + 1))
    count += pieces + 1
    kept = np.setdiff1d(np.arange(count - 1), gone)
    lost = np.zeros(len(kept) + 1)
    lost[np.searchsorted(kept, gone)] = turns
    return np.concatenate(old), kept, lost


def _turn(curve: Curve, kink: Kink) -> float:
    """By how much the tangent after a kink differs from that before it, radians."""
    after = first_tangent(curve.part(kink.end, curve.length))
    before = last_tangent(curve.part(0.0, kink.start))
    return float(np.angle(after / before))


def _bent_at_length(
    chords: ComplexArray, turns: FloatArray, steps: FloatArray, ends: complex
) -> FloatArray | None:
    """Turns of the pieces of a rod that keeps its length.

    Where that is more than the straight way it must bulge, to one side or the other, or waver:
    several starts are tried, and the rest that bends it least is taken.
    """
    s = np.cumsum(steps) - 0.5 * steps
    total = float(steps.sum())
    spare = max(float((chords.sum() / ends).real) - 1.0, 0.0) * abs(ends)
    height = 2.0 * np.sqrt(spare / total) + 0.25 * float(np.abs(turns).max())
    heights = np.array([0.0, height, -height, 0.4, -0.4, 0.8, -0.8])
    starts = heights[:, None] * np.sin(2.0 * np.pi * s / total)
    many = len(starts)
    bend = bent(
        np.repeat(chords[None], many, axis=0),
        np.repeat(turns[None], many, axis=0),
        np.repeat(steps[None], many, axis=0),
        np.full(many, ends),
        np.full(many, len(chords)),
        start=starts,
    )
    energy = np.where(bend.at_rest, bend.energy, np.inf)
    best = int(energy.argmin())
    return bend.turned[best] if np.isfinite(energy[best]) else None


def _curves(curve: Curve, window: Window, points: ComplexArray, lengths: FloatArray) -> Curve:
    """The rod as cubics of its length, with the old line's ends and tangents."""
    joints = lengths[-1] * np.arange(_SEGMENTS + 1) / _SEGMENTS

    def place(s: FloatArray) -> ComplexArray:
        found: ComplexArray = np.interp(s, lengths, points.real) + 1j * np.interp(
            s, lengths, points.imag
        )
        return found

    places = place(joints)
    near = lengths[-1] / len(lengths)
    ways = place(joints + near) - place(joints - near)
    ways = ways / np.abs(ways)
    # Tangents as the neighbours outside have them; at a corner or an end, as the window has.
    own = curve.part(window.start, window.end)
    ways[0], ways[-1] = first_tangent(own), last_tangent(own)
    if not window.corner_before:
        ways[0] = last_tangent(curve.part(0.0, window.start))
    if not window.corner_after:
        ways[-1] = first_tangent(curve.part(window.end, curve.length))
    task = ChainTask(
        points=points,
        lengths=lengths,
        joints=joints,
        places=places,
        corner=np.zeros(len(joints), dtype=np.bool_),
        leaving=ways,
        arriving=ways.copy(),
        sides=np.array([0, _SEGMENTS]),
    )
    try:
        chain = fit_chain(task)
    except PressError as fault:
        raise _no_line(window) from fault
    segments = np.stack([chain.real, chain.imag], axis=-1)
    segments[0, 0], segments[-1, 3] = own.start, own.end
    return Curve.from_segments(segments)


def _assembled(
    curve: Curve, windows: Sequence[Window], middles: Sequence[Curve]
) -> tuple[Curve, FloatArray]:
    """The run with its windows exchanged, and where along it those are now."""
    parts: list[Curve] = []
    places: list[tuple[float, float]] = []
    begin = total = 0.0
    for window, middle in zip(windows, middles, strict=True):
        if window.start > begin:
            parts.append(curve.part(begin, window.start))
            total += window.start - begin
        parts.append(middle)
        places.append((total, total + middle.length))
        total += middle.length
        begin = window.end
    if begin < curve.length:
        parts.append(curve.part(begin, curve.length))
    new = parts[0]
    for part in parts[1:]:
        new = new.joined(part)
    return new, np.array(places)


def _shift(curve: Curve, window: Window, middle: Curve) -> float:
    """The farthest that any point of the old line is from the new, or of the new from the old."""
    old = curve.part(window.start, window.end)
    far = 0.0
    for one, other in ((old, middle), (middle, old)):
        count = max(int(np.ceil(one.length / 0.5)), 8)
        samples = one.point_at(np.linspace(0.0, one.length, count + 1))
        points = np.concatenate([samples, one.joints])
        far = max(far, float(other.nearest(points).distances.max()))
    return far


def _complex(points: FloatArray) -> ComplexArray:
    z: ComplexArray = points[:, 0] + 1j * points[:, 1]
    return z
