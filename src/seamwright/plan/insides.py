"""Places inside a piece as an option names them.

    "Front: bust"                         a drill hole of that name, or the point of a dart
    "Front: neck (30 mm, -250 mm)"        30 mm to the right of a mark and 250 mm below it
    "Front: (120 mm, 340 mm)"             a place on the drawing, x to the right and y up

A mark lies where it lies in each size; an offset is the same in all, so a place that must grow
with the sizes is better drilled or given from a mark near it.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

import numpy as np

from seamwright.findings import SeamwrightError, did_you_mean
from seamwright.geometry import FloatArray
from seamwright.model import Pattern
from seamwright.units import parse_length

from .grammar import parse_mark
from .spots import Spot, find_piece, spot_lengths

_OFFSET = re.compile(r"^(.*?)\(([^(),]+),([^(),]+)\)\s*$", re.DOTALL)


@dataclass(frozen=True, slots=True, kw_only=True)
class Inside:
    """A place inside a piece: a name (mark, drill hole or dart; "" for the drawing's zero) and an
    offset in mm, None where the name itself is the place."""

    piece: str
    name: str
    offset: tuple[float, float] | None = None


def parse_inside(text: str, *, default: str = "mm") -> Inside:
    """A place from its written form. Raises ValueError with a plain sentence."""
    found = _OFFSET.match(text)
    if found is None:
        mark = parse_mark(text)
        if mark.piece is None:
            raise ValueError(f'"{text}" names no piece: write "Piece: name"')
        return Inside(piece=mark.piece, name=mark.name)
    offset = (
        parse_length(found[2].strip(), default=default),
        parse_length(found[3].strip(), default=default),
    )
    head = found[1].strip()
    if head.endswith(":"):
        mark = parse_mark(f"{head} x")
        if mark.piece is None:
            raise ValueError(f'"{text}" names no piece: write "Piece: (10 mm, 20 mm)"')
        return Inside(piece=mark.piece, name="", offset=offset)
    mark = parse_mark(head)
    if mark.piece is None:
        raise ValueError(f'"{text}" names no piece: write "Piece: mark (10 mm, 20 mm)"')
    return Inside(piece=mark.piece, name=mark.name, offset=offset)


def inside_points(pattern: Pattern, inside: Inside) -> FloatArray:
    """The place in each size of the pattern (Z, 2), mm; NaN where the size lacks the piece or
    the name. SeamwrightError for a name that no size has."""
    piece = pattern.piece(find_piece(pattern, inside.piece))
    out = np.full((len(pattern.sizes), 2), np.nan)
    shapes = {s.size: s for s in piece.shapes}
    if inside.offset is not None and not inside.name:
        for z, size in enumerate(pattern.sizes):
            if size in shapes:
                out[z] = inside.offset
        return out
    if inside.offset is not None:
        lengths = spot_lengths(pattern, Spot(piece=piece.name, marks=(inside.name,)))
        for z, size in enumerate(pattern.sizes):
            if size in shapes and np.isfinite(lengths[z]):
                out[z] = shapes[size].seam_line.point_at(float(lengths[z])) + inside.offset
        return out
    names: dict[str, None] = {}
    for z, size in enumerate(pattern.sizes):
        if size not in shapes:
            continue
        known = {d.name: d.apex for d in shapes[size].darts}
        known |= {h.name: h.at for h in shapes[size].drill_holes if h.name}
        names |= dict.fromkeys(known)
        if inside.name in known:
            out[z] = known[inside.name]
    if inside.name not in names:
        raise SeamwrightError.of(
            "plan.inside",
            f'piece "{piece.name}" has no drill hole and no dart "{inside.name}"',
            piece=piece.name,
            hint=did_you_mean(inside.name, names)
            or 'give an offset from a mark, as "Front: neck (30 mm, -250 mm)"',
        )
    return out
