"""Small pieces of inline SVG: numbers, paths, labels, marks. y is turned down here."""

from __future__ import annotations

import numpy as np

from seamwright.geometry import Curve, FloatArray
from seamwright.model import LineRole, Shape
from seamwright.model.picture import path_data
from seamwright.numbers import fixed

from .markup import Markup, el

Box = tuple[float, float, float, float]  # x0, y0, x1, y1 in mm, y up


def num(value: float) -> str:
    """A coordinate to a hundredth of a millimetre."""
    return fixed(float(value), 2)


def path(curve: Curve, class_: str) -> Markup:
    """A curve's path."""
    return el("path", d=path_data(curve, digits=2), class_=class_)


def line(a: FloatArray, b: FloatArray, class_: str) -> Markup:
    """A straight line from a to b."""
    return el("line", x1=num(a[0]), y1=num(-a[1]), x2=num(b[0]), y2=num(-b[1]), class_=class_)


def label(at: FloatArray, text: str, *, anchor: str = "middle", class_: str) -> Markup:
    """A text whose baseline starts, is centred or ends at a point, in the
    drawing's own size of letters."""
    return el(
        "text",
        text,
        x=num(at[0]),
        y=num(-at[1]),
        text_anchor=anchor,
        class_=class_,
    )


def view(box: Box, *, margin: float) -> str:
    """A viewBox round a box with a margin, mm."""
    x0, y0, x1, y1 = box
    return " ".join(
        num(v) for v in (x0 - margin, -y1 - margin, x1 - x0 + 2 * margin, y1 - y0 + 2 * margin)
    )


def union(boxes: list[FloatArray]) -> Box:
    """The box round all boxes (4,) of x0, y0, x1, y1."""
    all_ = np.array(boxes)
    low, high = all_[:, :2].min(axis=0), all_[:, 2:].max(axis=0)
    return float(low[0]), float(low[1]), float(high[0]), float(high[1])


def notches(shape: Shape, class_: str, *, least: float) -> Markup | None:
    """All notches as short strokes inward from their line, one path; at least `least` mm long."""
    words = []
    for notch in shape.notches:
        on_cut = notch.line is LineRole.CUT and shape.cut_line is not None
        curve = shape.cut_line if on_cut and shape.cut_line is not None else shape.seam_line
        at = curve.point_of(notch.station)
        tangent = curve.tangents_of([notch.station.segment], [notch.station.t])[0]
        inward = np.array([-tangent[1], tangent[0]])
        end = at + inward * max(notch.depth or 0.0, least)
        words.append(f"M{num(at[0])},{num(-at[1])}L{num(end[0])},{num(-end[1])}")
    return el("path", d="".join(words), class_=class_) if words else None
