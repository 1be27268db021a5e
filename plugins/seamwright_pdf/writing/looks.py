"""How sizes are told apart on paper that knows only black: a pattern of dashes and a weight."""

from __future__ import annotations

from colorsys import hls_to_rgb
from dataclasses import dataclass
from typing import Final

from seamwright.model import InternalKind

#: Dashes and gaps in mm, neighbours as unlike as can be.
PATTERNS: Final[tuple[tuple[float, ...], ...]] = (
    (),
    (6.0, 2.0),
    (1.0, 1.4),
    (9.0, 1.8, 1.2, 1.8),
    (3.0, 1.5),
    (14.0, 3.0),
    (6.0, 1.5, 1.0, 1.5, 1.0, 1.5),
    (2.0, 3.0),
    (10.0, 1.5, 3.0, 1.5),
    (8.0, 1.4, 0.8, 1.4, 0.8, 1.4, 0.8, 1.4),
)
_WEIGHTS: Final = (0.35, 0.7, 1.05)
SEAM_INK: Final = (0.35,)  # seam lines inside cut lines: thin and grey
SEAM_DASH: Final = (4.0, 1.6)  # the seam line of a lone size, inside its cut line
FINE: Final = 0.2
SEAM: Final = 0.15
GREY: Final = (0.45,)

INSIDE: Final[dict[InternalKind, tuple[float, ...]]] = {
    InternalKind.FOLD: (12.0, 2.5, 2.0, 2.5),
    InternalKind.INTERNAL: (6.0, 2.5),
    InternalKind.SEW: (2.5, 1.5),
    InternalKind.CUTOUT: (),
    InternalKind.STRIPE: (1.0, 2.0),
    InternalKind.PLAID: (1.0, 2.0),
    InternalKind.GRADE_REFERENCE: (14.0, 2.0, 1.0, 2.0),
    InternalKind.ALTERNATE_GRADE_REFERENCE: (14.0, 2.0, 1.0, 2.0, 1.0, 2.0),
    InternalKind.VALIDATION: (0.6, 1.5),
}


@dataclass(frozen=True, slots=True)
class Look:
    """Dashes and weight in mm of a size's outer line, and its ink."""

    dash: tuple[float, ...]
    weight: float
    ink: tuple[float, ...]


def look_of(number: int, count: int, *, colour: bool) -> Look:
    """The look of size `number` of `count`: no two are alike up to thirty sizes."""
    if count == 1:
        return Look((), 0.4, (0.0,))
    dash = PATTERNS[number % len(PATTERNS)]
    weight = _WEIGHTS[(number // len(PATTERNS)) % len(_WEIGHTS)]
    ink: tuple[float, ...] = (0.0,)
    if colour:
        hue = 0.55 + 0.8 * number / max(count - 1, 1)
        ink = hls_to_rgb(hue % 1.0, 0.3, 0.75)
    return Look(dash, weight, ink)
