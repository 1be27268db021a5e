"""Lengths in attributes: "12", "12.5mm", "50%", "2em".

1in = 2.54cm = 25.4mm = 101.6Q = 72pt = 6pc = 96px (CSS Values and Units Level 4, absolute
lengths, https://www.w3.org/TR/css-values-4/#absolute-lengths).
"""

from __future__ import annotations

import re
from typing import Final, NamedTuple

#: Unit -> inches. px stands for the CSS pixel, 1/96 in.
INCHES: Final = {
    "in": 1.0,
    "cm": 1 / 2.54,
    "mm": 1 / 25.4,
    "q": 1 / 101.6,
    "pt": 1 / 72,
    "pc": 1 / 6,
}
MM: Final = {"in": 25.4, "cm": 10.0, "mm": 1.0, "q": 0.25, "pt": 25.4 / 72, "pc": 25.4 / 6}
CSS_PX_PER_INCH: Final = 96.0

NUMBER: Final = r"[+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?"
_LENGTH = re.compile(rf"\s*({NUMBER})\s*([A-Za-z]*|%)\s*")
_FONT = {"em": 1.0, "rem": 1.0, "ex": 0.5, "ch": 0.5}


class Measure(NamedTuple):
    """A number with its unit in lower case ("" for none)."""

    value: float
    unit: str

    @property
    def mm(self) -> float | None:
        """The length in mm where the unit is a real one (a pixel is none)."""
        factor = MM.get(self.unit)
        return None if factor is None else self.value * factor


class BadLength(ValueError):
    """An attribute that should be a length and is none."""


def parse_measure(text: str) -> Measure:
    """Number and unit of a CSS length. Raises BadLength."""
    match = _LENGTH.fullmatch(text)
    if match is None:
        raise BadLength(f'"{text.strip()[:60]}" is not a length')
    value = float(match.group(1))
    if value - value != 0.0:
        raise BadLength(f'"{text.strip()[:60]}" is too large for a length')
    unit = match.group(2).lower()
    if unit not in INCHES and unit not in _FONT and unit not in ("", "px", "%"):
        raise BadLength(f'"{text.strip()[:60]}" has an unknown unit "{match.group(2)}"')
    return Measure(value, unit)


def user_units(
    measure: Measure,
    *,
    relative_to: float,
    font_size: float = 16.0,
    px_per_inch: float = CSS_PX_PER_INCH,
) -> float:
    """The length in user units; percentages count of `relative_to`, ems of `font_size`."""
    value, unit = measure
    if unit in ("", "px"):
        return value
    if unit == "%":
        return value / 100.0 * relative_to
    if unit in _FONT:
        return value * _FONT[unit] * font_size
    return value * px_per_inch * INCHES[unit]


def is_relative(measure: Measure) -> bool:
    """Whether the length hangs on a font, which no drawing can be trusted to state."""
    return measure.unit in _FONT
