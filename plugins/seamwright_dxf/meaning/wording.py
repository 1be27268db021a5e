"""The texts of a drawing sorted: what they say of the style, of each piece, of grade points."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from seamwright.model import Text, TextRole

from ..drawing.lettered import Lettered
from .keywords import Said, grade_number, said_by
from .shapes import GradeMark

_ROLES = {"name": TextRole.NAME, "size": TextRole.SIZE}


@dataclass(slots=True)
class GroupWords:
    """What the texts of one group say: fields by key (the first that is not empty counts), and
    the texts themselves."""

    fields: dict[str, str] = field(default_factory=dict)
    texts: list[Text] = field(default_factory=list)
    flags: list[tuple[str, str]] = field(default_factory=list)


@dataclass(slots=True)
class Words:
    """All texts sorted. style: key -> value as the file has it, in order."""

    groups: dict[int, GroupWords] = field(default_factory=dict)
    style: dict[str, str] = field(default_factory=dict)
    grades: list[GradeMark] = field(default_factory=list)
    empty: int = 0

    def of(self, group: int) -> GroupWords:
        """The words of a group."""
        return self.groups.setdefault(group, GroupWords())


_FLAGS = ("rotation", "flip", "tilt", "fold")


def sort_words(texts: Sequence[Lettered], layer_names: Sequence[str]) -> Words:
    """Texts by what they say; those of group -1 belong to the style unless they name a piece."""
    out = Words()
    memo: dict[tuple[str, str], Said] = {}
    for item in texts:
        if not item.text.strip():
            out.empty += 1
            continue
        layer = layer_names[item.layer]
        rule = grade_number(item.text)
        if rule is not None:
            out.grades.append(GradeMark(rule, item.x, item.y, layer, item.group))
            continue
        key = (item.text, item.tag)
        said = memo.get(key)
        if said is None:
            said = memo[key] = said_by(item.text, item.tag)
        words = out.of(item.group)
        role = TextRole.ANNOTATION
        if said.kind == "piece":
            role = _ROLES.get(said.key, TextRole.SYSTEM)
            if said.key == "annotation":
                role = TextRole.ANNOTATION
            elif said.value and not words.fields.get(said.key):
                words.fields[said.key] = said.value
                if said.key in _FLAGS:
                    words.flags.append((said.key, said.value))
        elif said.kind == "style":
            role = TextRole.SYSTEM
            if said.value and not out.style.get(said.key):
                out.style[said.key] = said.value
        elif said.kind == "other" and layer.strip().lstrip("0") == "1":
            role = TextRole.SYSTEM
        shown = f"{item.tag}: {item.text}" if item.tag and said.kind in ("piece", "style") else item.text
        words.texts.append(
            Text(text=shown, at=(item.x, item.y), height=item.height, rotation=item.rotation,
                 role=role, layer=layer)
        )  # fmt: skip
    return out
