"""Checks and repairs of a chain of segments before it becomes a Curve."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from .evaluate import line_segments
from .kinds import CUBIC, LINE, TOUCH, FloatArray, GeometryError, KindArray


def touch_limit(segments: FloatArray) -> float:
    """How near two ends must be to be one point: 1e-9 mm, or four units in the last place."""
    return max(TOUCH, 4.0 * float(np.spacing(np.abs(segments).max(initial=0.0))))


def straighten(segments: FloatArray, kinds: KindArray) -> None:
    """Sets the handles of LINE segments to the thirds, in place."""
    lines = kinds == LINE
    if lines.any():
        segments[lines] = line_segments(segments[lines, 0], segments[lines, 3])


def checked_chain(
    segments: ArrayLike, kinds: ArrayLike | None, closed: bool
) -> tuple[FloatArray, KindArray]:
    """New arrays (K, 4, 2) and (K,) that form a finite, continuous chain, ends snapped."""
    p = np.array(segments, dtype=np.float64, order="C")
    if p.ndim != 3 or p.shape[1:] != (4, 2) or p.shape[0] == 0:
        raise GeometryError(
            f"a curve needs segments of shape (K, 4, 2) with K at least 1, not {p.shape}"
        )
    count = p.shape[0]
    if kinds is None:
        kind = np.full(count, CUBIC, dtype=np.uint8)
    else:
        given = np.asarray(kinds)
        if given.shape != (count,):
            raise GeometryError(f"{count} segments need {count} kinds, not shape {given.shape}")
        kind = given.astype(np.uint8)
        if not (((kind == LINE) | (kind == CUBIC)) & (kind == given)).all():
            raise GeometryError("a segment's kind is LINE (0) or CUBIC (1)")
    if not np.isfinite(p).all():
        bad = int(np.flatnonzero(~np.isfinite(p).all(axis=(1, 2)))[0])
        raise GeometryError(f"segment {bad} has a coordinate that is not a finite number")
    starts = p[1:, 0] if not closed else np.concatenate((p[1:, 0], p[:1, 0]))
    ends = p[:-1, 3] if not closed else p[:, 3]
    if not np.array_equal(starts, ends):
        gaps = np.hypot(*(starts - ends).T)
        worst = int(gaps.argmax())
        if gaps[worst] > touch_limit(p):
            raise GeometryError(
                f"the chain has a gap of {gaps[worst]:.6g} mm after segment {worst}"
                + (" (where it should close)" if closed and worst == count - 1 else "")
            )
        if closed:
            p[:, 3] = np.roll(p[:, 0], -1, axis=0)
        else:
            p[:-1, 3] = p[1:, 0]
    straighten(p, kind)
    return p, kind
