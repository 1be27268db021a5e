"""What the texts of a file say: "Piece Name: Front", "Quantity: 1,1".

Piece texts are quoted from D6673 cl. 4.3.1.2 as reported (Piece Name, Quantity, Rotation, Flip,
Tilt, Fold; Material from edition -10 on); the style texts are from memory and agree with excerpts;
the others are common practice, no source. Unknown keys are kept as they stand.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Final

PIECE_KEYS: Final = {
    "piece name": "name",
    "piecename": "name",
    "size": "size",
    "size name": "size",
    "quantity": "quantity",
    "category": "category",
    "material": "material",
    "fabric": "material",
    "rotation": "rotation",
    "flip": "flip",
    "tilt": "tilt",
    "fold": "fold",
    "annotation": "annotation",
}
STYLE_KEYS: Final = {
    "style name": "Style Name",
    "style": "Style Name",
    "creation date": "Creation Date",
    "creation time": "Creation Time",
    "author": "Author",
    "product": "Product",
    "version": "Version",
    "sample size": "Sample Size",
    "base size": "Sample Size",
    "grade rule table": "Grade Rule Table",
    "units": "Units",
    "unit": "Units",
    "curve tolerance": "Curve Tolerance",
}
VERSION_WORDS: Final = ("ASTM/", "ANSI/AAMA", "AAMA")

_PAIR = re.compile(r"\s*([^:=]{1,60}?)\s*[:=]\s*(.*?)\s*\Z", re.S)
_GRADE = re.compile(r"\s*#\s*(\d{1,9})\s*\Z")
_PAIR_OF_COUNTS = re.compile(r"\s*(\d+)\s*(?:[,;/ ]\s*(\d+))?\s*\Z")
_COUNT = re.compile(r"\s*(\d+)[.,]?0*\s*\Z")


@dataclass(frozen=True, slots=True)
class Said:
    """A text taken apart: `kind` "piece" or "style" (key known), "other" (a key that is not), or
    "" (no key at all); `key` as in the tables above."""

    kind: str
    key: str
    value: str


def said_by(text: str, tag: str = "") -> Said:
    """What a text says. An attribute's tag (PIECE_NAME) stands for a key."""
    if tag:
        key = " ".join(tag.replace("_", " ").split()).lower()
        if key in PIECE_KEYS:
            return Said("piece", PIECE_KEYS[key], text.strip())
        if key in STYLE_KEYS:
            return Said("style", STYLE_KEYS[key], text.strip())
    match = _PAIR.match(text)
    if match is None:
        if text.strip().upper().startswith(VERSION_WORDS):
            return Said("style", "Version", text.strip())
        return Said("", "", text.strip())
    key = " ".join(match[1].split()).lower()
    if key in PIECE_KEYS:
        return Said("piece", PIECE_KEYS[key], match[2])
    if key in STYLE_KEYS:
        return Said("style", STYLE_KEYS[key], match[2])
    if match[1].upper().startswith(VERSION_WORDS):
        return Said("style", "Version", text.strip())
    return Said("other", match[1], match[2])


def grade_number(text: str) -> int | None:
    """The rule number of a grade point's text, "# 12"."""
    match = _GRADE.match(text)
    return int(match[1]) if match else None


def quantity(value: str) -> tuple[int, int] | None:
    """(right, left) of a quantity; a single number counts as right."""
    match = _COUNT.match(value)
    if match is not None:
        return int(match[1]), 0
    match = _PAIR_OF_COUNTS.match(value)
    if match is None:
        return None
    return int(match[1]), int(match[2] or 0)
