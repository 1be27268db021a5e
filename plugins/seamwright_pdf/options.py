"""What the PDF reader and writer may be told."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Annotated, Literal

from seamwright.plugins.api import DrawingIn, Length, Options, choice, flag, length, number, text

from .paper import fault_of_paper


class PdfIn(DrawingIn, frozen=True):
    """Reading paper."""

    pages: Annotated[
        str, text('Pages to read, as in "2-9" or "1, 3-5"; all by default.')
    ] = ""  # fmt: skip
    columns: Annotated[
        int | None,
        number(
            "Pages side by side, where they are parts of one sheet; found from lines that pages "
            "share by default.", at_least=1, at_most=200,
        ),
    ] = None  # fmt: skip
    rows: Annotated[
        int | None, number("Rows of pages; as many as needed by default.", at_least=1, at_most=200)
    ] = None  # fmt: skip
    tile_overlap: Annotated[
        Length,
        length("Strip that neighbouring pages share, edge of page to edge of page.",
               at_least=0, at_most=500),
    ] = Length(0.0)  # fmt: skip
    order: Annotated[
        Literal["rows", "columns"],
        choice("Whether the pages run left to right and then down, or down and then right."),
    ] = "rows"
    first: Annotated[
        Literal["top", "bottom"], choice("Whether the first row is the top one or the bottom one.")
    ] = "top"
    scale: Annotated[
        float,
        number("Factor by which the file is too small: 1.0417 for one made at 96 %.",
               at_least=0.01, at_most=100),
    ] = 1.0  # fmt: skip

    def check(self) -> Iterable[str]:
        if self.columns is None and (self.rows is not None or float(self.tile_overlap) > 0):
            yield '"rows" and "tile-overlap" need "columns"'


class PdfOut(Options, frozen=True):
    """Writing for paper."""

    paper: Annotated[
        str,
        text(
            'The paper: "a4", "letter", "a3", "legal", "a0", ... or "WIDTH x HEIGHT" as in '
            '"610 x 900 mm"; "a4+letter" prints on either; "36 in roll" is as long as needed; '
            '"one sheet" is as large as needed.'
        ),
    ] = "a4"
    orientation: Annotated[
        Literal["auto", "portrait", "landscape"],
        choice("How the paper lies; auto takes what needs fewer pages."),
    ] = "auto"
    margin: Annotated[
        Length,
        length("Edge of the paper that stays empty: printers do not reach it.", at_least=0,
               at_most=100),
    ] = Length(10.0)  # fmt: skip
    overlap: Annotated[
        Length,
        length("Strip that neighbouring pages share, to glue them on; 0 puts edge to edge.",
               at_least=0, at_most=100),
    ] = Length(10.0)  # fmt: skip
    sizes: Annotated[
        tuple[str, ...], text("Sizes to print; all by default. The file holds no others.")
    ] = ()
    show: Annotated[
        tuple[str, ...],
        text("Sizes whose layers are on when the file is opened; the others can be turned on."),
    ] = ()
    layout: Annotated[
        Literal["auto", "pack", "keep"],
        choice(
            "Where the pieces lie: laid together for few pages (pack), or as in the pattern "
            "(keep). auto packs."
        ),
    ] = "auto"
    grain: Annotated[
        Literal["free", "parallel"],
        choice(
            "How pieces may be turned when they are packed: by quarter turns (free), or so that "
            "all grain lines lie along the paper (parallel)."
        ),
    ] = "free"
    gap: Annotated[
        Length, length("Space between packed pieces.", at_least=0, at_most=200)
    ] = Length(6.0)  # fmt: skip
    colour: Annotated[
        bool, flag("Draw sizes in colours besides their line patterns; black otherwise.")
    ] = False
    key_plan: Annotated[bool, flag("Draw the plan of all pages on the first page.")] = True
    title: Annotated[str, text("Title of the document; the pattern's name by default.")] = ""
    author: Annotated[
        str, text("Author of the document; the one stated in the pattern by default.")
    ] = ""

    def check(self) -> Iterable[str]:
        fault = fault_of_paper(self.paper, float(self.margin), float(self.overlap))
        if fault:
            yield fault
