"""Whether every figure of a pattern is one: no NaN, no infinity, nothing beyond all measure."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import fields
from typing import TYPE_CHECKING, Any, Final

import numpy as np

from seamwright.geometry import Curve

if TYPE_CHECKING:
    from seamwright.model import Pattern

    from .context import Limits

FARTHEST: Final = 1e9
"""mm: a thousand kilometres. Products of such figures keep their meaning."""


def unsound(pattern: Pattern) -> str | None:
    """Where the first figure stands that is no number or beyond 1e9, in words; None if there is
    none."""
    for piece in pattern.pieces:
        for shape in piece.shapes:
            for path, value in _figures(shape, ""):
                if not _sound(value):
                    return f'"{piece.name}" size {shape.size}: {path[1:]} is {_worst(value):g}'
    for seam in pattern.seams:
        for path, value in _figures(seam.ease, "ease"):
            if not _sound(value):
                return f'seam "{seam.name}": {path} is {_worst(value):g}'
    if pattern.grade_rules is not None:
        for number, offsets in pattern.grade_rules.offsets.items():
            if not _sound(offsets):
                return f"grade rule {number} holds {_worst(offsets):g}"
    return None


def oversized(pattern: Pattern, limits: Limits) -> tuple[str, str, int] | None:
    """The first limit that a pattern exceeds though its reader let it: what in words, the limit's
    name, how many there are. None if all is within bounds."""
    for piece in pattern.pieces:
        for shape in piece.shapes:
            where = f'"{piece.name[:80]}" size {shape.size[:80]}'
            for text in shape.texts:
                if len(text.text) > limits.text:
                    return f"{where}: signs of a text", "text", len(text.text)
            lines = (shape.seam_line, shape.cut_line, *(i.curve for i in shape.internal_lines))
            for line in lines:
                if line is not None and line.n > limits.points:
                    return f"{where}: segments of a line", "points", line.n
    return None


def _figures(value: Any, path: str) -> Iterator[tuple[str, Any]]:
    if isinstance(value, float | np.ndarray):
        yield path, value
    elif isinstance(value, Curve):
        yield path, value.segments
    elif isinstance(value, tuple | list):
        for i, one in enumerate(value):
            yield from _figures(one, f"{path}[{i}]")
    elif hasattr(value, "__dataclass_fields__"):
        for field in fields(value):
            yield from _figures(getattr(value, field.name), f"{path}.{field.name}")


def _sound(value: Any) -> bool:
    if isinstance(value, float):
        return abs(value) <= FARTHEST
    return value.dtype.kind != "f" or not value.size or float(np.abs(value).max()) <= FARTHEST


def _worst(value: Any) -> float:
    if isinstance(value, float):
        return value
    flat = value.reshape(-1)
    wrong = flat[~(np.abs(flat) <= FARTHEST)]
    return float(wrong[0]) if not math.isnan(wrong[0]) else math.nan
