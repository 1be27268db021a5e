"""What the JSON reader and writer may be told."""

from __future__ import annotations

from typing import Annotated, Literal

from seamwright.plugins.api import Options, choice


class JsonRead(Options, frozen=True):
    """Options of reading: there are none."""


class JsonWrite(Options, frozen=True):
    """Options of writing."""

    layout: Annotated[
        Literal["lines", "compact"],
        choice(
            "lines: short things on a line each, for people and for comparing versions; compact: "
            "one line, no spaces."
        ),
    ] = "lines"
