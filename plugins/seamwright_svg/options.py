"""What the SVG reader and writer may be told."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Annotated, Literal

from seamwright.plugins.api import DrawingIn, Length, Options, choice, flag, length, number, text


class SvgIn(DrawingIn, frozen=True):
    """Reading a drawing."""

    px_per_inch: Annotated[
        float | None,
        number(
            "Pixels an inch, for drawings without a physical size: 96 by today's standard, 90 or "
            "72 in older ones, 300 for a scan.",
            at_least=1,
            at_most=100_000,
        ),
    ] = None
    known: Annotated[
        str,
        text(
            'Something of known size in the drawing, as "ID LENGTH": "test-square 100 mm". A line '
            "counts by its length, anything closed by its width; all else is scaled to fit."
        ),
    ] = ""
    hidden: Annotated[bool, flag("Read hidden layers and parts as well.")] = False
    lenient: Annotated[
        bool,
        flag(
            "Take broken path data up to the fault, and broken attributes as if they were absent, "
            "as browsers do. Otherwise what is broken is left out and reported as an error."
        ),
    ] = False

    def check(self) -> Iterable[str]:
        if self.known and self.px_per_inch is not None:
            yield '"known" and "px-per-inch" both set the scale: give one of them'
        if self.known and len(self.known.split(None, 1)) < 2:
            yield '"known" is an id and a length, as in "test-square 100 mm"'


class SvgOut(Options, frozen=True):
    """Writing a drawing."""

    layout: Annotated[
        Literal["auto", "keep", "rows"],
        choice(
            'Where the pieces lie: as in the pattern ("keep"), side by side in rows ("rows"), or '
            'as in the pattern unless pieces lie over each other ("auto").'
        ),
    ] = "auto"
    page_width: Annotated[
        Length,
        length("Width that rows of pieces are laid out in.", at_least=50, at_most=100_000),
    ] = Length(1600.0)
    legend: Annotated[
        bool, flag("Draw a title, the sizes' colours, a test square and a scale bar.")
    ] = True
    digits: Annotated[
        int,
        number(
            "Decimals of a coordinate in mm. With ten, what no step touched measures the same to "
            "1e-9 mm in the file, too, where the drawing came in pixels or turned.",
            at_least=3,
            at_most=12,
        ),
    ] = 6
    plan: Annotated[bool, flag("Put the seam plan into the file.")] = True
