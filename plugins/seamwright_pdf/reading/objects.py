"""Objects of a PDF as a damaged file may hold them: any of them may be of another kind."""

from __future__ import annotations

import math
from typing import Any


def entry(holder: Any, key: str, default: Any = None) -> Any:
    """An entry of what should be a dictionary or a stream; `default` where it is neither, or has
    no such entry."""
    get = getattr(holder, "get", None)
    try:
        found = get(key) if get is not None else None
    except (TypeError, ValueError):
        return default
    return default if found is None else found


def number(value: Any, default: float) -> float:
    """A number; `default` for anything else, or for none that is finite."""
    try:
        found = float(value)
    except (TypeError, ValueError, OverflowError):
        return default
    return found if math.isfinite(found) else default


def items(value: Any) -> list[Any]:
    """What stands in an array; nothing for anything else."""
    try:
        return list(value) if type(value).__name__ in ("Array", "Object", "list") else []
    except (TypeError, ValueError):
        return []


def identity(thing: Any) -> tuple[int, int]:
    """Number and generation of an object; (0, 0) for one that stands inside another."""
    found = getattr(thing, "objgen", (0, 0))
    return (int(found[0]), int(found[1]))
