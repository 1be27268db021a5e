"""What path data are made of: commands, and the subpaths they draw."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from seamwright.geometry import FloatArray, KindArray

#: Numbers that one segment of each command takes.
TAKES: Final = {"M": 2, "L": 2, "H": 1, "V": 1, "C": 6, "S": 4, "Q": 4, "T": 2, "A": 7, "Z": 0}
NUMBER: Final = r"[+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?"


class BadPath(ValueError):
    """Path data that breaks the grammar.

    at      offset of the fault in the data
    text    the offending text
    good    offset up to which the data can be drawn
    """

    def __init__(self, message: str, at: int, text: str, good: int) -> None:
        super().__init__(message)
        self.at = at
        self.text = text
        self.good = good


@dataclass(slots=True)
class Subpath:
    """One stretch of pen down: segments (K, 4, 2) in user units, kinds (K,), and whether the data
    closes it (the closing segment, where it has a length, is among the segments)."""

    segments: FloatArray
    kinds: KindArray
    closed: bool
