"""All darts of a pattern measured as arrays."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from seamwright.geometry import FloatArray, evaluate
from seamwright.model import Shape
from seamwright.model.marking import Dart
from seamwright.model.measure import measure


class Measures(NamedTuple):
    """D darts, mm and degrees.

    ends (D, 2, 2) of the mouth, left and right; legs (D, 2); angles (D,) anticlockwise from left
    to right; intakes (D,) straight, mouths (D,) along the outline; kinks (D,) by which the edge
    turns across the folded dart
    """

    ends: FloatArray
    legs: FloatArray
    angles: FloatArray
    intakes: FloatArray
    mouths: FloatArray
    kinks: FloatArray


def measures(darts: Sequence[tuple[Shape, Dart]]) -> Measures:
    """Measures of many darts at once."""
    shapes = list(dict.fromkeys(s for s, _ in darts))
    number = {id(s): i for i, s in enumerate(shapes)}
    measured = measure(shapes)
    mouths = np.array([_mouth(measured[number[id(s)]].darts, s, d) for s, d in darts])
    whole = np.array([measured[number[id(s)]].length for s, _ in darts])
    ends_at = [(s.seam_line, station) for s, d in darts for station in (d.left, d.right)]
    segments = np.array([c.segments[x.segment % c.n] for c, x in ends_at])
    ts = np.array([x.t for _, x in ends_at])
    ends = np.asarray(evaluate(segments, ts)).reshape(-1, 2, 2)
    apex = np.array([d.apex for _, d in darts])
    legs = ends - apex[:, None]
    a, b = legs[:, 0], legs[:, 1]
    angles = np.arctan2(a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0], (a * b).sum(axis=1))
    # Travel into the left end and out of the right one; folded, the right side turns by -angle.
    into = np.array([_direction(s, d, first=True) for s, d in darts])
    out = np.array([_direction(s, d, first=False) for s, d in darts])
    turn = np.angle(out[:, 0] + 1j * out[:, 1]) - angles - np.angle(into[:, 0] + 1j * into[:, 1])
    kinks = (turn + np.pi) % (2.0 * np.pi) - np.pi
    return Measures(
        ends=ends,
        legs=np.hypot(legs[..., 0], legs[..., 1]),
        angles=np.degrees(angles),
        intakes=np.hypot(*(ends[:, 1] - ends[:, 0]).T),
        mouths=np.mod(mouths[:, 1] - mouths[:, 0], whole),
        kinks=np.degrees(kinks),
    )


def _mouth(lengths: FloatArray, shape: Shape, dart: Dart) -> FloatArray:
    out: FloatArray = lengths[next(i for i, d in enumerate(shape.darts) if d is dart)]
    return out


def _direction(shape: Shape, dart: Dart, *, first: bool) -> FloatArray:
    seam = shape.seam_line
    station = dart.left if first else dart.right
    segment, t = station.segment, station.t
    if first and t <= 0.0:
        segment, t = (segment - 1) % seam.n, 1.0
    elif not first and t >= 1.0:
        segment, t = (segment + 1) % seam.n, 0.0
    out: FloatArray = seam.tangents_of([segment], [t])[0]
    return out
