"""Curves as SVG path data, for pictures on screen and on paper (not a file format)."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from seamwright.geometry import LINE, Curve
from seamwright.numbers import fixed

if TYPE_CHECKING:
    from .pattern import Piece

_STYLE = (
    "fill:none;stroke:#1d3557;stroke-width:1;vector-effect:non-scaling-stroke;stroke-linejoin:round"
)


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


def piece_svg(piece: Piece, *, width: int = 360) -> str:
    """A small picture of a piece, all sizes nested, for notebooks."""
    boxes = np.array([shape.seam_line.bbox for shape in piece.shapes])
    x0, y0 = boxes[:, 0].min(), boxes[:, 1].min()
    x1, y1 = boxes[:, 2].max(), boxes[:, 3].max()
    margin = 0.03 * max(x1 - x0, y1 - y0, 1.0)
    view = (x0 - margin, -y1 - margin, x1 - x0 + 2 * margin, y1 - y0 + 2 * margin)
    height = round(width * view[3] / view[2])
    paths = "".join(
        f'<path d="{path_data(shape.seam_line, digits=3)}" style="{_STYLE}"/>'
        for shape in piece.shapes
    )
    box = " ".join(fixed(float(v), 3) for v in view)
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{width}" height="{height}" '
        f'viewBox="{box}">{paths}</svg>'
    )
