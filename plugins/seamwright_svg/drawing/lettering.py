"""Texts of a drawing: every stretch with a place of its own is one text."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace

from seamwright.model.recognise.items import Lettering, Looks
from seamwright.model.recognise.matrices import Matrix, apply

from ..measures.lengths import BadLength, parse_measure, user_units
from ..tree.parse import Node

_ADVANCE = 0.55  # of the font size: a letter's usual width, where a text follows another

#: Makes the Lettering of a text: element that holds it, text, start, anchor, height, rotation.
Make = Callable[[Node, str, tuple[float, float], tuple[float, float], float, float], Lettering]


@dataclass(frozen=True, slots=True)
class Spot:
    """Where the next letter goes, in user units."""

    x: float = 0.0
    y: float = 0.0


def letter(
    node: Node,
    matrix: Matrix,
    looks: Looks,
    looks_of: Callable[[Node, Looks], Looks | None],
    make: Make,
    most: int,
) -> list[Lettering]:
    """The texts of a `text` element: its own words and those of every `tspan`, in order.

    matrix    from user units to mm, y up
    looks_of  the style of a child, None where it is hidden
    most      characters that one text may have; what is longer comes one longer, to be told
    """
    out: list[Lettering] = []

    def put(words: str, owner: Node, spot: Spot, style: Looks, preserved: bool) -> Spot:
        own = owner.attrs.get("data-role") == "text"  # our writer's: kept to the letter
        text = words if preserved and own else " ".join(words.split())
        if not text and not (own and owner is node):
            return spot
        width = _ADVANCE * style.font_size * len(text)
        shift = {"middle": 0.5, "end": 1.0}.get(style.anchor, 0.0) * width
        ux, uy = matrix[0], matrix[1]
        vx, vy = matrix[2], matrix[3]
        height = style.font_size * math.hypot(vx, vy)
        at = apply(matrix, spot.x - shift, spot.y)
        out.append(
            make(
                owner, text[: most + 1], at, apply(matrix, spot.x, spot.y), height,
                math.degrees(math.atan2(uy, ux)),
            )
        )  # fmt: skip
        return replace(spot, x=spot.x + width)

    def walk(at: Node, spot: Spot, style: Looks, preserved: bool) -> Spot:
        preserved = _preserves(at, preserved)
        spot = _moved(at, spot, style)
        spot = put(at.text, at, spot, style, preserved)
        for child in at.children:
            if child.tag in ("tspan", "textPath", "a", "tref"):
                own = looks_of(child, style)
                if own is not None:
                    spot = walk(child, spot, own, preserved)
            spot = put(child.tail, at, spot, style, preserved)
        return spot

    walk(node, Spot(), looks, False)
    return out


def _preserves(node: Node, before: bool) -> bool:
    said = node.attrs.get("xml:space")
    return before if said is None else said == "preserve"


def _moved(node: Node, spot: Spot, looks: Looks) -> Spot:
    x, y = _first(node, "x", looks), _first(node, "y", looks)
    dx, dy = _first(node, "dx", looks), _first(node, "dy", looks)
    return Spot(
        (spot.x if x is None else x) + (dx or 0.0), (spot.y if y is None else y) + (dy or 0.0)
    )


def _first(node: Node, name: str, looks: Looks) -> float | None:
    """The first number of a list (one place for each letter may be given)."""
    text = node.attrs.get(name, "").replace(",", " ").split()
    if not text:
        return None
    try:
        return user_units(parse_measure(text[0]), relative_to=0.0, font_size=looks.font_size)
    except BadLength:
        return None
