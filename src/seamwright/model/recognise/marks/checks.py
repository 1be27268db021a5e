"""Figures that our own writers put beside what they draw, as texts and back."""

from __future__ import annotations

from ..items import Named

_PARTS = 10**12  # a curve's parameter is written as a whole number of these parts


def station_text(segment: int, t: float) -> str:
    """A station for an attribute: the segment, and the parameter in parts of 10^-12."""
    return f"{segment} {round(t * _PARTS)}"


def station_of(text: str | None, count: int) -> tuple[int, float] | None:
    """The station that an attribute states on a curve of `count` segments, None where it does
    not."""
    words = (text or "").split()
    if len(words) != 2 or not all(w.isdigit() and len(w) < 16 for w in words):
        return None
    segment, t = int(words[0]), int(words[1]) / _PARTS
    return (segment, t) if segment < count and t <= 1.0 else None


def number(named: Named, name: str) -> float | None:
    """The number in a fact of that name, None where there is none."""
    try:
        value = float(named.data(name) or "nan")
    except ValueError:
        return None
    return value if abs(value) < 1e9 else None


def pair(named: Named, name: str) -> tuple[float, float] | None:
    """The two numbers in a fact of that name, None where there are none."""
    try:
        x, y = map(float, (named.data(name) or "").split())
    except ValueError:
        return None
    return (x, y) if abs(x) < 1e9 and abs(y) < 1e9 else None
