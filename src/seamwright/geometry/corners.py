"""Turns at the joints of an outline, from limiting tangents."""

from __future__ import annotations

import numpy as np

from .evaluate import to_complex
from .kinds import ComplexArray, FloatArray, IntArray


def _first_real(vectors: ComplexArray, small: FloatArray) -> ComplexArray:
    """Of each row the first vector longer than `small`, else 0."""
    big = np.abs(vectors) > small[:, None]
    pick = vectors[np.arange(vectors.shape[0]), big.argmax(axis=1)]
    out: ComplexArray = np.where(big.any(axis=1), pick, 0.0)
    return out


def end_tangents(segments: FloatArray) -> tuple[ComplexArray, ComplexArray]:
    """Unit tangents (complex, (K,) each) in which segments (K, 4, 2) set out and arrive.

    Collapsed handles are stepped over: the limit of the tangent at an end points to, or comes
    from, the nearest control point that differs. A segment without extent gives 0.
    """
    z = to_complex(segments)
    small = 1e-9 * np.abs(z - z[:, :1]).max(axis=1)
    out = _first_real(z[:, 1:] - z[:, :1], small)
    arrive = _first_real(z[:, 3:] - z[:, 2::-1], small)
    with np.errstate(divide="ignore", invalid="ignore"):
        out = np.where(out == 0.0, 0.0, out / np.abs(out))
        arrive = np.where(arrive == 0.0, 0.0, arrive / np.abs(arrive))
    return out, arrive


def turns(segments: FloatArray, *, closed: bool) -> FloatArray:
    """Turn in degrees (K,), anticlockwise positive, at the START of each segment.

    Segments without extent are skipped: the whole turn is reported at the first segment with
    extent that follows, and they themselves report 0. The first entry of an open chain is 0.
    """
    out, arrive = end_tangents(segments)
    count = segments.shape[0]
    turn = np.zeros(count)
    live = np.flatnonzero(out != 0.0)
    if live.size == 0:
        return turn
    before = np.roll(arrive[live], 1)
    ratio = out[live] * np.conj(before)
    angles = np.degrees(np.angle(ratio))
    if not closed:
        angles[0] = 0.0
    turn[live] = angles
    return turn


def corner_segments(
    segments: FloatArray, *, closed: bool, threshold_degrees: float = 20.0
) -> IntArray:
    """Indices of segments at whose start the outline turns by more than the threshold."""
    return np.flatnonzero(np.abs(turns(segments, closed=closed)) > threshold_degrees)
