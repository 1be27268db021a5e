"""How our drawings look: line weights in mm and a restrained palette, one ink a size."""

from __future__ import annotations

from typing import Final

from seamwright.model import InternalKind

#: Inks from small to large: blue-greens to earths, dark enough for thin lines on white paper.
INKS: Final = (
    "#1d4e6b", "#2c7a73", "#5b8a3a", "#a8842c", "#b5602f", "#9c3d46", "#743a68", "#4c4787",
    "#31606f", "#6b6f2e", "#8a5a3c", "#5d4a5c",
)  # fmt: skip
INK: Final = "#22303a"  # texts, legend, a pattern in one size
QUIET: Final = "#7d8790"
PAPER: Final = "#faf7f0"

BASE_WEIGHT: Final = "0.5"
WEIGHT: Final = "0.3"
FINE: Final = "0.2"
SEAM_DASH: Final = "5 2"  # a seam line inside a cut line

DASHES: Final = {
    InternalKind.FOLD: "12 2.5 2 2.5",
    InternalKind.INTERNAL: "6 2.5",
    InternalKind.SEW: "2.5 1.5",
    InternalKind.CUTOUT: None,
    InternalKind.STRIPE: "1 2",
    InternalKind.PLAID: "1 2",
    InternalKind.GRADE_REFERENCE: "14 2 1 2",
    InternalKind.ALTERNATE_GRADE_REFERENCE: "14 2 1 2 1 2",
    InternalKind.VALIDATION: "0.5 1.5",
}


def ink_of(number: int, count: int) -> str:
    """The ink of size `number` of `count`, small to large."""
    if count == 1:
        return INK
    if count <= 7:  # spread from blue to plum
        return INKS[round(number * 6 / (count - 1))]
    return INKS[number % len(INKS)]
