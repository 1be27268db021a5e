"""Subpaths to curves in mm: segments without length left out, ends that meet made one point."""

from __future__ import annotations

import numpy as np

from seamwright.geometry import LINE, Curve, FloatArray, KindArray

_NOTHING = 1e-9  # mm; a segment no longer than this is none


def tidied(
    segments: FloatArray, kinds: KindArray, *, closed: bool, join: float
) -> tuple[Curve | None, float]:
    """The curve of a subpath, and the gap (mm) over which it was closed, 0 where there was none.

    "Closed" has three writings: the closing command, a last point that repeats the first, and
    one that nearly does (within `join`); all give one closed curve without a closing segment of
    no length. None where nothing has any length.
    """
    spread = np.abs(segments - segments[:, :1]).max(axis=(1, 2))
    real = spread > _NOTHING
    if not real.all():
        segments, kinds = segments[real], kinds[real]
        if not len(segments):
            return None, 0.0
        segments = segments.copy()
        segments[1:, 0] = segments[:-1, 3]
    if closed:
        gap = 0.0
        if len(segments) > 2 and kinds[-1] == LINE:
            last = float(np.hypot(*(segments[-1, 3] - segments[-1, 0])))
            if last <= min(join, 0.01 * _extent(segments)):
                segments, kinds = segments[:-1].copy(), kinds[:-1]
                gap = last
        if len(segments) <= 2 and (kinds == LINE).all():  # there and back: a stroke
            return Curve.from_segments(segments[:1], kinds[:1]), 0.0
        return Curve.from_segments(_met(segments), kinds, closed=True), gap
    gap = float(np.hypot(*(segments[-1, 3] - segments[0, 0])))
    enough = len(segments) > 2 or (len(segments) > 1 and (kinds != LINE).any()) or (
        len(segments) == 1 and kinds[0] != LINE
    )  # fmt: skip
    if enough and gap <= min(join, 0.01 * _extent(segments)):
        return Curve.from_segments(_met(segments.copy()), kinds, closed=True), gap
    return Curve.from_segments(segments, kinds), 0.0


def _extent(segments: FloatArray) -> float:
    low, high = segments.min(axis=(0, 1)), segments.max(axis=(0, 1))
    return float(np.hypot(*(high - low)))


def _met(segments: FloatArray) -> FloatArray:
    """The same with the last point moved onto the first, its handle with it."""
    step = segments[0, 0] - segments[-1, 3]
    if step.any():
        segments = segments.copy()
        segments[-1, 2:] += step
        segments[-1, 3] = segments[0, 0]
    return segments
