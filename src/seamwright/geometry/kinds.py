"""Small shared types of the geometry room: arrays, segment kinds, stations, results."""

from __future__ import annotations

from typing import Any, NamedTuple, TypeAlias

import numpy as np
from numpy.typing import NDArray

FloatArray: TypeAlias = NDArray[np.float64]
IntArray: TypeAlias = NDArray[np.int64]
KindArray: TypeAlias = NDArray[np.uint8]
ComplexArray: TypeAlias = NDArray[np.complex128]
AnyArray: TypeAlias = NDArray[Any]

LINE = 0
CUBIC = 1

#: Ends nearer than this (mm) are one point.
TOUCH = 1e-9


class GeometryError(ValueError):
    """Geometry that cannot be built or asked for; the message says what and why."""


class Station(NamedTuple):
    """A place on a curve that cannot drift off it: a segment and the parameter within it."""

    segment: int
    t: float


class Nearest(NamedTuple):
    """For each point asked: where on the curve it is nearest, and how far away."""

    segments: IntArray
    ts: FloatArray
    points: FloatArray
    distances: FloatArray
    lengths: FloatArray


class Crossings(NamedTuple):
    """Where two curves meet: lengths along the one and the other, and the points, in order of
    the first."""

    own: FloatArray
    others: FloatArray
    points: FloatArray
