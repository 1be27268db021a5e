"""Darts drawn as lines inside a piece: two legs from the seam line that meet at a point."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from seamwright.geometry import Curve, FloatArray, Station
from seamwright.model import Dart

from ..items import Stroke
from ..pieces.outlines import said_role
from ..words.roles import Role

_MEETS: Final = 0.5  # mm; a leg that starts this near to the seam line starts on it
_LABELLED: Final = 3.0  # mm; the same where a label says that it is a dart
_SHORTEST: Final = 15.0  # mm; shorter legs are a notch
_TURNS: Final = 60.0  # degrees; a dart's point turns at least this much


@dataclass(slots=True)
class Found:
    """A dart and the strokes that drew it. straight: whether both legs are straight."""

    dart: Dart
    strokes: list[Stroke]
    straight: bool


def darts_of(strokes: list[Stroke], seam: Curve) -> list[Found]:
    """The darts among a piece's lines, in document order, nameless ("")."""
    found: list[tuple[int, Found]] = []
    legs: list[tuple[Stroke, int]] = []  # stroke, which of its ends is on the seam line
    for stroke in strokes:
        role, _ = said_role(stroke)
        if role not in (None, Role.DART, Role.INTERNAL, Role.SEW):
            continue
        reach = _LABELLED if role is Role.DART else _MEETS
        curve = stroke.curve
        if curve.closed:
            if role is Role.DART:
                whole = _closed(stroke, seam, reach)
                if whole is not None:
                    found.append((stroke.order, whole))
            continue
        ends = np.stack((curve.start, curve.end))
        on = seam.nearest(ends).distances <= reach
        if on.all() and curve.length > 2 * _SHORTEST:
            bent = _bent(stroke, seam)
            if bent is not None:
                found.append((stroke.order, bent))
        elif on.any() and curve.length > _SHORTEST:
            legs.append((stroke, 0 if on[0] else 1))
    found += _from_legs(legs, seam)
    return [f for _, f in sorted(found, key=lambda p: p[0])]


def _from_legs(legs: list[tuple[Stroke, int]], seam: Curve) -> list[tuple[int, Found]]:
    """Pairs of legs whose inner ends meet. A third one between them is the dart's middle line."""
    out = []
    left = list(legs)
    while left:
        first, end = left.pop(0)
        tip = _end(first.curve, 1 - end)
        same = [(s, e) for s, e in left if float(np.hypot(*(_end(s.curve, 1 - e) - tip))) <= _MEETS]
        if not same:
            continue
        group = [(first, end), *same]
        left = [x for x in left if x not in same]
        feet = np.array([_end(s.curve, e) for s, e in group])
        lengths = seam.nearest(feet).lengths
        order = np.argsort(lengths)
        gaps = np.diff(lengths[order], append=lengths[order[0]] + seam.length)
        widest = int(gaps.argmax())
        a, b = group[order[(widest + 1) % len(order)]], group[order[widest]]
        found = _dart([a[0], b[0]], seam, feet[order[(widest + 1) % len(order)]],
                      feet[order[widest]], tip)  # fmt: skip
        if found is not None:
            found.straight = _is_straight(a[0].curve) and _is_straight(b[0].curve)
            out.append((first.order, found))
    return out


def _bent(stroke: Stroke, seam: Curve) -> Found | None:
    """One line from the seam line to the point and back."""
    curve = stroke.curve
    corners = curve.corner_segments(_TURNS)
    if len(corners) != 1:
        return None
    apex = curve.segments[int(corners[0]), 0]
    at = float(curve.cumulative[int(corners[0])])
    found = _dart([stroke], seam, curve.start, curve.end, apex)
    if found is not None:
        halves = curve.split([at])
        found.straight = all(_is_straight(h) for h in halves)
    return found


def _closed(stroke: Stroke, seam: Curve, reach: float) -> Found | None:
    """A closed triangle with one side on the seam line."""
    joints = stroke.curve.joints
    near = seam.nearest(joints)
    on = near.distances <= reach
    if on.sum() != 2 or len(joints) != 3:
        return None
    feet = joints[on]
    return _dart([stroke], seam, feet[0], feet[1], joints[~on][0])


def _dart(
    strokes: list[Stroke], seam: Curve, a: FloatArray, b: FloatArray, apex: FloatArray
) -> Found | None:
    """The dart with its mouth between a and b on the seam line, in the order of the outline."""
    near = seam.nearest(np.stack((a, b)))
    stations = [Station(int(s), float(t)) for s, t in zip(near.segments, near.ts, strict=True)]
    forward = float((near.lengths[1] - near.lengths[0]) % seam.length)
    if forward > seam.length / 2:
        stations.reverse()
        forward = seam.length - forward
    depth = min(float(np.hypot(*(apex - a))), float(np.hypot(*(apex - b))))
    if forward <= 1e-6 or forward > 2.5 * depth:
        return None
    dart = Dart(name="", left=stations[0], right=stations[1], apex=(float(apex[0]), float(apex[1])))
    return Found(dart, strokes, True)


def _end(curve: Curve, which: int) -> FloatArray:
    return curve.start if which == 0 else curve.end


def _is_straight(curve: Curve) -> bool:
    chord = float(np.hypot(*(curve.end - curve.start)))
    return bool(chord > (1.0 - 1e-5) * curve.length)
