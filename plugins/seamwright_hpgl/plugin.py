"""The HP-GL format: what it is called, what it carries, who reads and writes it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Final

from seamwright.plugins.api import API as API
from seamwright.plugins.api import (
    DROPPED,
    Carried,
    Context,
    Feature,
    Format,
    Reader,
    ReadResult,
    Source,
    Writer,
    WriteResult,
    hookimpl,
    within,
)

from .codes import CODES
from .options import HpglIn, HpglOut
from .sniff import sniff

if TYPE_CHECKING:
    from seamwright.model import Pattern

_DRAWN: Final = within("the drawn line, without its name,")

CARRIES: Final[Mapping[Feature, Carried]] = {
    Feature.CURVE: within("the tolerance"),
    Feature.SEVERAL_SIZES: within("lines over each other, without their names,"),
    Feature.SEVERAL_PIECES: within("outlines with a label"),
    Feature.TEXT: within("plain ASCII letters"),
    **dict.fromkeys(
        (
            Feature.CUT_LINE, Feature.NOTCH_SLIT, Feature.NOTCH_V, Feature.NOTCH_T,
            Feature.NOTCH_CASTLE, Feature.NOTCH_CHECK, Feature.NOTCH_U, Feature.NOTCH_DEPTH,
            Feature.GRAIN_LINE, Feature.FOLD_LINE, Feature.DART, Feature.INTERNAL_LINE,
            Feature.CUTOUT, Feature.SEW_LINE, Feature.STRIPE_PLAID, Feature.GRADE_REFERENCE,
            Feature.VALIDATION, Feature.DRILL_HOLE,
        ),
        _DRAWN,
    ),
}  # fmt: skip


def _carries(options: HpglOut) -> Mapping[Feature, Carried]:
    """With labels left out there are no texts; with a choice of sizes no others."""
    out = dict(CARRIES)
    if not options.labels:
        out[Feature.TEXT] = DROPPED
    if options.sizes:
        out[Feature.SEVERAL_SIZES] = DROPPED
    return out


def _read(source: Source, options: HpglIn, context: Context) -> ReadResult:
    from .read import read

    return read(source, options, context)


def _write(pattern: Pattern, options: HpglOut, context: Context) -> WriteResult:
    from .writing.document import write

    return write(pattern, options, context)


@hookimpl
def seamwright_formats() -> Sequence[Format]:
    """HP-GL, plain or HP-GL/2."""
    return [
        Format(
            name="hpgl",
            help="Plots for roll plotters and cutters.",
            suffixes=(".plt", ".hpgl", ".hpg", ".hgl", ".hp2"),
            sniff=sniff,
            carries=CARRIES,
            reader=Reader(options=HpglIn, run=_read),
            writer=Writer(options=HpglOut, run=_write, carries=_carries),
            codes=CODES,
            page="hpgl.md",
        )
    ]
