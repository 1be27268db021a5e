"""Sizes that stand only in the texts inside the pieces: "Front", "Size 10" written in each."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass

from ..notes import Notes, listed
from ..words.labels import normal, read_label
from ..words.wording import name_from
from .bodies import Body


@dataclass(frozen=True, slots=True)
class _Said:
    """What a body's texts say. plain: whether the word "size" stands before the size."""

    size: str
    name: str
    plain: bool


def sizes_from_texts(bodies: list[Body], notes: Notes) -> None:
    """Gives sizes to bodies whose texts state them, where nothing else does.

    The same name must come in several sizes, or all pieces must state the same size: a number at
    the end of one name says nothing.
    """
    if any(b.size is not None or b.exact for b in bodies):
        return
    said = {b: s for b in bodies if (s := _said(b)) is not None}
    families: dict[str, list[Body]] = defaultdict(list)
    for body, words in said.items():
        families[normal(words.name)].append(body)
    chosen: list[Body] = []
    for name, family in families.items():
        sizes = {said[b].size for b in family}
        numbered = not any(said[b].plain for b in family) and sizes <= {"1", "2", "3", "4", "5"}
        if name and len(family) > 1 and len(sizes) == len(family) and not numbered:
            chosen += family
    plain = len(said) == len(bodies) and all(s.plain for s in said.values())
    if not chosen and plain and len({s.size for s in said.values()}) == 1:
        chosen = list(bodies)
    known = {said[b].size for b in chosen}
    chosen += [b for b in said if b not in chosen and said[b].size in known]
    for body in chosen:
        body.size = said[body].size
        body.name = said[body].name or body.name
    if chosen:
        notes.note(
            "sizes.from-texts",
            f"sizes are taken from the texts inside the pieces: {listed(sorted(known), 12)}",
            hint='to say it outright, name layers "Size 10", "Size 12"',
        )


def _said(body: Body) -> _Said | None:
    name = body.name or name_from(body.texts)
    for text in body.texts:
        word = read_label(text.text).size
        if word is not None and word.place == "keyword":
            return _Said(word.size, name, True)
    words = read_label(name)
    if body.name:
        return None  # what labels say at their ends was weighed already
    if words.size is None or words.size.place not in ("suffix", "prefix"):
        return None
    return _Said(words.size.size, words.name(without_role=False, without_size=True), False)
