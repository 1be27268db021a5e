"""Every finding that reading or writing a PDF may make."""

from __future__ import annotations

from typing import Final

from seamwright.plugins.api import Code, Severity

from .read_codes import READING

_E, _W, _N = Severity.ERROR, Severity.WARNING, Severity.NOTE

WRITING: Final = (
    Code(
        code="pdf.nothing", severity=_E, title="nothing to draw",
        why="An empty sheet looks like a printer's fault.",
        remedy="Look at what was read, or at the sizes asked for.",
    ),
    Code(
        code="pdf.no-size", severity=_E, title="a size that the pattern does not have",
        why="The sheet would lack what somebody wants to cut.",
        remedy="Name one of the pattern's sizes.",
    ),
    Code(
        code="pdf.out-of-range", severity=_E, title="a pattern too large for any paper",
        why="Nobody tapes a kilometre of paper: the scale or a stray point is wrong.",
        remedy="Check the scale of the file that was read.",
    ),
    Code(
        code="pdf.too-many-pages", severity=_E, title="more pages than anybody would tape",
        why="The scale, or the paper, is probably not what was meant.",
        remedy="Check the scale, take larger paper, or fewer sizes.",
    ),
    Code(
        code="pdf.pages", severity=_N, title="how the pattern was laid on pages",
        why="So you know how many sheets come out of the printer.", remedy="Nothing.",
    ),
    Code(
        code="pdf.split", severity=_W, title="a sheet in several parts",
        why="Beyond 5080 mm viewers disagree on the size of a page.",
        remedy="Print all parts and join them at the marks.",
    ),
    Code(
        code="pdf.glyph", severity=_W, title="letters that the font does not have",
        why="They would be printed as empty boxes.",
        remedy="They are printed as [U+...]; rename what holds them if it must be read on paper.",
    ),
    Code(
        code="pdf.label", severity=_N, title="words that found no free place inside their piece",
        why="Words over a line hide it.",
        remedy="They are printed small, or beside the piece; or over lines where nothing is free.",
    ),
)  # fmt: skip

CODES: Final = (*WRITING, *READING)
