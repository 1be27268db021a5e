"""Curvature combs over the pieces, as steps give them in their figures.

Reports know no other plugin; any step may give

    figures["combs"] = [{"piece": ..., "size": ..., "when": "before" or "after",
                         "lines": [[[x, y], ...], ...]}, ...]        mm, y up

Of several for one piece, size and side the last counts. Whatever is not so is passed over.
"""

from __future__ import annotations

from collections.abc import Mapping
from math import isfinite
from typing import Any

from seamwright.plugins.api import Record

from .markup import Markup, el

Line = list[tuple[float, float]]
Combs = dict[tuple[str, str], dict[str, list[Line]]]  # (piece, size) -> "before", "after" -> lines
KEY = "combs"


def combs_of(record: Record, *, only: int | None = None) -> Combs:
    """All combs of a run, or those of one step (from 0)."""
    out: Combs = {}
    for step in record.steps if only is None else record.steps[only : only + 1]:
        rows = step.figures.get(KEY)
        for row in rows if isinstance(rows, (list, tuple)) else ():
            if not isinstance(row, Mapping):
                continue
            when = "before" if row.get("when") == "before" else "after"
            lines = [line for line in map(_line, _list(row.get("lines"))) if line]
            key = (str(row.get("piece", "")), str(row.get("size", "")))
            if lines:
                out.setdefault(key, {})[when] = lines
    return out


def points_of(combs: Combs, piece: str) -> Line:
    """Every point of a piece's combs in all sizes, for the box round its picture."""
    return [p for (name, _), sides in combs.items() if name == piece
            for lines in sides.values() for line in lines for p in line]  # fmt: skip


def legend(combs: Combs) -> Markup | None:
    """What the teeth mean; nothing where there are none."""
    if not combs:
        return None
    return el(
        "p",
        "Fine teeth beside an edge show how much it bends there: on a calm line their tips make "
        "a calm line. Dashed: before.",
        class_="legend",
    )


def _line(value: Any) -> Line:
    points = [p for p in _list(value) if isinstance(p, (list, tuple)) and len(p) == 2]
    out = [(float(p[0]), float(p[1])) for p in points if all(_is_number(c) for c in p)]
    return out if len(out) > 1 else []


def _is_number(value: Any) -> bool:
    return isinstance(value, (int, float)) and isfinite(value)


def _list(value: Any) -> list[Any]:
    return list(value) if isinstance(value, (list, tuple)) else []
