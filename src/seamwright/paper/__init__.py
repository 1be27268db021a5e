"""Ease by paper and tape: what cloth takes, how many tucks and where, and the words for it.

Plain Python without numpy: the same arithmetic serves the step that alters a file and the command
for people who have paper and a tape measure only. Lengths in mm; words in the reader's unit.
"""

from __future__ import annotations

from .answer import Answer, Half, answer, doubts, no_answer
from .cloth import SIDES, Cloth, Side, Span, cloths, find_cloth, read_cloths
from .tucks import (
    APART,
    DEPTH,
    FROM_SHOULDER,
    LARGEST_TUCK,
    NEAR_ENOUGH,
    USUAL_PLACE,
    WIDEST_EVER,
    Folding,
    Tuck,
    folding,
)
from .words import (
    CAUTIONS,
    Manner,
    about,
    fold_lines,
    folds_in_short,
    how_to,
    what_else_helps,
    why_short,
)

__all__ = [
    "APART", "Answer", "CAUTIONS", "Cloth", "DEPTH", "FROM_SHOULDER", "Folding", "Half",
    "LARGEST_TUCK", "Manner", "NEAR_ENOUGH", "SIDES", "Side", "Span", "Tuck", "USUAL_PLACE",
    "WIDEST_EVER", "about", "answer", "cloths", "doubts", "find_cloth", "fold_lines", "folding",
    "folds_in_short", "how_to", "no_answer", "read_cloths", "what_else_helps", "why_short",
]  # fmt: skip
