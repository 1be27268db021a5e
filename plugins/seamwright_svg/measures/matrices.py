"""Transform lists, as an attribute or in CSS."""

from __future__ import annotations

import math
import re

from seamwright.model.recognise.matrices import IDENTITY, Matrix, times

from .lengths import INCHES, NUMBER

_FUNCTION = re.compile(r"\s*,?\s*([A-Za-z]+)\s*\(([^()]*)\)")
_ARGUMENT = re.compile(rf"\s*({NUMBER})(deg|grad|rad|turn|px|mm|cm|in|pt|pc|Q)?\s*(,?)")
_ANGLES = {"": 1.0, "deg": 1.0, "grad": 0.9, "rad": 180.0 / math.pi, "turn": 360.0}
_COUNTS = {
    "matrix": (6,), "translate": (1, 2), "scale": (1, 2), "rotate": (1, 3), "skewx": (1,),
    "skewy": (1,), "translatex": (1,), "translatey": (1,), "scalex": (1,), "scaley": (1,),
    "skew": (1, 2),
}  # fmt: skip
_OF_ANGLES = ("rotate", "skewx", "skewy", "skew")


class BadTransform(ValueError):
    """A transform list that cannot be read."""


def parse_transform(text: str) -> Matrix:
    """The matrix of a transform list, as an attribute or in CSS. Raises BadTransform."""
    matrix = IDENTITY
    at = 0
    text = text.strip().rstrip(",").rstrip()
    if text.lower() in ("", "none"):
        return matrix
    while at < len(text):
        match = _FUNCTION.match(text, at)
        if match is None:
            raise BadTransform(f'"{text[at : at + 40].strip()}" is no transform')
        name = match.group(1)
        matrix = times(matrix, _function(name, _arguments(name, match.group(2))))
        at = match.end()
    if not all(math.isfinite(v) for v in matrix):
        raise BadTransform(f'"{text[:60]}" gives numbers that are too large')
    return matrix


def _arguments(name: str, text: str) -> list[float]:
    out: list[float] = []
    at = 0
    comma = False
    while at < len(text.rstrip()):
        match = _ARGUMENT.match(text, at)
        if match is None:
            raise BadTransform(f'"{name}({text.strip()[:50]})" holds no number where one is due')
        value, unit = float(match.group(1)), match.group(2) or ""
        if unit in _ANGLES and unit:
            value *= _ANGLES[unit]
        elif unit and unit != "px":
            value *= 96.0 * INCHES[unit.lower()]
        out.append(value)
        comma = bool(match.group(3))
        at = match.end()
    if comma:
        raise BadTransform(f'"{name}({text.strip()[:50]})" ends with a comma')
    allowed = _COUNTS.get(name.lower())
    if allowed is None:
        raise BadTransform(f'"{name}" is no transform that is known')
    if len(out) not in allowed:
        wanted = " or ".join(str(n) for n in allowed)
        raise BadTransform(f'"{name}({text.strip()[:50]})" should hold {wanted} numbers')
    return out


def _function(name: str, v: list[float]) -> Matrix:
    match name.lower():
        case "matrix":
            return (v[0], v[1], v[2], v[3], v[4], v[5])
        case "translate":
            return (1.0, 0.0, 0.0, 1.0, v[0], v[1] if len(v) > 1 else 0.0)
        case "translatex":
            return (1.0, 0.0, 0.0, 1.0, v[0], 0.0)
        case "translatey":
            return (1.0, 0.0, 0.0, 1.0, 0.0, v[0])
        case "scale":
            return (v[0], 0.0, 0.0, v[1] if len(v) > 1 else v[0], 0.0, 0.0)
        case "scalex":
            return (v[0], 0.0, 0.0, 1.0, 0.0, 0.0)
        case "scaley":
            return (1.0, 0.0, 0.0, v[0], 0.0, 0.0)
        case "rotate":
            turn = _turn(v[0])
            if len(v) == 1:
                return turn
            return times(
                times((1.0, 0.0, 0.0, 1.0, v[1], v[2]), turn), (1.0, 0.0, 0.0, 1.0, -v[1], -v[2])
            )
        case "skewx":
            return (1.0, 0.0, math.tan(math.radians(v[0])), 1.0, 0.0, 0.0)
        case "skewy":
            return (1.0, math.tan(math.radians(v[0])), 0.0, 1.0, 0.0, 0.0)
    ax, ay = v[0], v[1] if len(v) > 1 else 0.0
    return (1.0, math.tan(math.radians(ay)), math.tan(math.radians(ax)), 1.0, 0.0, 0.0)


def _turn(degrees: float) -> Matrix:
    quarter = degrees / 90.0
    if quarter == int(quarter):  # exact, so that a turned rectangle stays square
        c, s = ((1.0, 0.0), (0.0, 1.0), (-1.0, 0.0), (0.0, -1.0))[int(quarter) % 4]
    else:
        c, s = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
    return (c, s, -s, c, 0.0, 0.0)
