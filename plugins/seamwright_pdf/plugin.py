"""The PDF format: what it is called, what it carries, who reads and writes it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Final

from seamwright.plugins.api import API as API
from seamwright.plugins.api import (
    DROPPED,
    EXACT,
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
)

from .codes import CODES
from .options import PdfIn, PdfOut
from .sniff import sniff

if TYPE_CHECKING:
    from seamwright.model import Pattern

_NOT: Final = (
    Feature.GRADE_RULES, Feature.GRADE_POINTS, Feature.CURVE_POINTS, Feature.SEAMS, Feature.NOTES,
    Feature.FOREIGN,
)  # fmt: skip

CARRIES: Final[Mapping[Feature, Carried]] = {
    feature: DROPPED if feature in _NOT else EXACT for feature in Feature
}


def _read(source: Source, options: PdfIn, context: Context) -> ReadResult:
    from .read import read

    return read(source, options, context)


def _write(pattern: Pattern, options: PdfOut, context: Context) -> WriteResult:
    from .writing.document import write

    return write(pattern, options, context)


@hookimpl
def seamwright_formats() -> Sequence[Format]:
    """PDF, vector drawings at true size."""
    return [
        Format(
            name="pdf",
            help="Paper: tiled for home printers or on one large sheet, each size a layer.",
            suffixes=(".pdf",),
            sniff=sniff,
            carries=CARRIES,
            reader=Reader(options=PdfIn, run=_read),
            writer=Writer(options=PdfOut, run=_write),
            codes=CODES,
            page="pdf.md",
        )
    ]
