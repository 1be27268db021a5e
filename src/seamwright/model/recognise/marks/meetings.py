"""Where marks meet lines: stations, inward normals, angles."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

import numpy as np

from seamwright.geometry import LINE, Curve, FloatArray, Station
from seamwright.model import LineRole

_SQUARE: Final = 1.0  # degrees; a mark this near to square counts as square


@dataclass(frozen=True, slots=True)
class Line:
    """A line that notches sit on."""

    curve: Curve
    role: LineRole

    @property
    def inward(self) -> float:
        """1 where the inside lies to the left of travel, else -1."""
        return 1.0 if self.curve.area >= 0.0 else -1.0


@dataclass(frozen=True, slots=True)
class Meeting:
    """Where a mark meets a line: station, the line's point there, and how far off it was."""

    line: Line
    station: Station
    point: FloatArray
    distance: float


def nearest_of(line: Line, points: FloatArray) -> Meeting:
    near = line.curve.nearest(points)
    i = int(near.distances.argmin())
    return Meeting(
        line,
        Station(int(near.segments[i]), float(near.ts[i])),
        near.points[i],
        float(near.distances[i]),
    )


def at_length(line: Line, length: float) -> Meeting:
    station = line.curve.station_at(length % line.curve.length)
    return Meeting(line, station, line.curve.point_of(station), 0.0)


def inward_normal(meeting: Meeting) -> FloatArray:
    """The inward normal where the mark meets the line."""
    station = meeting.station
    tangent = meeting.line.curve.tangents_of([station.segment], [station.t])[0]
    return meeting.line.inward * np.array([-tangent[1], tangent[0]])


def is_inside(line: Line, meeting: Meeting, direction: FloatArray) -> bool:
    return float(direction @ inward_normal(meeting)) > 0.0


def angle_of(line: Line, meeting: Meeting, direction: FloatArray) -> float | None:
    """Degrees from the inward normal, anticlockwise; None for square to the line.

    At a corner the mark is measured against the nearer of both sides' normals.
    """
    normal = inward_normal(meeting)
    angle = _between(normal, direction)
    curve, (segment, t) = line.curve, meeting.station
    if t <= 1e-9 or t >= 1.0 - 1e-9:
        other = (segment - 1) % curve.n if t <= 1e-9 else (segment + 1) % curve.n
        tangent = curve.tangents_of([other], [1.0 if t <= 1e-9 else 0.0])[0]
        second = _between(line.inward * np.array([-tangent[1], tangent[0]]), direction)
        if abs(second) < abs(angle):
            angle = second
    return None if abs(angle) <= _SQUARE else angle


def _between(a: FloatArray, b: FloatArray) -> float:
    return math.degrees(math.atan2(float(a[0] * b[1] - a[1] * b[0]), float(a @ b)))


def is_circle(curve: Curve) -> bool:
    """Whether a closed curve is a circle, give or take a twentieth of its radius."""
    if not curve.closed or ((curve.kinds == LINE).all() and curve.n < 8):
        return False
    x0, y0, x1, y1 = curve.bbox
    centre = np.array([(x0 + x1) / 2, (y0 + y1) / 2])
    points = curve.point_at(np.linspace(0.0, curve.length, 24, endpoint=False))
    radii = np.hypot(*(points - centre).T)
    return bool(radii.max() - radii.min() <= 0.05 * radii.max())
