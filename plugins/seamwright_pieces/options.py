"""What the steps on whole pieces may be told."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Annotated

import msgspec

from seamwright.plugins.api import Length, Options, length, text


class SplitPiece(Options, frozen=True):
    """Options of split-piece."""

    start: Annotated[
        str, text('Where the line begins: "Front: shoulder @ 50 %", "Front: hem + 40 mm", a mark.')
    ] = ""
    end: Annotated[str, text("Where the line ends, on the same piece. It is straight.")] = ""
    line: Annotated[
        str,
        text('Instead of two places: a line drawn inside the piece, by its name: "Front: yoke".'),
    ] = ""
    left: Annotated[
        str,
        text("Name of the piece on the left of the way from start to end; else the name and 1."),
    ] = ""
    right: Annotated[str, text("Name of the piece on its right; else the name and 2.")] = ""
    notches: Annotated[
        list[str],
        text('Notches on both new edges, from the line\'s start: "50 %", "4 cm".'),
    ] = msgspec.field(default_factory=lambda: ["50 %"])
    allowance: Annotated[
        Length,
        length(
            "Seam allowance of the new edges, where the piece has allowances.",
            at_least=0,
            at_most=150,
        ),
    ] = Length(10.0)
    seam: Annotated[
        str, text("Name of the new seam in the plan; else it is made of the pieces' names.")
    ] = ""

    def check(self) -> Iterable[str]:
        if bool(self.line) == bool(self.start or self.end):
            yield "give start and end, or line"
        elif not self.line and not (self.start and self.end):
            yield "a line from start to end needs both"
        if self.left and self.left == self.right:
            yield f'both pieces cannot be named "{self.left}"'
