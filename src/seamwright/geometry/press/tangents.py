"""Tangents at the two ends of an open curve, whatever its end segments look like."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from ..corners import end_tangents
from ..curve import Curve
from .kinds import PressError

__all__ = ["first_tangent", "last_tangent"]


def first_tangent(curve: Curve) -> complex:
    """Unit tangent in which a curve sets out. Raises PressError (`order`) if it has no extent."""
    return _live(end_tangents(curve.segments)[0])[0]


def last_tangent(curve: Curve) -> complex:
    """Unit tangent in which a curve arrives. Raises PressError (`order`) if it has no extent."""
    return _live(end_tangents(curve.segments)[1])[-1]


def _live(tangents: NDArray[np.complex128]) -> list[complex]:
    live = [complex(t) for t in tangents.tolist() if t != 0.0]
    if not live:
        raise PressError("order", "a stretch of the edge has no extent")
    return live
