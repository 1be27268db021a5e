"""The findings of the steps on whole pieces."""

from __future__ import annotations

from typing import Final

from seamwright.plugins.api import Code, Severity

_E, _W, _N = Severity.ERROR, Severity.WARNING, Severity.NOTE


def _code(code: str, severity: Severity, title: str, why: str, remedy: str) -> Code:
    return Code(code=code, severity=severity, title=title, why=why, remedy=remedy)


REFUSED: Final = _code(
    "pieces.refused",
    _E,
    "The geometry does not allow it",
    "A piece is cut, joined and folded as it is drawn; nothing is bent to make it fit.",
    "Choose other places, or alter the piece first.",
)
CUT_LINE: Final = _code(
    "cut-line.dropped",
    _W,
    "The old cut line was taken away",
    "It belonged to another seam line, and somebody would have cut it.",
    "Draw it anew with add-allowance.",
)
REMADE: Final = _code(
    "cut-line.remade",
    _N,
    "The cut line was drawn anew from the allowances",
    "It belonged to another seam line. Corners are mitred.",
    "Run add-allowance where corners are to be finished in another way.",
)
SEAM_LOST: Final = _code(
    "pieces.seam-lost",
    _W,
    "A seam of the plan could not be followed",
    "Its edge is not there any more, or cannot be named on the new pieces.",
    "Write the seam anew in the plan.",
)
MEET_LOST: Final = _code(
    "pieces.meet-lost",
    _W,
    "Two notches of the plan do not meet any more",
    "One of them is not on the seam any more.",
    "Name the pair anew in the plan, or leave it out.",
)
FOLD_GONE: Final = _code(
    "pieces.off-fold",
    _N,
    "A part of a half piece does not touch the fold",
    "A piece that is cut on the fold is cut once; its part away from the fold is cut twice.",
    "Nothing, if two mirrored pieces are wanted.",
)

ON_FOLD: Final = _code(
    "pieces.on-fold",
    _W,
    "A mark on the fold has no place on the whole piece",
    "Where the fold was there is cloth now, and no edge to mark.",
    "Draw it inside the piece, if it is wanted.",
)
ASYMMETRICAL: Final = _code(
    "fold.asymmetrical",
    _E,
    "The piece is not symmetrical about the fold",
    "Folded, one half stands for both; what differs would be lost.",
    "Leave it whole, or allow a larger tolerance if the difference is an accident.",
)
ONE_SIDED: Final = _code(
    "fold.one-sided",
    _W,
    "Something is marked on one half only",
    "Cut on the fold, both halves get the marks of one.",
    "Keep the other half, or leave the piece whole.",
)
NO_GRAIN: Final = _code(
    "pieces.no-grain",
    _E,
    "There is no grain line to measure along",
    "Cloth shrinks by one amount along the grain and by another across it.",
    "Draw a grain line, or give one figure for both directions.",
)
NOT_TURNED: Final = _code(
    "pieces.not-turned",
    _W,
    "A piece without a grain line was not turned",
    "Nobody can tell how it is to lie on the cloth.",
    "Draw a grain line.",
)
DIFFER: Final = _code(
    "join.differ",
    _W,
    "The pieces were to be cut otherwise",
    "One piece has one cut quantity and one cloth.",
    "Look at the quantity and the material of the joined piece.",
)

CUT: Final = (REFUSED, CUT_LINE, REMADE)
SEAMS: Final = (SEAM_LOST, MEET_LOST)
SPLIT: Final = (*CUT, *SEAMS, FOLD_GONE)
WHOLE: Final = (*CUT, *SEAMS, ON_FOLD)
FOLD: Final = (*CUT, *SEAMS, ASYMMETRICAL, ONE_SIDED)
SCALE: Final = (CUT_LINE, REMADE, NO_GRAIN)
MIRROR: Final = (REFUSED,)
TURN: Final = (NOT_TURNED,)
JOIN: Final = (*CUT, *SEAMS, DIFFER)
FACING: Final = (*CUT, SEAM_LOST, FOLD_GONE)
HEM: Final = (REFUSED, REMADE)
