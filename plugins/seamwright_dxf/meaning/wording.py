"""The texts of a drawing sorted: what they say of the style, of each piece, of grade points.

Texts whose key the model has a field for become that field. The text as the file wrote it is kept
as foreign data of this format, so that writing the file again gives the same words in the same
place; all other texts are texts of the piece.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

from seamwright.model import Foreign, Text, TextRole
from seamwright.numbers import fixed

from ..drawing.lettered import Lettered
from .keywords import Said, grade_number, said_by

PLAIN = "annotation"
"""A comment of our writer inside a TEXT: the words mean nothing, whatever they look like."""
WORDS = "words: "
"""Begin of the words themselves in such a comment, where the text has plain letters only."""
KEPT = "text on layer "
"""`Foreign.where` of a text that became a field."""
_FLAGS = ("rotation", "flip", "tilt", "fold")


@dataclass(slots=True)
class GradeMark:
    """A text "# n": rule, place (mm), layer name, group."""

    rule: int
    x: float
    y: float
    layer: str
    group: int


@dataclass(slots=True)
class GroupWords:
    """What the texts of one group say: fields by key (the first that is not empty counts), the
    texts that are just texts, and those that became fields."""

    fields: dict[str, str] = field(default_factory=dict)
    texts: list[Text] = field(default_factory=list)
    flags: list[tuple[str, str]] = field(default_factory=list)
    kept: list[Foreign] = field(default_factory=list)


@dataclass(slots=True)
class Words:
    """All texts sorted. style: key -> value as the file has it, in order; other: keys that no
    table knows, said of the whole style."""

    groups: dict[int, GroupWords] = field(default_factory=dict)
    style: dict[str, str] = field(default_factory=dict)
    other: dict[str, str] = field(default_factory=dict)
    grades: list[GradeMark] = field(default_factory=list)
    empty: int = 0

    def of(self, group: int) -> GroupWords:
        """The words of a group."""
        return self.groups.setdefault(group, GroupWords())


def sort_words(
    texts: Sequence[Lettered],
    layer_names: Sequence[str],
    plain_rows: Mapping[int, str] | None = None,
) -> Words:
    """Texts by what they say; those of group -1 speak of the style.

    plain_rows  rows whose text carries our writer's comment that it is an annotation
    """
    out = Words()
    memo: dict[tuple[str, str], Said] = {}
    plain = plain_rows or {}
    for given in texts:
        item, as_it_is = _commented(given, plain.get(given.row, ""))
        if not item.text.strip():
            out.empty += 1
            continue
        layer = layer_names[item.layer]
        words = out.of(item.group)
        rule = None if as_it_is else grade_number(item.text)
        if rule is not None:
            out.grades.append(GradeMark(rule, item.x, item.y, layer, item.group))
            continue
        key = (item.text, item.tag)
        said = memo.get(key)
        if said is None:
            said = memo[key] = said_by(item.text, item.tag)
        if not as_it_is and _a_field(said, item, out, words, layer):
            shown = f"{item.tag}: {item.text}" if item.tag else item.text
            words.kept.append(Foreign(format="dxf", where=KEPT + layer, data=_written(item, shown)))
            continue
        words.texts.append(
            Text(text=item.text, at=(item.x, item.y), height=item.height, rotation=item.rotation,
                 role=TextRole.ANNOTATION, layer=layer)
        )  # fmt: skip
    return out


def _commented(item: Lettered, comment: str) -> tuple[Lettered, bool]:
    """A text as our writer's comment in it says: its own words, and whether it means nothing."""
    if not comment:
        return item, False
    head, mark, words = comment.partition(WORDS)
    if mark:
        item = replace(item, text=words)
    return item, head.strip() == PLAIN


def _a_field(said: Said, item: Lettered, out: Words, words: GroupWords, layer: str) -> bool:
    """Take a text's value into its field; False where it stays a text."""
    if said.kind == "piece":
        if said.key == "annotation":
            return False
        if not said.value:
            return True
        if words.fields.setdefault(said.key, said.value) != said.value:
            return False  # a second, different value is shown, not swallowed
        if said.key in _FLAGS and (said.key, said.value) not in words.flags:
            words.flags.append((said.key, said.value))
        return True
    if said.kind == "style":
        if not said.value:
            return True
        return out.style.setdefault(said.key, said.value) == said.value
    if said.kind == "other" and item.group < 0 and said.value:
        return out.other.setdefault(said.key, said.value) == said.value
    return False


def _written(item: Lettered, text: str) -> str:
    numbers = (item.x, item.y, item.height, item.rotation)
    return " ".join(fixed(n) for n in numbers) + " " + text


def kept_text(foreign: Foreign) -> tuple[str, float, float, float, float, str] | None:
    """Layer, x, y, height, rotation, text of a kept text; None for other foreign data."""
    if foreign.format != "dxf" or not foreign.where.startswith(KEPT):
        return None
    parts = foreign.data.split(" ", 4)
    try:
        x, y, height, rotation = (float(p) for p in parts[:4])
        return foreign.where[len(KEPT) :], x, y, height, rotation, parts[4]
    except (ValueError, IndexError):
        return None
