"""Encoded polylines (PE): numbers in base 64 or 32, packed into printable characters.

HP PCL/PJL Technical Reference Manual, part II, p. 20-35: flags ":" (select pen), "<" (pen up for
the next point), ">" (fractional bits), "=" (next point absolute), "7" (base 32 from here on).
A digit below the last of a number is 63 + d (base 64: 63..126, base 32: 63..94), the last one
191 + d or 95 + d; the sign is the lowest bit.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple


class Move(NamedTuple):
    """One step: a new pen, or a point and whether it is absolute and drawn to."""

    pen: int | None
    x: float
    y: float
    absolute: bool
    down: bool


class BadEncoding(ValueError):
    """An encoded polyline that breaks off or holds what it may not."""


def moves(text: bytes) -> Iterator[Move]:
    """The steps that the text of a PE instruction encodes. Raises BadEncoding."""
    seven, bits = False, 0
    up = absolute = False
    at, end = 0, len(text)
    while at < end:
        sign = text[at]
        if sign <= 32:
            at += 1
        elif sign == ord(":"):
            value, at = _number(text, at + 1, seven)
            yield Move(value, 0.0, 0.0, False, False)
        elif sign == ord("<"):
            up, at = True, at + 1
        elif sign == ord(">"):
            bits, at = _number(text, at + 1, seven)
            if not -26 <= bits <= 26:
                raise BadEncoding(f"{bits} fractional bits")
        elif sign == ord("="):
            absolute, at = True, at + 1
        elif sign == ord("7"):
            seven, at = True, at + 1
        else:
            x, at = _number(text, at, seven)
            y, at = _number(text, at, seven)
            yield Move(None, x / 2.0**bits, y / 2.0**bits, absolute, not up)
            up = absolute = False


def _number(text: bytes, at: int, seven: bool) -> tuple[int, int]:
    last, base = (95, 32) if seven else (191, 64)
    value, factor = 0, 1
    while at < len(text):
        digit = text[at] & 0x7F if seven else text[at]
        at += 1
        if digit <= 32:
            continue
        if last <= digit < last + base:
            value += (digit - last) * factor
            if abs(value) > 2**53:
                raise BadEncoding("a number too large")
            return (-(value >> 1) if value & 1 else value >> 1), at
        if not 63 <= digit < 63 + base:
            raise BadEncoding(f"character {digit} within a number")
        value += (digit - 63) * factor
        factor *= base
        if factor > 2**60:
            raise BadEncoding("a number without an end")
    raise BadEncoding("it breaks off within a number")
