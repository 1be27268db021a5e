"""What the allowance steps may be told."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Annotated, Literal

import msgspec

from seamwright.plugins.api import Length, Options, choice, length, number, text

Style = Literal["mitre", "blunt", "square", "fold"]


class Corner(Options, frozen=True):
    """How one corner is finished."""

    style: Annotated[Style, choice("mitre, blunt, square or fold.")]
    first: Annotated[
        str,
        text(
            "For square: the edge that is sewn first. For fold: the edge that is turned. An edge "
            'that begins or ends at the corner, as "hem > side".'
        ),
    ] = ""

    def check(self) -> Iterable[str]:
        if self.style in ("square", "fold") and not self.first:
            yield f"{self.style} needs first: the edge that is sewn or turned"


class AddAllowance(Options, frozen=True):
    """Options of add-allowance."""

    width: Annotated[
        Length, length("Allowance of every edge that is not named.", at_least=0, at_most=150)
    ] = Length(10.0)
    edges: Annotated[
        dict[str, Length],
        text(
            'Allowances of single edges or runs of them: "Front: side > hem" = "3 cm". A piece '
            'alone ("Collar") means all its edges; a later line overrides an earlier one.'
        ),
    ] = msgspec.field(default_factory=dict)
    corners: Annotated[
        Style,
        choice(
            "How corners are finished that are not named. mitre: both cut lines run on until they "
            "meet, blunted beyond the limit. blunt: cut off square to the corner's middle. square "
            "and fold need an edge, so they are given for single corners."
        ),
    ] = "mitre"
    corner: Annotated[
        dict[str, Corner],
        text('Single corners: "Front: hem-side" = { style = "fold", first = "hem-side > hem" }.'),
    ] = msgspec.field(default_factory=dict)
    limit: Annotated[
        float,
        number(
            "How far a mitre may reach from the corner, and where a blunt one is cut: times the "
            "wider allowance.",
            at_least=1.0,
            at_most=10.0,
        ),
    ] = 2.0

    def check(self) -> Iterable[str]:
        if self.corners in ("square", "fold"):
            yield f'corners = "{self.corners}" needs an edge: give it for single corners'
        for name, width in self.edges.items():
            if not 0.0 <= width <= 150.0:
                yield f'edges: "{name}" is to get {width:g} mm; 0 to 150 mm can be given'


class SeamLine(Options, frozen=True):
    """Options of seam-line."""

    width: Annotated[
        Length | None,
        length("Allowance that the cut line holds at every edge not named.", at_least=0),
    ] = None
    edges: Annotated[
        dict[str, Length],
        text(
            'Allowances of single edges or runs of them: "Front: side > hem" = "3 cm". Without '
            "a width every edge must be named."
        ),
    ] = msgspec.field(default_factory=dict)
    bevels: Annotated[
        list[str],
        text(
            "Short edges that only cut a corner off, as runs: the seam line's corner lies where "
            "their neighbours meet."
        ),
    ] = msgspec.field(default_factory=list)

    def check(self) -> Iterable[str]:
        if self.width is None and not self.edges:
            yield "give a width, or edges: the allowance of a cut line is never guessed"


class CheckAllowance(Options, frozen=True):
    """Options of check-allowance."""

    tolerance: Annotated[
        Length,
        length("How far the cut line may be from where its allowance puts it.", at_least=0.01),
    ] = Length(0.5)


class CarryNotches(Options, frozen=True):
    """Options of carry-notches."""

    to: Annotated[
        Literal["cut line", "seam line"],
        choice("The line on which notches are wanted: the cut line for cutting, or back."),
    ] = "cut line"
    depth: Annotated[
        Length | None,
        length("How deep they are cut. Nothing: as deep as they are.", at_least=0.5, at_most=50),
    ] = None
