"""Numbers of a DXF file: strict, never by the locale.

`10,5` is no number of the format, but files written under a locale with a decimal comma exist.
Throughout a file it is understood; beside numbers with a point it could mean anything.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

FloatArray = NDArray[np.float64]
Decimal = Literal["auto", "point", "comma"]

_POINT = re.compile(rb"\s*[+-]?(\d+\.?\d*|\.\d+)([eEdD][+-]?\d+)?\s*\Z")
_COMMA = re.compile(rb"\s*[+-]?(\d+,?\d*|,\d+)([eEdD][+-]?\d+)?\s*\Z")

LARGEST = 1e12
"""Drawing units. A number beyond this is damage, and its square would still be a number."""


@dataclass(frozen=True, slots=True)
class Numbers:
    """Parsed numbers.

    values    (n,), NaN where a text is no number
    bad       positions of those
    comma     the numbers use a decimal comma
    mixed     position of the first number that speaks against the others' decimal sign, or None
    """

    values: FloatArray
    bad: tuple[int, ...] = ()
    comma: bool = False
    mixed: int | None = None


def parse_numbers(texts: Sequence[bytes], decimal: Decimal = "auto") -> Numbers:
    """All of `texts` as numbers; see `Numbers`."""
    if decimal != "comma":
        try:
            values = np.fromiter(map(float, texts), dtype=np.float64, count=len(texts))
        except ValueError:
            pass
        else:
            # float() is laxer than the format: "nan", "inf", "1_000".
            if b"_" not in b"".join(texts):
                wrong = ~(np.abs(values) <= LARGEST)
                if wrong.any():
                    values[wrong] = np.nan
                return Numbers(values, tuple(np.flatnonzero(wrong).tolist()))
    return _one_by_one(texts, decimal)


def _one_by_one(texts: Sequence[bytes], decimal: Decimal) -> Numbers:
    comma, mixed = decimal == "comma", None
    if decimal == "auto":
        comma, mixed = _decimal_sign(texts)
    pattern = _COMMA if comma else _POINT
    values = np.full(len(texts), np.nan)
    bad: list[int] = []
    for i, text in enumerate(texts):
        if pattern.match(text):
            plain = text.replace(b",", b".") if comma else text
            value = float(plain.replace(b"d", b"e").replace(b"D", b"e"))
            if abs(value) <= LARGEST:
                values[i] = value
                continue
        bad.append(i)
    return Numbers(values, tuple(bad), comma and decimal == "auto", mixed)


def _decimal_sign(texts: Sequence[bytes]) -> tuple[bool, int | None]:
    """Whether a comma is the decimal sign, and the first number that contradicts."""
    first_comma = first_point = None
    for i, text in enumerate(texts):
        if b"," in text:
            if b"." in text:
                return False, i  # 1.234,5 could be two numbers
            if _COMMA.match(text) and first_comma is None:
                first_comma = i
        elif b"." in text and first_point is None and _POINT.match(text):
            first_point = i
        if first_comma is not None and first_point is not None:
            return False, first_comma
    return first_comma is not None, None
