"""The descriptor of the DXF format."""

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
    Guess,
    Head,
    Reader,
    ReadResult,
    Source,
    Writer,
    WriteResult,
    hookimpl,
    within,
)

from .codes import CODES
from .options import DxfIn, DxfOut

if TYPE_CHECKING:
    from seamwright.model import Pattern

CARRIES: Final = {
    Feature.CURVE: within("the chord tolerance"),
    Feature.SEVERAL_SIZES: EXACT,
    Feature.SEVERAL_PIECES: EXACT,
    Feature.CUT_LINE: EXACT,
    Feature.CORNER_NAMES: DROPPED,
    Feature.NOTCH_SLIT: EXACT,
    Feature.NOTCH_V: EXACT,
    Feature.NOTCH_T: EXACT,
    Feature.NOTCH_CASTLE: EXACT,
    Feature.NOTCH_CHECK: EXACT,
    Feature.NOTCH_U: EXACT,
    Feature.NOTCH_DEPTH: EXACT,
    Feature.NOTCH_NAMES: DROPPED,
    Feature.GRAIN_LINE: EXACT,
    Feature.FOLD_LINE: EXACT,
    Feature.DART: DROPPED,
    Feature.INTERNAL_LINE: EXACT,
    Feature.CUTOUT: EXACT,
    Feature.SEW_LINE: EXACT,
    Feature.STRIPE_PLAID: EXACT,
    Feature.GRADE_REFERENCE: EXACT,
    Feature.VALIDATION: EXACT,
    Feature.DRILL_HOLE: EXACT,
    Feature.TEXT: EXACT,
    Feature.QUANTITY: EXACT,
    Feature.MATERIAL: EXACT,
    Feature.CATEGORY: EXACT,
    Feature.ALLOWANCE: DROPPED,
    Feature.GRADE_RULES: EXACT,
    Feature.GRADE_POINTS: EXACT,
    Feature.CURVE_POINTS: within("the points that flattening adds"),
    Feature.SEAMS: DROPPED,
    Feature.NOTES: EXACT,
    Feature.FOREIGN: DROPPED,
}
"""What the exchange file and the plain drawings hold alike (the latter through our own marks)."""


def _carries(options: DxfOut) -> Mapping[Feature, Carried]:
    """What is carried with these options."""
    out = dict(CARRIES)
    if not options.rule_table:
        out[Feature.GRADE_RULES] = DROPPED
    if options.curves == "splines":
        out[Feature.CURVE] = within("rounding to the file's decimals")
    return out


_BINARY: Final = b"AutoCAD Binary DXF"


def _sniff(head: Head) -> Guess:
    data = head.data.removeprefix(b"\xef\xbb\xbf")
    if data.startswith(_BINARY):
        return Guess.YES
    if data[:2] in (b"\xff\xfe", b"\xfe\xff"):
        data = data.replace(b"\0", b"")[2:]
    words = [line.strip() for line in data[:2048].splitlines()]
    words = [w for w in words if w]
    # Comments may come first; then the first section opens.
    while len(words) >= 2 and words[0] == b"999":
        words = words[2:]
    if len(words) >= 2 and words[0] == b"0" and words[1].upper() == b"SECTION":
        return Guess.YES
    if words and words[0] == b"999" and head.suffix == ".dxf":
        return Guess.MAYBE
    return Guess.MAYBE if head.suffix == ".dxf" else Guess.NO


def _read(source: Source, options: DxfIn, ctx: Context) -> ReadResult:
    from .read import read

    return read(source, options, ctx)


def _write(pattern: Pattern, options: DxfOut, ctx: Context) -> WriteResult:
    from .write import write

    return write(pattern, options, ctx)


@hookimpl
def seamwright_formats() -> Sequence[Format]:
    """The DXF format."""
    return [
        Format(
            name="dxf",
            help="The exchange file of cutting rooms with its rule table, and plain CAD drawings.",
            suffixes=(".dxf",),
            sniff=_sniff,
            carries=CARRIES,
            reader=Reader(options=DxfIn, run=_read, beside=(".rul", ".rules")),
            writer=Writer(options=DxfOut, run=_write, carries=_carries),
            codes=CODES,
            page="dxf.md",
        )
    ]
