"""Layers that are sizes by what they hold: the same pieces in each, whatever the layers are called.

"Petite" and "Tall", "A" to "G": no list of words knows every way to call a size. Layers of one
kind of line ("Cut lines") and of one cloth ("Lining") hold the same pieces too, and are none.
"""

from __future__ import annotations

from collections import defaultdict
from typing import Final

from ..drawing.items import Drawing, Group, Stroke
from .labels import Words, normal

_OTHER = """shell lining interlining interfacing fusing fabric cloth outer inner left right front
    back top bottom view version variant main contrast self facing facings marks markings text
    texts old new original copy draft final before after print cut sew"""
#: Layers so called hold the same pieces for another reason than size.
_NO_SIZES: Final = frozenset(_OTHER.split())
_LARGE: Final = 30.0  # mm; a closed line smaller than this is no piece


def sizes_by_structure(drawing: Drawing) -> dict[Group, str]:
    """Containers that are sizes, with their labels; empty where nothing is plain."""
    held: dict[Group, set[str]] = defaultdict(set)
    for stroke in drawing.strokes:
        if stroke.curve.closed and _is_large(stroke):
            _note_names(stroke, held)
    families: dict[Group | None, list[Group]] = defaultdict(list)
    for group, names in held.items():
        if names:
            families[group.parent].append(group)
    for family in families.values():
        labels = {g: _label(g) for g in family}
        if len(family) < 2 or not all(labels.values()):
            continue
        alike = len({frozenset(held[g]) for g in family}) == 1
        if alike and len(set(labels.values())) == len(family):
            return {g: str(label) for g, label in labels.items()}
    return {}


def _is_large(stroke: Stroke) -> bool:
    x0, y0, x1, y1 = stroke.curve.bbox
    return bool((x1 - x0) ** 2 + (y1 - y0) ** 2 >= _LARGE**2)


def _note_names(stroke: Stroke, held: dict[Group, set[str]]) -> None:
    """Notes the name of what a stroke bounds with every container outside that name."""
    name = _name(stroke.named.names)
    for group in stroke.group.up() if stroke.group else ():
        if name:
            held[group].add(normal(name))
        name = _name(group.named.names) or name


def _name(sources: tuple[Words, ...]) -> str:
    for words in sources:
        name = "" if words.strict else words.name(without_role=True, without_size=False)
        if name:
            return name
    return ""


def _label(group: Group) -> str | None:
    """The container's label where it could be a size."""
    for words in group.named.names:
        if words.made_up or not words.tokens:
            continue
        said = words.words
        if words.role is not None or len(said) > 2 or any(w in _NO_SIZES for w in said):
            return None
        return words.text
    return None
