"""What the PDF reader and writer may be told."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Annotated, Literal

from seamwright.plugins.api import Length, Options, choice, flag, length, text

from .paper import fault_of_paper


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
