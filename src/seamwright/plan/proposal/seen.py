"""Where a plan's marks lay when it was written, so that their names are found again in the next
version of the style, though points moved, were added or renumbered.

In the plan's file, behind the seams:

    [seen.Sleeve]
    size = [344.0, 574.2]                      # of the piece's box, mm
    corners = [[0.0, 1.0], [0.15, 0.0], ...]   # within the box, in the order of the names
    notches = [...]

Nobody needs to read or write it; a plan without it works, only its names are then found again by
their numbers.
"""

from __future__ import annotations

import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from scipy.optimize import linear_sum_assignment

from seamwright.geometry import FloatArray
from seamwright.model import LineRole, Pattern, Shape

from ..kinds import PiecePlan
from ..write import key

NEAR = 0.16  # of the box; a mark that moved farther is another mark
_TURNS = ((1, 0, 0, 1), (0, -1, 1, 0), (-1, 0, 0, -1), (0, 1, -1, 0),
          (-1, 0, 0, 1), (0, 1, 1, 0), (1, 0, 0, -1), (0, -1, -1, 0))  # fmt: skip


@dataclass(frozen=True, slots=True, eq=False)
class Seen:
    """One piece's marks within its box, (n, 2) each, 0 to 1; and the box, mm."""

    box: tuple[float, float]
    corners: FloatArray
    notches: FloatArray


def seen_of(shape: Shape) -> Seen:
    """The marks of a shape."""
    x0, y0, x1, y1 = (float(v) for v in shape.seam_line.bbox)
    box = max(x1 - x0, 1e-9), max(y1 - y0, 1e-9)

    def inside(points: Sequence[FloatArray]) -> FloatArray:
        rows = np.array(points, dtype=np.float64).reshape(-1, 2)
        return np.asarray((rows - [x0, y0]) / np.array(box), dtype=np.float64)

    corners = [shape.seam_line.point_of(c.station) for c in shape.corners]
    notches = [
        (
            shape.cut_line
            if n.line is LineRole.CUT and shape.cut_line is not None
            else shape.seam_line
        ).point_of(n.station)
        for n in shape.notches
    ]
    return Seen((x1 - x0, y1 - y0), inside(corners), inside(notches))


def seen_toml(pattern: Pattern) -> str:
    """The tables for all pieces of a pattern, in its base size."""
    out = [
        "# Where the marks lay when this plan was written: so `seamwright plan --update` finds the",
        "# names again when the style changes. Nothing to read or edit here.",
    ]
    for piece in pattern.pieces:
        shape = next((s for s in piece.shapes if s.size == pattern.base_size), None)
        if shape is None:
            continue
        seen = seen_of(shape)
        out.append(f"[seen.{key(piece.name)}]")
        out.append(f"size = [{seen.box[0]:.1f}, {seen.box[1]:.1f}]")
        for word, points in (("corners", seen.corners), ("notches", seen.notches)):
            rows = ", ".join(f"[{x:.4f}, {y:.4f}]" for x, y in points)
            out.append(f"{word} = [{rows}]")
        out.append("")
    return "\n".join(out)


def load_seen(text: str) -> dict[str, Seen]:
    """What a plan's text remembers; pieces whose table is damaged are left out."""
    try:
        tables = tomllib.loads(text).get("seen", {})
    except tomllib.TOMLDecodeError:
        return {}
    out = {}
    for name, table in tables.items() if isinstance(tables, dict) else ():
        try:
            out[name] = _seen(table)
        except (KeyError, TypeError, ValueError):
            continue
    return out


def _seen(table: Mapping[str, Any]) -> Seen:
    corners, notches = (
        np.array(table[k], dtype=np.float64).reshape(-1, 2) for k in ("corners", "notches")
    )
    box = table["size"]
    return Seen((float(box[0]), float(box[1])), corners, notches)


def found_again(old: Seen, names: PiecePlan, shape: Shape) -> PiecePlan | None:
    """The old names on the marks of a newer shape of the piece, which may have been turned by
    quarters or mirrored. None where it is plainly another piece."""
    new = seen_of(shape)
    best: tuple[float, list[tuple[int, int]], list[tuple[int, int]]] | None = None
    for turn in _TURNS:
        m = np.array(turn, dtype=np.float64).reshape(2, 2)
        box = np.abs(m @ np.array(old.box))
        if np.any(np.abs(np.log(np.maximum(box, 1.0) / np.maximum(new.box, 1.0))) > 0.45):
            continue
        pairs, cost = _paired(_turned(old.corners, m), new.corners)
        notch_pairs, more = _paired(_turned(old.notches, m), new.notches)
        # A turn must be clearly better than none.
        total = cost + 0.3 * more + (0.0 if turn == _TURNS[0] else 0.05)
        if best is None or total < best[0]:
            best = (total, pairs, notch_pairs)
    if best is None or (len(old.corners) and not best[1]):
        return None
    return PiecePlan(
        corners=_moved(names.corners, best[1], len(shape.corners), "corner"),
        notches=_moved(names.notches, best[2], len(shape.notches), "notch"),
    )


def _turned(points: FloatArray, m: FloatArray) -> FloatArray:
    out: FloatArray = (points - 0.5) @ m.T + 0.5
    return out


def _paired(old: FloatArray, new: FloatArray) -> tuple[list[tuple[int, int]], float]:
    """Marks that are the same, as (old, new); and the cost, those without a partner counted."""
    if not len(old) or not len(new):
        return [], NEAR * float(len(old))
    apart = np.hypot(*(old[:, None] - new[None]).transpose(2, 0, 1))
    rows, columns = linear_sum_assignment(np.minimum(apart, NEAR))
    pairs = [(int(a), int(b)) for a, b in zip(rows, columns, strict=True) if apart[a, b] < NEAR]
    cost = sum(float(apart[a, b]) for a, b in pairs) + NEAR * (len(old) - len(pairs))
    return pairs, cost


def _moved(
    names: tuple[str, ...] | None, pairs: Sequence[tuple[int, int]], count: int, word: str
) -> tuple[str, ...] | None:
    """The names on the new marks. Where marks are counted anew, those that had only a number keep
    the old one as a name, and new ones get numbers that were free: seams in the plan may use
    them."""
    if names is None:
        return None
    out = [""] * count
    for a, b in pairs:
        if a < len(names):
            out[b] = names[a]
    if all(a == b for a, b in pairs) and len(pairs) == len(names):
        return tuple(out)
    free = max(len(names), count)
    partner = {b: a for a, b in pairs}
    for b in range(count):
        if out[b]:
            continue
        if b in partner:
            out[b] = f"{word}-{partner[b] + 1}"
        else:
            free += 1
            out[b] = f"{word}-{free}"
    return tuple(out)
