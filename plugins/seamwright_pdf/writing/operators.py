"""Operators and objects of a page's content, written by hand: exact numbers, exact Beziers."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Final

import numpy as np

from seamwright.geometry import LINE, Curve, FloatArray
from seamwright.numbers import fixed

from ..layout_words import POINT

ALONG: Final = 72.0 / 25.4
"""Points in a millimetre."""


def pt(mm: float) -> str:
    """A length in mm as points."""
    return fixed(mm / POINT)


def path(curve: Curve) -> str:
    """The path of a curve whose mm are those of the sheet: c for curves, l for lines, h where it
    closes. The straight line back to the start is written too, so that joints keep their number
    where it has no length."""
    rows = (np.asarray(curve.segments) / POINT).reshape(-1, 8).tolist()
    words = [f"{fixed(rows[0][0])} {fixed(rows[0][1])} m"]
    last = curve.n - 1
    for i, (kind, row) in enumerate(zip(curve.kinds.tolist(), rows, strict=True)):
        if kind != LINE:
            words.append(" ".join([fixed(v) for v in row[2:]]) + " c")
        elif not (curve.closed and i == last and row[:2] != row[6:]):
            words.append(f"{fixed(row[6])} {fixed(row[7])} l")
    if curve.closed:
        words.append("h")
    return "\n".join(words)


def lines(points: Iterable[Sequence[float]] | FloatArray, *, closed: bool = False) -> str:
    """The path of straight lines through points in sheet mm."""
    words = [
        f"{pt(float(p[0]))} {pt(float(p[1]))} {'l' if i else 'm'}" for i, p in enumerate(points)
    ]
    return " ".join(words) + (" h" if closed else "")


def box(x0: float, y0: float, x1: float, y1: float) -> str:
    """A rectangle."""
    return f"{pt(x0)} {pt(y0)} {pt(x1 - x0)} {pt(y1 - y0)} re"


def circle(x: float, y: float, radius: float) -> str:
    """A full circle."""
    return path(Curve.circle((x, y), radius))


def pen(width: float, dash: Sequence[float] = (), ink: Sequence[float] = (0.0,)) -> str:
    """Line width and dashes in mm; one number of ink is grey, three are colour."""
    colour = " ".join(fixed(v, 4) for v in ink) + (" G" if len(ink) == 1 else " RG")
    dashes = " ".join(fixed(v / POINT, 3) for v in dash)
    return f"{fixed(width / POINT, 4)} w [{dashes}] 0 d {colour}"


def fill(ink: Sequence[float]) -> str:
    """The colour of areas and letters."""
    return " ".join(fixed(v, 4) for v in ink) + (" g" if len(ink) == 1 else " rg")


def string(text: str) -> str:
    """A text string object (ISO 32000-1, 7.9.2.2)."""
    if text.isascii() and text.isprintable():
        plain = text.replace("\\", "\\\\").replace("(", "\\(").replace(")", "\\)")
        return f"({plain})"
    return "<FEFF" + text.encode("utf-16-be", "surrogatepass").hex().upper() + ">"


def numbers(values: Iterable[float], digits: int = 9) -> str:
    """An array of numbers."""
    return "[" + " ".join(fixed(float(v), digits) for v in values) + "]"


def tagged(tag: str, properties: str, content: str) -> str:
    """Marked content with properties; without them where there are none."""
    head = f"/{tag} <<{properties}>> BDC" if properties else f"/{tag} BMC"
    return f"{head}\n{content}\nEMC"
