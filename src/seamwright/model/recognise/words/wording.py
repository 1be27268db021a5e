"""What the texts inside a piece say: its name, its size, how many are cut, of what."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Final

from seamwright.model import Text, TextRole
from seamwright.units import parse_length

from ..items import Lettering
from ..pieces.bodies import Body
from .labels import normal, read_label
from .mark_names import layer_of
from .roles import GENERIC, Role

_CUT: Final = re.compile(
    r"\b(?:cut|schneide|couper|cortar)\s*:?\s*(\d{1,3})(?:\s*(?:x\s*)?(pairs?|paar|paires?))?\b",
    re.IGNORECASE,
)
_TIMES: Final = re.compile(r"^\s*(\d{1,2})\s*[x×]\b|\b[x×]\s*(\d{1,2})\s*$", re.IGNORECASE)
_MATERIAL: Final = re.compile(r"^\s*(?:material|fabric|cloth|stoff|tissu)\s*[:=]\s*(.+)$", re.I)
_FOLD: Final = re.compile(r"\bfold\b|bruch|pliure|doblez", re.IGNORECASE)
_MEASURE: Final = re.compile(
    r"(\d+(?:[.,]\d+)?(?:\s+\d+/\d+|/\d+)?)\s*(mm|cm|in(?:ch(?:es)?)?\b|\"|″|”)", re.IGNORECASE
)


def text_of(lettering: Lettering, body: Body) -> Text:
    """A text of the model; its role is what it says, unless our own writer stated it."""
    said = lettering.named.data("text-role")
    if said in set(TextRole):
        role = TextRole(said)
    elif normal(lettering.text) == normal(body.name):
        role = TextRole.NAME
    elif _is_size(lettering.text, body.size):
        role = TextRole.SIZE
    else:
        role = TextRole.ANNOTATION
    rotation = lettering.rotation
    stated = lettering.named.data("rotation")
    if stated is not None:
        try:
            value = float(stated)
        except ValueError:
            value = rotation
        if abs((value - rotation + 180.0) % 360.0 - 180.0) < 1e-4:
            rotation = value
    layer = lettering.named.data("layer")
    return Text(
        text=lettering.text,
        at=lettering.at,
        height=lettering.height,
        rotation=rotation,
        role=role,
        layer=layer_of(lettering.group, body) if layer is None and said is None else layer or "",
    )


def _is_size(text: str, size: str | None) -> bool:
    if size is None:
        return False
    words = read_label(text)
    return (
        words.size is not None
        and words.size.size == size
        and not words.name(without_role=False, without_size=True)
    )


def name_from(texts: Sequence[Lettering]) -> str:
    """The piece's name among the texts inside it: what is labelled as the name, else the largest
    that is neither a size, a quantity nor a remark about a line; "" where there is none."""
    for text in texts:
        words = text.named.role_words()
        if text.named.data("text-role") == "name" or (words and words.role is Role.NAME):
            return text.text
    names = [t for t in texts if _may_be_name(t.text)]
    # "Notch collar" may be a name, but not beside a text that can be nothing else.
    names = [t for t in names if read_label(t.text).role is None] or names
    best: Lettering | None = None
    for text in names:
        if best is None or text.height > best.height * 1.001:
            best = text
    return _as_name(best.text) if best is not None else ""


def _may_be_name(text: str) -> bool:
    words = read_label(text)
    if not any(c.isalpha() for c in text) or len(text) > 60:
        return False
    if _CUT.search(text) or _TIMES.search(text) or _MATERIAL.match(text) or _MEASURE.search(text):
        return False
    if (words.strict or words.spells_role) and words.role is not Role.NAME:
        return False
    if text.rstrip().endswith(("!", "?")) or (words.tokens and all(
        w in GENERIC for w in words.words)):  # fmt: skip
        return False
    return bool(words.name(without_role=False, without_size=True)) or not words.size


def _as_name(text: str) -> str:
    words = read_label(text)
    if words.size is not None and words.size.place == "keyword":
        return words.name(without_role=False, without_size=True) or text
    return text


def quantity_from(texts: Sequence[str]) -> tuple[int, int] | None:
    """How many are cut, as (right, left), where a text says so: "cut 2", "cut 1 pair", "2x"."""
    for text in texts:
        match = _CUT.search(text)
        if match:
            count = int(match.group(1))
            return (count, count) if match.group(2) else (count, 0)
    for text in texts:
        match = _TIMES.search(text)
        if match:
            return (int(match.group(1) or match.group(2)), 0)
    return None


def material_from(texts: Sequence[Lettering]) -> str:
    """The material, where a text names it: "fabric: lining"."""
    for text in texts:
        match = _MATERIAL.match(text.text)
        if match:
            return match.group(1).strip()
    return ""


def says_fold(texts: Sequence[Lettering]) -> bool:
    """Whether a text speaks of the fold."""
    return any(_FOLD.search(t.text) for t in texts)


def is_reference(texts: Sequence[Lettering]) -> bool:
    """Whether the texts call the thing they stand in a test square or a scale."""
    for text in texts:
        words = read_label(text.text)
        if words.role is Role.REFERENCE:
            return True
    return False


def stated_length(texts: Sequence[str]) -> float | None:
    """The first length with its unit in the texts, mm: "test square 5 cm x 5 cm"."""
    for text in texts:
        match = _MEASURE.search(text)
        if match:
            unit = match.group(2).lower()
            unit = "in" if unit.startswith("in") or unit in ('"', "″", "”") else unit
            try:
                return parse_length(f"{match.group(1)} {unit}")
            except ValueError:
                continue
    return None
