"""The SVG format: what it is called, what it carries, who reads and writes it."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from seamwright.plugins.api import (
    Context,
    Format,
    Reader,
    ReadResult,
    Source,
    Writer,
    WriteResult,
    hookimpl,
)

from .carries import CARRIES
from .codes import CODES
from .options import SvgIn, SvgOut
from .sniff import sniff

if TYPE_CHECKING:
    from seamwright.model import Pattern

API = 1


def _read(source: Source, options: SvgIn, context: Context) -> ReadResult:
    from .reading import read

    return read(source, options, context)


def _write(pattern: Pattern, options: SvgOut, context: Context) -> WriteResult:
    from .writing.document import write

    return write(pattern, options, context)


@hookimpl
def seamwright_formats() -> Sequence[Format]:
    """SVG, plain or compressed."""
    return [
        Format(
            name="svg",
            help="Drawings of general vector editors, in true size, all sizes in one file.",
            suffixes=(".svg", ".svgz"),
            sniff=sniff,
            carries=CARRIES,
            reader=Reader(options=SvgIn, run=_read),
            writer=Writer(options=SvgOut, run=_write),
            codes=CODES,
            page="svg.md",
        )
    ]
