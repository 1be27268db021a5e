"""Darts as they are drawn: a V in the outline, two inner lines to a point, two notches and a
hole. Each is found on one shape and nothing is changed here."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from seamwright.geometry import Curve, FloatArray, Station
from seamwright.model import Shape
from seamwright.model.marking import InternalKind, InternalLine

from .options import MarkDarts

_MEETS = 0.5  # mm; a leg that ends this near to the seam line ends on it
_STRAIGHT = 1e-4  # of a leg's length that it may exceed its chord
_TURN = 20.0  # degrees; what an end of a leg turns at least in a V


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Vee:
    """A dart cut into the outline: lengths of its left end, point and right end along the seam
    line, and the point, mm; and its angle, degrees."""

    left: float
    point: float
    right: float
    apex: tuple[float, float]
    angle: float


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Lined:
    """A dart drawn with inner lines: stations of the mouth, the point, the lines and the angle."""

    left: Station
    right: Station
    apex: tuple[float, float]
    lines: tuple[InternalLine, ...]
    angle: float


def vees(shape: Shape, options: MarkDarts) -> list[Vee]:
    """Darts cut into the outline as a V, in outline order."""
    seam = shape.seam_line
    at = seam.corner_segments(_TURN)
    if len(at) < 3:
        return []
    points = seam.segments[at, 0]
    lengths = seam.cumulative[at]
    legs = np.roll(lengths, -1) - lengths
    legs[-1] += seam.length  # leg k runs from corner k to corner k + 1
    chords = np.hypot(*(np.roll(points, -1, axis=0) - points).T)
    straight = legs <= chords * (1.0 + _STRAIGHT)
    into, out = _directions(seam, at)
    turns = np.degrees(np.arctan2(_cross(into, out), (into * out).sum(axis=1)))
    before, after = np.roll(chords, 1), chords
    with np.errstate(divide="ignore", invalid="ignore"):
        share = np.minimum(before, after) / np.maximum(before, after)
    found = (
        (turns <= float(options.largest_angle) - 180.0)
        & np.roll(straight, 1) & straight
        & (np.minimum(before, after) >= float(options.shortest_leg))
        & (share >= options.unequal)
        & (np.roll(turns, 1) > 0) & (np.roll(turns, -1) > 0)
    )  # fmt: skip
    n = len(at)
    return [
        Vee(
            left=float(lengths[k - 1]), point=float(lengths[k]), right=float(lengths[(k + 1) % n]),
            apex=(float(points[k, 0]), float(points[k, 1])), angle=180.0 + float(turns[k]),
        )
        for k in np.flatnonzero(found)
    ]  # fmt: skip


def lined(shape: Shape, options: MarkDarts) -> list[Lined]:
    """Darts drawn as one bent inner line from edge to edge, or two that meet in a point; the
    middle line between two legs, where there is one, counts as one of the dart's lines."""
    seam = shape.seam_line
    found: list[Lined] = []
    legs: list[tuple[InternalLine, FloatArray, FloatArray]] = []  # line, foot, tip
    for line in shape.internal_lines:
        curve = line.curve
        if line.kind not in (InternalKind.INTERNAL, InternalKind.SEW) or curve.closed:
            continue
        on = seam.nearest(np.stack((curve.start, curve.end))).distances <= _MEETS
        if on.all():
            tips = curve.corner_segments(60.0)
            if len(tips) == 1:
                tip = curve.segments[int(tips[0]), 0]
                parts = curve.split([float(curve.cumulative[int(tips[0])])])
                if all(_is_straight(p) for p in parts):
                    found += _dart(seam, [curve.start, curve.end], tip, (line,), options)
        elif on.any() and _is_straight(curve):
            foot, tip = (curve.start, curve.end) if on[0] else (curve.end, curve.start)
            legs.append((line, foot, tip))
    while legs:
        first = legs.pop(0)
        group = [first, *(x for x in legs if float(np.hypot(*(x[2] - first[2]))) <= _MEETS)]
        if len(group) in (2, 3):
            legs = [x for x in legs if not any(x is y for y in group)]
            found += _dart(
                seam, [x[1] for x in group], first[2], tuple(x[0] for x in group), options
            )
    return sorted(found, key=lambda d: seam.length_of(d.left))


def by_notches(shape: Shape, marks: tuple[float, float]) -> list[tuple[float, float]]:
    """Drill holes as far from one place on the seam line as from the other, within 2 mm."""
    a, b = shape.seam_line.point_at(marks[0]), shape.seam_line.point_at(marks[1])
    out = []
    for hole in shape.drill_holes:
        p = np.asarray(hole.at)
        legs = float(np.hypot(*(p - a))), float(np.hypot(*(p - b)))
        if abs(legs[0] - legs[1]) <= 2.0 and min(legs) > 0.6 * float(np.hypot(*(b - a))):
            out.append(hole.at)
    return out


def _dart(
    seam: Curve, feet: list[FloatArray], tip: FloatArray, lines: tuple[InternalLine, ...],
    options: MarkDarts,
) -> list[Lined]:  # fmt: skip
    near = seam.nearest(np.array(feet))
    order = np.argsort(near.lengths)
    gaps = np.diff(near.lengths[order], append=near.lengths[order[0]] + seam.length)
    last = int(gaps.argmax())  # the mouth is what is left when the widest gap is taken away
    right, left = int(order[last]), int(order[(last + 1) % len(order)])
    a, b = near.points[left] - tip, near.points[right] - tip
    angle = float(np.degrees(np.arctan2(a[0] * b[1] - a[1] * b[0], a @ b)))
    la, lb = float(np.hypot(*a)), float(np.hypot(*b))
    if not (
        0.0 < angle <= float(options.largest_angle)
        and min(la, lb) >= float(options.shortest_leg)
        and min(la, lb) >= options.unequal * max(la, lb)
    ):
        return []
    return [
        Lined(
            left=Station(int(near.segments[left]), float(near.ts[left])),
            right=Station(int(near.segments[right]), float(near.ts[right])),
            apex=(float(tip[0]), float(tip[1])),
            lines=lines,
            angle=angle,
        )
    ]


def _is_straight(curve: Curve) -> bool:
    chord = float(np.hypot(*(curve.end - curve.start)))
    return bool(curve.length <= chord * (1.0 + _STRAIGHT))


def _directions(seam: Curve, at: np.ndarray) -> tuple[FloatArray, FloatArray]:
    """Unit directions of travel into and out of joints."""
    before = (at - 1) % seam.n
    return (
        seam.tangents_of(before, np.ones(len(at))),
        seam.tangents_of(at, np.zeros(len(at))),
    )


def _cross(a: FloatArray, b: FloatArray) -> FloatArray:
    return np.asarray(a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0])
