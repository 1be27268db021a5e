"""The PNG format: written only, a picture and no pattern."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Final

from seamwright.plugins.api import API as API
from seamwright.plugins.api import (
    Code,
    Context,
    Feature,
    Format,
    Guess,
    Head,
    Severity,
    Writer,
    WriteResult,
    hookimpl,
    within,
)

from .options import PngOut

if TYPE_CHECKING:
    from seamwright.model import Pattern

_SEEN: Final = within("what a picture shows")

#: What can be seen in the picture. None of it can be read back.
CARRIES: Final = dict.fromkeys(
    (
        Feature.CURVE, Feature.SEVERAL_SIZES, Feature.SEVERAL_PIECES, Feature.CUT_LINE,
        Feature.NOTCH_SLIT, Feature.NOTCH_V, Feature.NOTCH_T, Feature.NOTCH_CASTLE,
        Feature.NOTCH_CHECK, Feature.NOTCH_U, Feature.NOTCH_DEPTH, Feature.GRAIN_LINE,
        Feature.FOLD_LINE, Feature.DART, Feature.INTERNAL_LINE, Feature.CUTOUT, Feature.SEW_LINE,
        Feature.STRIPE_PLAID, Feature.GRADE_REFERENCE, Feature.VALIDATION, Feature.DRILL_HOLE,
        Feature.QUANTITY, Feature.MATERIAL,
    ),
    _SEEN,
)  # fmt: skip

CODES: Final = (
    Code(
        code="png.picture-only", severity=Severity.NOTE, title="a picture, no pattern",
        why="Pixels hold no lengths: nothing can be measured on it or read from it again.",
        remedy="Keep the pattern in a format that is read.",
    ),
    Code(
        code="png.too-large", severity=Severity.ERROR, title="too many pixels",
        why="A picture of that size fills the memory of whoever opens it.",
        remedy="Fewer pixels: width, or dpi.",
    ),
    Code(
        code="png.no-size", severity=Severity.ERROR, title="a size that is not there",
        why="It cannot be shown.", remedy="Name one of the pattern's sizes.",
    ),
    Code(
        code="png.letters", severity=Severity.WARNING, title="letters without a shape",
        why="The picture's typeface has none for them; they are drawn as ?.",
        remedy="Nothing, or rename what holds them.",
    ),
)  # fmt: skip


def _sniff(head: Head) -> Guess:
    return Guess.YES if head.data.startswith(b"\x89PNG\r\n\x1a\n") else Guess.NO


def _write(pattern: Pattern, options: PngOut, context: Context) -> WriteResult:
    from .write import write

    return write(pattern, options, context)


@hookimpl
def seamwright_formats() -> Sequence[Format]:
    """PNG pictures."""
    return [
        Format(
            name="png",
            help="A picture to look at: pieces side by side, sizes nested. Written only.",
            suffixes=(".png",),
            sniff=_sniff,
            carries=CARRIES,
            writer=Writer(options=PngOut, run=_write),
            codes=CODES,
            page="png.md",
        )
    ]
