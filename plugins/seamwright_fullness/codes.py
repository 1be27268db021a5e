"""The findings of the fullness steps."""

from __future__ import annotations

from typing import Final

from seamwright.plugins.api import Code, Severity

_E, _W, _N = Severity.ERROR, Severity.WARNING, Severity.NOTE


def _code(code: str, severity: Severity, title: str, why: str, remedy: str) -> Code:
    return Code(code=code, severity=severity, title=title, why=why, remedy=remedy)


REFUSED: Final = _code(
    "fullness.refused",
    _E,
    "The geometry does not allow it",
    "A piece is cut by straight slashes and its parts are moved as they are.",
    "Choose other places, or a smaller amount.",
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
TRY: Final = _code(
    "bust.try-on",
    _N,
    "A change for one body was made by figures",
    "Where the bust point lies and how much is wanted, only a fitting can tell.",
    "Sew it in cheap cloth and let the fitter decide before good cloth is cut.",
)
KINK: Final = _code(
    "bust.edge-turned",
    _N,
    "The edge turns at the end of the slash",
    "The part beside it was turned about that place; the edge's length is kept.",
    "Smooth it with true-jog; look at the armhole with the sleeve pinned in.",
)
LEGS: Final = _code(
    "bust.dart-legs",
    _W,
    "The legs of the bust dart are not equally long",
    "The old dart did not point at the bust point.",
    "Run true-dart, which moves the dart's point until they are.",
)


def _place(code: str, title: str) -> Code:
    return _code(
        code, _E, title, "Nothing can be done at a place that is not there.",
        "Look at the names in the pattern and its plan.",
    )  # fmt: skip


PLACES: Final = (
    _place("plan.piece", "There is no such piece"),
    _place("plan.mark", "There is no such corner or notch"),
    _place("plan.way", "The way round the outline is in doubt"),
    _place("plan.inside", "There is no such drill hole or dart"),
    _place("spot.unreadable", "A place cannot be read"),
    _place("spot.beyond", "A place lies beyond its run"),
)

ADD: Final = (*PLACES, REFUSED, CUT_LINE, REMADE)
BUST: Final = (*PLACES, REFUSED, TRY, KINK, LEGS, CUT_LINE, REMADE)
