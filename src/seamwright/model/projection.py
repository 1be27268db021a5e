"""Putting notches of the cut line on the seam line: the nearest place of it."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from seamwright.geometry import Station

from .shape import Shape


class Foot(NamedTuple):
    """Where a notch of the cut line falls on the seam line, and how far it lies from it (mm)."""

    station: Station
    distance: float


def project(shapes: Sequence[Shape], notches: Sequence[tuple[int, int]]) -> list[Foot]:
    """The foot of each notch, given as (number of the shape, number of the notch).

    A notch is laid on the seam line and carried square to the cut line (common practice, no
    source); the nearest place of the seam line is where that square comes from.
    """
    by_shape: dict[int, list[int]] = {}
    for i, j in notches:
        by_shape.setdefault(i, []).append(j)
    found: dict[tuple[int, int], Foot] = {}
    for i, numbers in by_shape.items():
        shape = shapes[i]
        assert shape.cut_line is not None
        stations = [shape.notches[j].station for j in numbers]
        points = shape.cut_line.points_of(
            np.array([s.segment for s in stations]), np.array([s.t for s in stations])
        )
        near = shape.seam_line.nearest(points)
        for k, j in enumerate(numbers):
            station = Station(int(near.segments[k]), float(near.ts[k]))
            found[i, j] = Foot(station, float(near.distances[k]))
    return [found[key] for key in notches]
