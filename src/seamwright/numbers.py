"""One way to write a number, for every writer: fixed point, trimmed, no exponent, no "-0"."""

from __future__ import annotations

from math import isfinite


def fixed(value: float, digits: int = 6) -> str:
    """`value` with at most `digits` decimals: "12.5", "0", "-0.000001".

    Raises ValueError for NaN and infinities: no file may hold them.
    """
    if not isfinite(value):
        raise ValueError(f"{value} is not a number that a file can hold")
    text = f"{value:.{digits}f}"
    if "." in text:
        text = text.rstrip("0").rstrip(".")
    return "0" if text == "-0" else text
