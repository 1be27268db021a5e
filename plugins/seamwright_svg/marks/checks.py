"""Whether a drawn element still is what our own writer made of it.

The writer puts exact figures beside what it draws and a checksum of the drawing. Somebody may
have edited the drawing since: then the drawing counts, and the figures beside it do not.
"""

from __future__ import annotations

from zlib import crc32

from ..drawing.items import Named

_PARTS = 10**12  # a curve's parameter is written as a whole number of these parts


def checksum(data: str) -> str:
    """A short checksum of path data."""
    return f"{crc32(data.encode()):08x}"


def untouched(named: Named) -> bool:
    """Whether the element's path data are those that the writer wrote, in their place."""
    said = named.data("check")
    attrs = named.node.attrs
    return (
        said is not None
        and said == checksum(attrs.get("d", ""))
        and "transform" not in attrs
        and "transform" not in attrs.get("style", "")
    )


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
    """The number in a `data-...` attribute, None where there is none."""
    try:
        value = float(named.data(name) or "nan")
    except ValueError:
        return None
    return value if abs(value) < 1e9 else None


def pair(named: Named, name: str) -> tuple[float, float] | None:
    """The two numbers in a `data-...` attribute, None where there are none."""
    try:
        x, y = map(float, (named.data(name) or "").split())
    except ValueError:
        return None
    return (x, y) if abs(x) < 1e9 and abs(y) < 1e9 else None
