"""Names and layers of marks and lines inside a piece."""

from __future__ import annotations

from ..items import Group, Stroke
from ..pieces.bodies import Body
from .labels import SIZE_WORDS, Words, normal
from .roles import GENERIC, NEUTRAL


def mark_name(strokes: list[Stroke], body: Body) -> str:
    """The name of a mark: what its label, title or id says besides its kind, its number, its
    piece and its size; "" where that is nothing."""
    sources: list[Words] = []
    for stroke in strokes:
        sources += stroke.named.names
    group = strokes[0].group
    # A container of this one mark names it; one of all notches does not.
    alone = sum(s.group is group for s in body.strokes) == len(strokes)
    if group is not None and group is not body.group and alone:
        sources += group.named.names
    for words in sources:
        name = _own_words(words, body)
        if name:
            return name
    return ""


def _own_words(words: Words, body: Body) -> str:
    if words.made_up or not words.tokens:
        return ""
    lowered = words.words
    of_piece = set(normal(body.name).split())
    size = (body.size or "").lower()
    keep = [
        i
        for i, word in enumerate(lowered)
        if not (i in words.size_words and word == size)
        and word not in SIZE_WORDS
        and (i in words.role_words or word not in of_piece)
    ]
    says = [i for i in keep if i not in words.role_words]
    if all(lowered[i].isdigit() or lowered[i] in NEUTRAL | GENERIC for i in says):
        return ""
    return words.text if len(keep) == len(lowered) else words.kept(keep)


def line_name(stroke: Stroke, body: Body) -> str:
    """The name of an internal line: its label, title or id, without the size."""
    said = stroke.named.data("name")
    if said is not None:
        return said
    for words in stroke.named.names:
        if words.made_up or not words.tokens:
            continue
        size = (body.size or "").lower()
        keep = [
            i for i, word in enumerate(words.words)
            if not (i in words.size_words and word == size)
        ]  # fmt: skip
        if keep:
            return words.text if len(keep) == len(words.tokens) else words.kept(keep)
    return ""


def layer_of(group: Group | None, body: Body) -> str:
    """The label of the innermost container that is not the piece itself or around it."""
    outside = set(body.group.up()) if body.group is not None else set()
    for g in group.up() if group is not None else ():
        if g in outside:
            return ""
        for words in (g.named.label, g.named.title, g.named.id):
            if words.tokens and not words.made_up:
                return words.text
    return ""
