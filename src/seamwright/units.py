"""Lengths and angles as people write them: "5/8 in", "1 1/4\"", "16 mm", "0,5 cm", "15°".

Inside everything is millimetres and degrees; this module is the only door in and out. It imports
nothing of ours and nothing heavy.

A length is a sign, a number and a unit. The number may be whole, decimal (point or comma), a
fraction or a mixed number ("1 1/4", "1-1/4", "1¼"). Several lengths with their units may be added:
"1 1/16 in + 0.3 mm", which is also how `format_length` writes a remainder. One comma is a decimal
comma; a comma together with a point, or two commas, could be read two ways and are refused.
"""

from __future__ import annotations

import re
from fractions import Fraction
from math import isfinite
from typing import Final

UNITS: Final[dict[str, float]] = {"mm": 1.0, "cm": 10.0, "in": 25.4}
"""Units that a user can choose, in mm."""

_EXACT: Final = {"mm": Fraction(1), "cm": Fraction(10), "in": Fraction(254, 10)}
_ALIASES: Final = {
    "mm": "mm", "millimetre": "mm", "millimetres": "mm", "millimeter": "mm", "millimeters": "mm",
    "cm": "cm", "centimetre": "cm", "centimetres": "cm", "centimeter": "cm", "centimeters": "cm",
    "in": "in", "in.": "in", "inch": "in", "inches": "in", '"': "in", "″": "in", "”": "in",
    "''": "in", "′′": "in",
}  # fmt: skip
_VULGAR: Final = {
    "¼": "1/4", "½": "1/2", "¾": "3/4", "⅓": "1/3", "⅔": "2/3", "⅕": "1/5", "⅖": "2/5",
    "⅗": "3/5", "⅘": "4/5", "⅙": "1/6", "⅚": "5/6", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8",
}  # fmt: skip

_NUMBER: Final = r"""
    (?P<whole>\d+)(?:\s+|\s*-\s*)(?P<top>\d+)\s*/\s*(?P<bottom>\d+)   # 1 1/4, 1-1/4
  | (?P<top2>\d+)\s*/\s*(?P<bottom2>\d+)                             # 5/8
  | (?P<decimal>(?:\d+(?:\.\d*)?|\.\d+)(?:e[+-]?\d+)?)               # 16, 1.6, .5
"""
_TERM: Final = re.compile(rf"(?:{_NUMBER})\s*(?P<unit>[^\d\s+\-.,/][^\d\s+\-,/]*)?\s*", re.X | re.I)
_ANGLE_UNITS: Final = ("", "°", "deg", "degree", "degrees")

SIXTEENTH: Final = 25.4 / 16
MATTERS: Final = 0.05
"""mm; a remainder beside the nearest 1/16 in is printed from here on."""

_MOST: Final = 10_000_000.0  # mm; ten kilometres of cloth is a slip of the finger


def parse_length(text: str, *, default: str = "mm") -> float:
    """The length that `text` states, in mm; a bare number counts in `default` ("mm", "cm", "in").

    The result is the float nearest to the exact value. Raises ValueError with one sentence that
    says what is wrong and what would be right.
    """
    if default not in UNITS:
        raise ValueError(f'"{default}" is no unit that can be chosen: mm, cm or in')
    return _sum(text, default)


def parse_lengths(text: str, count: int, *, default: str = "mm") -> tuple[float, ...]:
    """`count` lengths in mm, separated by ";", or by "," where that leaves no doubt."""
    parts = text.split(";" if ";" in text else ",")
    if len(parts) != count:
        raise ValueError(
            f'"{text}" should be {count} lengths: separate them with ";", as in "-3,5 mm; 0"'
        )
    return tuple(parse_length(part, default=default) for part in parts)


def parse_angle(text: str) -> float:
    """The angle that `text` states ("15", "15 deg", "15°"), in degrees. Raises ValueError."""
    plain = _plain(text, "an angle")
    sign, body = _signed(plain)
    match = _TERM.fullmatch(body)
    if match is None:
        raise ValueError(f'"{text}" is not an angle: write it as 15, 15 deg or 15°')
    unit = (match["unit"] or "").lower()
    if unit not in _ANGLE_UNITS:
        raise ValueError(f'"{match["unit"]}" is no unit of an angle: did you mean deg?')
    return _finite(sign * _value(match, text), text)


def format_length(mm: float, unit: str, *, rough: bool = False) -> str:
    """A length as the user reads it: "9.5 mm", "0.95 cm", "3/8 in", "1 1/16 in + 0.3 mm".

    mm to 0.01, cm to 0.01 cm; inches as the nearest 1/16, with the remainder in mm (to 0.1) once
    it is 0.05 mm or more. Lengths under 0.1 mm are written in mm whatever the unit, to two
    digits, down to 0.000001. `parse_length` reads back what stands here.

    rough  for overviews: to 0.1 mm, 0.1 cm or the nearest 1/16 in alone

    Raises ValueError for NaN, infinity or an unknown unit.
    """
    if unit not in UNITS:
        raise ValueError(f'"{unit}" is no unit that can be chosen: mm, cm or in')
    if not isfinite(mm):
        raise ValueError(f"{mm} is not a length")
    sign, size = "-" if mm < 0 else "", abs(float(mm))
    if size < 0.1:
        small = _trim(_two_digits(size))
        return f"{'' if small == '0' else sign}{small} {unit if small == '0' else 'mm'}"
    digits = 1 if rough else 2
    if unit == "mm":
        return f"{sign}{_trim(f'{size:.{digits}f}')} mm"
    if unit == "cm":
        return f"{sign}{_trim(f'{size / 10:.{digits}f}')} cm"
    return sign + _inches(size, sign, rough)


