"""JSON for people: whatever fits stands on one line, the rest is indented."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import msgspec

_WIDE = 100


def lines(value: Any, indent: int = 0) -> str:
    """The value as JSON text. Floats by `repr`: the fewest digits that read back exactly."""
    if isinstance(value, float):
        return repr(value)
    if isinstance(value, Mapping):
        inner = [f"{_leaf(name)}: {lines(v, indent + 2)}" for name, v in value.items()]
        return _together(inner, "{", "}", indent)
    if isinstance(value, list | tuple):
        return _together([lines(v, indent + 2) for v in value], "[", "]", indent)
    return _leaf(value)


def _leaf(value: Any) -> str:
    return msgspec.json.encode(value).decode("utf-8")


def _together(inner: list[str], opening: str, closing: str, indent: int) -> str:
    if not inner:
        return opening + closing
    width = indent + sum(len(text) + 2 for text in inner)
    if width <= _WIDE and not any("\n" in text for text in inner):
        return opening + ", ".join(inner) + closing
    pad = " " * (indent + 2)
    return opening + "\n" + ",\n".join(pad + text for text in inner) + "\n" + " " * indent + closing
