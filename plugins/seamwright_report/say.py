"""Lengths in the reader's units: in full, short for tables, and round for axes."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from fractions import Fraction
from math import floor, isfinite, log10

from seamwright.units import UNITS, format_length

from .markup import token

MISSING = "–"


@dataclass(frozen=True, slots=True)
class Say:
    """Lengths as the reader's unit ("mm", "cm", "in") has them."""

    unit: str

    def full(self, mm: float) -> str:
        """With its unit, exact to a tenth of a millimetre: "5/8 in", "1 1/16 in - 0.7 mm"."""
        return format_length(mm, self.unit) if isfinite(mm) else MISSING

    @property
    def plain(self) -> Say:
        """The same, as words alone."""
        return self

    @property
    def word(self) -> str:
        """The unit's name in a sentence."""
        return {"in": "inches", "mm": "mm", "cm": "cm"}[self.unit]

    def both(self, mm: float) -> str:
        """For a sentence: "5/8 in", "3/16 in (4.5 mm)" where the sixteenth is not exact."""
        if self.unit != "in" or not isfinite(mm):
            return self.full(mm)
        told = _sixteenths(mm)
        if told == "0":
            return self.full(mm)
        exact = abs(abs(mm) - round(abs(mm) * 16 / 25.4) * 25.4 / 16) < 0.05
        return f"{told} in" if exact else f"{told} in ({mm:.1f} mm)"

    def about(self, mm: float) -> str:
        """With its unit, as a tape tells it: to 1/16 in, 1 mm, 0.1 cm."""
        if not isfinite(mm):
            return MISSING
        step = 25.4 / 16 if self.unit == "in" else 1.0
        return format_length(round(mm / step) * step, self.unit)

    def short(self, mm: float) -> str:
        """Without the unit, for a table: "1 1/16" (the nearest 1/16), "27.0", "2.70"."""
        if not isfinite(mm):
            return MISSING
        if self.unit == "in":
            return _sixteenths(mm)
        return f"{mm:z.1f}" if self.unit == "mm" else f"{mm / 10:z.2f}"

    def exact(self, mm: float) -> str:
        """In mm with two decimals, whatever the unit: what a pointer over a figure shows."""
        return f"{mm:z.2f} mm" if isfinite(mm) else MISSING

    def ticks(self, low: float, high: float, most: int = 7) -> list[float]:
        """Round places on an axis from low to high, mm."""
        if not (isfinite(low) and isfinite(high)) or high <= low:
            return []
        unit = UNITS[self.unit]
        span = (high - low) / unit
        if self.unit == "in":
            steps = [1 / 16, 1 / 8, 1 / 4, 1 / 2, *(2.0**k for k in range(12))]
        else:
            ten = 10.0 ** floor(log10(span / most))
            steps = [ten, 2 * ten, 5 * ten, 10 * ten, 20 * ten]
        step = next((s for s in steps if span / s <= most), span)
        first = int(-((-low / unit) // step))
        last = int((high / unit) // step)
        return [k * step * unit for k in range(first, last + 1)]


def _sixteenths(mm: float) -> str:
    count = round(abs(mm) * 16 / 25.4)
    if count == 0:
        return "0"
    whole, part = divmod(count, 16)
    said = [str(whole)] if whole else []
    if part:
        fraction = Fraction(part, 16)
        said.append(f"{fraction.numerator}/{fraction.denominator}")
    return ("−" if mm < 0 else "") + " ".join(said)


@dataclass(frozen=True, slots=True)
class PageSay(Say):
    """Lengths that the page's script can say anew in another unit."""

    @property
    def word(self) -> str:
        return token("w", 0.0, self.plain.word)

    @property
    def plain(self) -> Say:
        """The same, as words alone."""
        return Say(self.unit)

    def full(self, mm: float) -> str:
        return self._told("f", mm, self.plain.full)

    def both(self, mm: float) -> str:
        return self._told("b", mm, self.plain.both)

    def about(self, mm: float) -> str:
        return self._told("a", mm, self.plain.about)

    def short(self, mm: float) -> str:
        return self._told("s", mm, self.plain.short)

    def _told(self, manner: str, mm: float, say: Callable[[float], str]) -> str:
        if not isfinite(mm):
            return MISSING
        rounded = round(float(mm), 4) + 0.0
        return token(manner, rounded, say(rounded))
