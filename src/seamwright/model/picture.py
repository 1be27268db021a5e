"""Curves as SVG path data, for pictures on screen and on paper (not a file format)."""

from __future__ import annotations

import numpy as np

from seamwright.geometry import LINE, Curve
from seamwright.numbers import fixed


def path_data(curve: Curve, *, digits: int = 6) -> str:
    """SVG path data of a curve with y turned down; curves as C, straight lines as L."""
    points = np.array(curve.segments, dtype=np.float64)
    points[..., 1] *= -1.0

    def pair(p: np.ndarray) -> str:
        return f"{fixed(float(p[0]), digits)},{fixed(float(p[1]), digits)}"

    words = [f"M{pair(points[0, 0])}"]
    last = len(points) - 1
    for i, (segment, kind) in enumerate(zip(points, curve.kinds, strict=True)):
        if kind == LINE:
            if not (curve.closed and i == last):
                words.append(f"L{pair(segment[3])}")
        else:
            words.append("C" + " ".join(pair(p) for p in segment[1:]))
    if curve.closed:
        words.append("Z")
    return "".join(words)
