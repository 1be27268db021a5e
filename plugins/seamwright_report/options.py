"""What the reports may be told."""

from __future__ import annotations

from typing import Annotated

from seamwright.plugins.api import Options, flag, number, text


class HtmlOptions(Options, frozen=True):
    """Options of the page."""

    title: Annotated[str, text("Heading of the page; the style's name when empty.")] = ""
    pictures: Annotated[bool, flag("Draw the pieces before and after.")] = True
    most_findings: Annotated[
        int,
        number(
            "How many findings of one kind are listed in full; the rest are counted.",
            at_least=1,
            at_most=100_000,
        ),
    ] = 500


class JsonOptions(Options, frozen=True):
    """Options of the record as JSON."""

    indent: Annotated[int, number("Spaces a level; 0 writes one line.", at_least=0, at_most=8)] = 2


class TextOptions(Options, frozen=True):
    """Options of the plain text."""

    width: Annotated[int, number("Columns to fill at most.", at_least=60, at_most=400)] = 100