def _inches(size: float, sign: str, rough: bool) -> str:
    sixteenths = round(size / SIXTEENTH)
    rest = size - sixteenths * 25.4 / 16
    if sixteenths == 0:
        return f"{_trim(f'{size:.2f}')} mm"
    whole, part = divmod(sixteenths, 16)
    fraction = Fraction(part, 16)
    words = [str(whole)] if whole else []
    if part:
        words.append(f"{fraction.numerator}/{fraction.denominator}")
    out = " ".join(words) + " in"
    if rough or abs(rest) < MATTERS:
        return out
    # The sign in front counts for the inches only; the remainder carries its own.
    plus = (rest > 0) != (sign == "-")
    return f"{out} {'+' if plus else '-'} {_trim(f'{abs(rest):.1f}')} mm"


def _two_digits(size: float) -> str:
    for digits in range(2, 7):
        text = f"{size:.{digits}f}"
        if len(text.replace(".", "").lstrip("0")) >= 2:
            return text
    return text


def _trim(text: str) -> str:
    return text.rstrip("0").rstrip(".") if "." in text else text


def _sum(text: str, default: str) -> float:
    rest = _plain(text, "a length")
    total, first = Fraction(0), True
    while rest or first:
        sign, body = _signed(rest, needed=not first)
        match = _TERM.match(body)
        if sign == 0 or match is None:
            raise _not_a_length(text)
        rest = body[match.end() :]
        unit = match["unit"]
        if unit is None and (rest or not first):
            if rest and rest[0] not in "+-":
                raise _not_a_length(text)
            raise ValueError(f'"{text}" adds lengths: give each one its unit')
        total += sign * _value(match, text) * _EXACT[_unit(unit, text) if unit else default]
        first = False
    return _finite(total, text)


def _plain(text: str, what: str) -> str:
    """The text with vulgar fractions, minus signs and the decimal comma made plain."""
    if not isinstance(text, str):
        raise ValueError(f"{text!r} is not {what}")
    out = text.strip().replace("−", "-").replace("⁄", "/").replace("\u00a0", " ")
    for sign, fraction in _VULGAR.items():
        out = out.replace(sign, " " + fraction)
    out = out.strip()
    if not out:
        raise ValueError(f"{what} is missing")
    if re.fullmatch(r"[+-]?(nan|inf|infinity)\b.*", out, re.I):
        raise ValueError(f'"{text}" is not {what}: a finite number is needed')
    for number in re.findall(r"[\d.,]+", out):
        if "," in number and ("." in number or number.count(",") > 1):
            without = number.replace(",", "")
            raise ValueError(
                f'"{number}" can be read two ways: write it without separators, as "{without}"'
            )
    return re.sub(r"(?<=\d),(?=\d)|(?<![\d,]),(?=\d)", ".", out)


def _signed(text: str, *, needed: bool = False) -> tuple[int, str]:
    """The sign in front (0 where one is needed and there is none) and what follows."""
    if text[:1] in ("+", "-"):
        return (-1 if text[0] == "-" else 1), text[1:].lstrip()
    return (0 if needed else 1), text


def _value(match: re.Match[str], text: str) -> Fraction:
    top = match["top"] or match["top2"]
    if top is None:
        return _decimal(match["decimal"], text)
    bottom = int(match["bottom"] or match["bottom2"])
    if bottom == 0:
        raise ValueError(f'"{text}" divides by 0')
    part = Fraction(int(top), bottom)
    if match["whole"] is None:
        return part
    if part >= 1:
        raise ValueError(f'"{text}": the fraction after a whole number must be below 1')
    return int(match["whole"]) + part


def _decimal(digits: str, text: str) -> Fraction:
    mantissa, _, exponent = digits.lower().partition("e")
    if len(mantissa) > 60 or not -400 <= int(exponent or 0) <= 60:
        raise ValueError(f'"{text[:80]}" is out of all proportion')
    return Fraction(digits)


def _unit(word: str, text: str) -> str:
    found = _ALIASES.get(word.lower())
    if found is not None:
        return found
    from difflib import get_close_matches  # noqa: PLC0415 - only errors need it

    near = get_close_matches(word.lower(), [k for k in _ALIASES if k.isalpha()], n=3, cutoff=0.5)
    near.sort(key=lambda name: name[0] != word[0].lower())
    remedy = f"did you mean {_ALIASES[near[0]]}?" if near else "use mm, cm or in"
    raise ValueError(f'"{word}" in "{text}" is no unit of length: {remedy}')


def _not_a_length(text: str) -> ValueError:
    return ValueError(f'"{text}" is not a length: write it as 16 mm, 1.6 cm, 5/8 in or 1 1/4 in')


def _finite(value: Fraction, text: str) -> float:
    if abs(value) > _MOST:
        raise ValueError(f'"{text}" is out of all proportion')
    return float(value)
