"""The findings of the notch steps."""

from __future__ import annotations

from typing import Final

from seamwright.plugins.api import Code, Severity


def _code(code: str, severity: Severity, title: str, why: str, remedy: str) -> Code:
    return Code(code=code, severity=severity, title=title, why=why, remedy=remedy)


PLACED: Final = _code(
    "notch.placed", Severity.NOTE, "Notches placed",
    "Whoever sews goes by them.", "Carry them to the other side of the seam with match-notches.",
)  # fmt: skip
NEAR: Final = _code(
    "notch.near-corner", Severity.WARNING, "A notch next to a corner",
    "In the allowance it runs into the corner, and is cut off or mistaken.",
    "Place it at least 10 mm from the corner.",
)  # fmt: skip
TAKEN: Final = _code(
    "notch.name-taken", Severity.ERROR, "The name is taken",
    "Two marks of one name cannot be told apart in a plan.", "Another name.",
)  # fmt: skip
MATCHED: Final = _code(
    "notch.matched", Severity.NOTE, "Notches carried to the other side",
    "They meet when the seam is sewn with its ease where it is wanted.", "Walk the seam.",
)  # fmt: skip
BEYOND: Final = _code(
    "notch.beyond", Severity.ERROR, "A notch would lie beyond its seam",
    "More ease is asked for than the seam has up to there.", "Less ease before that notch.",
)  # fmt: skip
ORDER: Final = _code(
    "notch.order", Severity.ERROR, "Notches would change their order",
    "The ease that is asked for puts one past its neighbour.", "Other eases.",
)  # fmt: skip
ACROSS: Final = _code(
    "notch.across", Severity.ERROR, "A notch falls on different pieces in different sizes",
    "A notch belongs to one piece.", "Name an ease for it that keeps it on one piece.",
)  # fmt: skip
NO_SEAM: Final = _code(
    "notch.no-seam", Severity.WARNING, "No seam to carry notches over",
    "Only a plan says what is sewn to what.", "Give a plan, or the name of one of its seams.",
)  # fmt: skip
NONE: Final = _code(
    "notch.none", Severity.NOTE, "No notch to carry",
    "The side whose notches are carried has none within the seam.",
    "Place some, or carry the other side's (source).",
)  # fmt: skip
REMOVED: Final = _code(
    "notch.removed", Severity.NOTE, "Notches taken away", "As asked.", "Nothing.",
)  # fmt: skip
UNPAIRED: Final = _code(
    "notch.unpaired", Severity.WARNING, "A pair of the plan is gone",
    "One of its notches was taken away, so nobody checks that they meet.",
    "Place another, or leave it.",
)  # fmt: skip
IN_PLAN: Final = _code(
    "notch.in-plan", Severity.ERROR, "A seam of the plan begins, ends or passes there",
    "Without the notch the seam cannot be followed.", "Keep it, or change the plan first.",
)  # fmt: skip
RENAMED: Final = _code(
    "notch.renamed", Severity.NOTE, "Notches renamed",
    "The plan knows them by their new names.", "Nothing.",
)  # fmt: skip
_PLACES: Final = tuple(
    _code(
        code, Severity.ERROR, "The place is not there",
        "A misspelt name would be passed over in silence.",
        "Look at the names of pieces and marks.",
    )
    for code in ("plan.piece", "plan.mark", "plan.way", "spot.unreadable", "spot.beyond",
                 "notch.unknown", "plan.seam")
)  # fmt: skip

PLACE: Final = (PLACED, NEAR, TAKEN, *_PLACES)
MATCH: Final = (MATCHED, NEAR, BEYOND, ORDER, ACROSS, NO_SEAM, NONE, *_PLACES)
REMOVE: Final = (REMOVED, UNPAIRED, IN_PLAN, *_PLACES)
RENAME: Final = (RENAMED, TAKEN, *_PLACES)
