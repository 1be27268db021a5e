"""What the HP-GL reader and writer may be told."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Annotated, Literal

from seamwright.plugins.api import DrawingIn, Length, Options, choice, flag, length, number, text

from .devices import DEVICES

ROLES = ("cut", "seam", "notch", "grain", "inside", "cutout", "hole", "text")
"""What a pen can be given to, by name."""


class HpglIn(DrawingIn, frozen=True):
    """Reading a plot."""

    unit: Annotated[
        Length,
        length("Length of a plotter unit: 0.025 mm, or 0.0254 mm (a thousandth of an inch).",
               at_least=0.0001, at_most=25.4),
    ] = Length(0.025)  # fmt: skip
    pens: Annotated[
        Mapping[str, str],
        text('What each pen draws: {1 = "seam line", 2 = "cut line"}, or sizes: {1 = "Size 10"}.'),
    ] = {}

    def check(self) -> Iterable[str]:
        for pen in self.pens:
            if not pen.isdigit():
                yield f'"{pen}" is no pen: pens are numbers'


class HpglOut(Options, frozen=True):
    """Writing a plot."""

    device: Annotated[
        Literal["roll", "16-bit", "centred"],
        choice(
            "What plots: a roll plotter of today, origin in a corner (roll); an older device that "
            "knows coordinates up to 32767 only (16-bit); a large one with its origin in the "
            "middle of the sheet (centred)."
        ),
    ] = "roll"
    unit: Annotated[
        Length | None,
        length("Length of a plotter unit; the device's own by default (0.025 mm).",
               at_least=0.001, at_most=1),
    ] = None  # fmt: skip
    origin: Annotated[
        Literal["device", "corner", "centre"],
        choice("Where 0, 0 lies on the sheet; as the device has it by default."),
    ] = "device"
    width: Annotated[
        Length | None,
        length("Width of the roll or sheet that can be drawn on; not checked without it.",
               at_least=50, at_most=20_000),
    ] = None  # fmt: skip
    advance: Annotated[
        Length | None,
        length(
            "Longest stretch plotted in one go: the job is split between pieces, and the paper is "
            "moved on.", at_least=100, at_most=100_000,
        ),
    ] = None  # fmt: skip
    margin: Annotated[
        Length, length("Distance of the plot from the origin's corner.", at_least=0, at_most=500)
    ] = Length(5.0)  # fmt: skip
    language: Annotated[
        Literal["hpgl", "hpgl2"],
        choice("Plain HP-GL, or HP-GL/2 with its entry sequence and the plot's length."),
    ] = "hpgl"
    curves: Annotated[
        Literal["chords", "bezier"],
        choice("Curves as chords within the tolerance, or as Bezier curves (HP-GL/2 only)."),
    ] = "chords"
    tolerance: Annotated[
        Length,
        length(
            "How far the plot may lie from the pattern: chords and rounding to plotter units "
            "together.", at_least=0.001, at_most=5,
        ),
    ] = Length(0.05)  # fmt: skip
    pens: Annotated[
        Mapping[str, int],
        text(
            "The pen of each kind of line: cut, seam, notch, grain, inside, cutout, hole, text; 0 "
            "leaves it out. By default 2 cuts (cut lines, cut-outs) and 1 draws the rest."
        ),
    ] = {}
    sizes: Annotated[tuple[str, ...], text("Sizes to plot; all by default.")] = ()
    labels: Annotated[bool, flag("Write names, sizes and texts into the pieces.")] = True
    sort: Annotated[bool, flag("Draw lines in an order that wastes little travel.")] = True
    pairs: Annotated[
        int,
        number("Most coordinate pairs in one command; small buffers overflow beyond 50.",
               at_least=1, at_most=10_000),
    ] = 50  # fmt: skip
    layout: Annotated[
        Literal["auto", "keep", "rows", "pack"],
        choice(
            'Where the pieces lie: as in the pattern ("keep"), laid side by side across the roll '
            '("rows"), as in the pattern unless they lie over each other or do not fit ("auto"), '
            'or turned along the roll and laid together for a short plot ("pack").'
        ),
    ] = "auto"

    def check(self) -> Iterable[str]:
        for role, pen in self.pens.items():
            if role not in ROLES:
                yield f'"{role}" is no kind of line: {", ".join(ROLES)}'
            if not 0 <= pen <= 255:
                yield f"pen {pen} is none: 0 to 255"
        if self.curves == "bezier" and self.language != "hpgl2":
            yield 'curves = "bezier" needs language = "hpgl2"'
        unit = float(self.unit or DEVICES[self.device].unit)
        if float(self.tolerance) < unit:
            yield (
                f"a unit of {unit:g} mm rounds by up to {unit * 0.7072:.2g} mm: a tolerance of "
                f"{float(self.tolerance):g} mm cannot be kept"
            )
