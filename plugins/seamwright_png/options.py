"""What the PNG writer may be told."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Annotated, Literal

from seamwright.plugins.api import Options, choice, flag, number, text


class PngOut(Options, frozen=True):
    """Writing a picture."""

    width: Annotated[
        int, number("Width of the picture in pixels.", at_least=16, at_most=20_000)
    ] = 1200  # fmt: skip
    dpi: Annotated[
        float | None,
        number(
            "Pixels an inch instead of a width: the picture then shows everything at true size.",
            at_least=1,
            at_most=1200,
        ),
    ] = None
    sizes: Annotated[tuple[str, ...], text("Sizes to show; all by default.")] = ()
    labels: Annotated[bool, flag("Write names, numbers to cut and sizes into the picture.")] = True
    layout: Annotated[
        Literal["rows", "keep"],
        choice('Pieces side by side ("rows"), or where they lie in the pattern ("keep").'),
    ] = "rows"

    def check(self) -> Iterable[str]:
        if self.dpi is not None and self.width != 1200:
            yield '"width" and "dpi" both set the size of the picture: give one of them'
