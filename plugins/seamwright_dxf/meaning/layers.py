"""Layers of ASTM D6673 and what lies on them.

The numbers and their content are known from several implementers' summaries that agree with each
other (second-hand; the standard's own text could not be opened). Files by the older ANSI/AAMA-292
stop at layer 14 (from memory).
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Final

import numpy as np
from numpy.typing import NDArray

from seamwright.model import InternalKind, NotchType

BOUNDARY: Final = 1
TURN_POINTS: Final = 2
CURVE_POINTS: Final = 3
V_NOTCH: Final = 4
GRADE_REFERENCE: Final = 5
MIRROR: Final = 6
GRAIN: Final = 7
INTERNAL: Final = 8
STRIPE: Final = 9
PLAID: Final = 10
CUTOUT: Final = 11
DRILL: Final = 13
SEW: Final = 14
ANNOTATION: Final = 15

NOTCHES: Final = {
    4: NotchType.V,
    80: NotchType.T,
    81: NotchType.CASTLE,
    82: NotchType.CHECK,
    83: NotchType.U,
}
"""Layer 4 holds V notches and slits alike; a notch with a width is read as a V, one without as a
slit (common practice, no source)."""

NOTCH_LAYER: Final = {
    NotchType.SLIT: 4,
    NotchType.V: 4,
    NotchType.T: 80,
    NotchType.CASTLE: 81,
    NotchType.CHECK: 82,
    NotchType.U: 83,
}

LINES: Final = {
    MIRROR: InternalKind.FOLD,
    INTERNAL: InternalKind.INTERNAL,
    STRIPE: InternalKind.STRIPE,
    PLAID: InternalKind.PLAID,
    CUTOUT: InternalKind.CUTOUT,
    SEW: InternalKind.SEW,
    84: InternalKind.VALIDATION,
    85: InternalKind.VALIDATION,
    86: InternalKind.VALIDATION,
    87: InternalKind.VALIDATION,
}
"""Quality-validation curves: 84 of layer 1, 85 of 8, 86 of 11, 87 of 14."""

LINE_LAYER: Final = {
    InternalKind.FOLD: 6,
    InternalKind.INTERNAL: 8,
    InternalKind.STRIPE: 9,
    InternalKind.PLAID: 10,
    InternalKind.CUTOUT: 11,
    InternalKind.SEW: 14,
    InternalKind.GRADE_REFERENCE: 5,
    InternalKind.ALTERNATE_GRADE_REFERENCE: 5,
    InternalKind.VALIDATION: 84,
}

KNOWN: Final = frozenset((*range(1, 12), *range(13, 16), *range(80, 88)))

_NUMBER = re.compile(r"(?:layer[\s_-]*)?0*(\d{1,2})", re.I)


def number_of(name: str) -> int:
    """The standard's number of a layer name ("1", "01", "LAYER1", "Layer 1"), else -1."""
    match = _NUMBER.fullmatch(name.strip())
    if match is None:
        return -1
    number = int(match[1])
    return number if number in KNOWN else -1


def numbers_of(names: Sequence[str]) -> NDArray[np.int64]:
    """`number_of` for each name."""
    return np.array([number_of(name) for name in names], dtype=np.int64)
