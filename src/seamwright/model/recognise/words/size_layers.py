"""Layers that are sizes by what they hold: the same pieces in each, whatever the layers are called.

"Petite" and "Tall", "A" to "G": no list of words knows every way to call a size. Layers of one
kind of line ("Cut lines") and of one cloth ("Lining") hold the same pieces too, and are none.
"""

from __future__ import annotations

from collections import defaultdict
from typing import Final

from seamwright.geometry import FloatArray

from ..items import Drawing, Group, Stroke
from .labels import Words, normal
from .size_nests import differ_more, is_large, span_of, variation

_OTHER = """shell lining interlining interfacing fusing fabric cloth outer inner left right front
    back top bottom view version variant main contrast self facing facings marks markings text
    texts old new original copy draft final before after print cut sew"""
#: Layers so called hold the same pieces for another reason than size.
NO_SIZES: Final = frozenset(_OTHER.split())


def sizes_by_structure(drawing: Drawing) -> dict[Group, str]:
    """Containers that are sizes, with their labels; empty where nothing is plain."""
    held: dict[Group, dict[str, list[FloatArray]]] = defaultdict(lambda: defaultdict(list))
    for stroke in drawing.strokes:
        if stroke.curve.closed and is_large(stroke):
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
        if not alike or len(set(labels.values())) < len(family):
            continue
        spans = [{name: span_of(boxes) for name, boxes in held[g].items()} for g in family]
        across = max(variation(s[name] for s in spans) for name in spans[0])
        within = max(variation(s.values()) for s in spans)
        if not differ_more(across, within):
            return {g: str(label) for g, label in labels.items()}
    return {}


def _note_names(stroke: Stroke, held: dict[Group, dict[str, list[FloatArray]]]) -> None:
    """Notes the name and box of what a stroke bounds with every container outside that name."""
    name = _name(stroke.named.names)
    for group in stroke.group.up() if stroke.group else ():
        if name:
            held[group][normal(name)].append(stroke.curve.bbox)
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
        if words.role is not None or len(said) > 2 or any(w in NO_SIZES for w in said):
            return None
        return words.text
    return None
