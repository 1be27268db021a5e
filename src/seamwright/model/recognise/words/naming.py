"""What the containers and labels around an outline call the piece."""

from __future__ import annotations

import re

from ..items import Group, Named
from ..pieces.outlines import Outline
from .labels import Words
from .roles import Role
from .sizes import Sizes

# "Front (cut 2)", "Back, cut 1 on fold", "Cuff x2": how many are cut is no part of the name.
_QUANTITY = re.compile(
    r"[\s,;:_–-]*[(\[]?\s*(?:\bcut\s*\d.*|\b[x×]\s?\d{1,2}|\b\d{1,2}\s?[x×])\s*[)\]]?\s*$",
    re.IGNORECASE,
)
_BOUNDS = (Role.SEAM, Role.CUT, Role.OUTLINE)


def name_in(words: Words, *, has_size: bool, is_group: bool) -> str:
    """The name in a label; "" where it says only a role or a size, or a program made it up.

    A container's label keeps words that may be part of a name ("Notch collar", "Seam pocket");
    an element's own label loses them ("front-seam", "front-cut").
    """
    if words.strict or words.made_up:
        return ""
    bounds = words.role in _BOUNDS and (words.spells_role or not is_group)
    name = words.name(without_role=bounds, without_size=has_size)
    return _QUANTITY.sub("", name) or name


def named_by(named: Named, sizes: Sizes, *, is_group: bool) -> str:
    """The name that an element's attributes give, best source first."""
    if named.said_role is not None and not is_group:
        return ""
    piece = named.data("piece")
    if piece is not None:
        return piece
    has_size = named in sizes.of
    for words in named.names:
        if has_size and words.text == sizes.of[named]:
            continue  # what it is called is its size, be it "Tall"
        name = name_in(words, has_size=has_size and words.size is not None, is_group=is_group)
        if name:
            return name
    return ""


def group_name(group: Group, sizes: Sizes) -> str:
    """The name of one container."""
    return named_by(group.named, sizes, is_group=True)


def piece_name(outline: Outline, around: list[Group], sizes: Sizes) -> str:
    """The name of the piece that `outline` bounds: of the innermost named container among
    `around` (outermost first), else of the outline itself; "" where nothing names it."""
    fallback = ""
    for group in reversed(around):
        name = group_name(group, sizes)
        if not name:
            continue
        if not group.cloned:
            return name
        fallback = fallback or name  # a clone's own name is better than its original's
    if fallback:
        return fallback
    if outline.named is not None:
        return named_by(outline.named, sizes, is_group=False)
    return ""


def last_resort(outline: Outline, around: list[Group]) -> str:
    """A label that says little ("Piece 3"), better than none; "" where there is not even that."""
    labels = [g.named for g in reversed(around)]
    if outline.named is not None:
        labels.append(outline.named)
    for named in labels:
        for words in (named.label, named.title):
            if words.size is not None and words.size.place == "keyword":
                continue  # "Size 10" names no piece
            if words.tokens and not words.made_up and not words.strict and words.role is None:
                return words.text
    return ""
