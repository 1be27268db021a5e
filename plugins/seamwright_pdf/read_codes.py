"""Every finding that reading a PDF may make."""

from __future__ import annotations

from typing import Final

from seamwright.plugins.api import Code, Severity, drawing_codes

_E, _W, _N = Severity.ERROR, Severity.WARNING, Severity.NOTE

READING: Final = (
    Code(
        code="pdf.encrypted", severity=_E, title="a locked file",
        why="It cannot be read without its password.", remedy="Save it without, if you may.",
    ),
    Code(
        code="pdf.broken", severity=_E, title="a damaged file",
        why="Half of its lines may be missing.", remedy="Get or save it again.",
    ),
    Code(
        code="pdf.limit", severity=_E, title="over a limit",
        why="A file of a few bytes can unfold to more than a computer holds.",
        remedy="Raise the limit that the message names, if you trust the file.",
    ),
    Code(
        code="pdf.raster", severity=_E, title="pictures only",
        why="A scan has pixels and no lines: nothing can be measured on it.",
        remedy="Get a vector file, or trace the lines.",
    ),
    Code(
        code="pdf.no-lines", severity=_E, title="no lines",
        why="There is nothing to make pieces of.", remedy="Look at other pages.",
    ),
    Code(
        code="pdf.no-pages", severity=_E, title="no page to read",
        why="Pages that are not there cannot be read.", remedy="Name pages of this file.",
    ),
    Code(
        code="pdf.grid", severity=_E, title="a grid too small for the pages",
        why="Some pages would have no place.", remedy="State the grid of the tiles alone.",
    ),
    Code(
        code="pdf.tiles-found", severity=_N, title="pages put together",
        why="They were laid by lines that several of them draw.",
        remedy="Look at a piece that runs over several pages; state the grid if it is wrong.",
    ),
    Code(
        code="pdf.separate-pages", severity=_W, title="pages read as separate sheets",
        why="An outline that runs over several pages does not close on any of them.",
        remedy="State the grid: columns, overlap.",
    ),
    Code(
        code="pdf.clipped", severity=_N, title="lines behind a clip",
        why="The page hides a part of them.", remedy="Nothing, or look at what was hidden.",
    ),
    Code(
        code="pdf.layers-off", severity=_N, title="layers that are off",
        why="They may be sizes that were not printed, or drafts.", remedy="Nothing.",
    ),
    Code(
        code="line.double", severity=_W, title="lines drawn as thin shapes",
        why="Each line is there as its two sides: outlines come out twice, and are measured half a "
        "line's width off.",
        remedy="Export the lines as strokes, not as outlined shapes.",
    ),
    Code(
        code="pdf.images", severity=_W, title="pictures beside the lines",
        why="Parts of the pattern may be in them.", remedy="Trace them if they matter.",
    ),
    Code(
        code="pdf.unreadable-text", severity=_W, title="texts that cannot be read",
        why="The file does not say which letters its shapes are.",
        remedy="Name pieces and sizes by hand.",
    ),
    Code(
        code="pdf.active", severity=_N, title="scripts, actions, files in the file",
        why="Nothing of that kind is ever run or opened.", remedy="Nothing.",
    ),
    Code(
        code="pdf.outside", severity=_N, title="lines and texts outside all pieces",
        why="They belong to no piece.", remedy="Nothing, or join what should be an outline.",
    ),
    *drawing_codes("pdf"),
)  # fmt: skip
