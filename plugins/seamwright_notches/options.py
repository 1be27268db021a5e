"""What the notch steps may be told."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Annotated, Literal

import msgspec

from seamwright.plugins.api import Length, Options, choice, flag, length, text

TypeName = Literal["slit", "v", "t", "castle", "check", "u"]


class PlaceNotch(Options, frozen=True):
    """Options of place-notch."""

    at: Annotated[
        list[str],
        text(
            'Places of single notches (the front): "Front: underarm > shoulder @ 60 mm", '
            '"Front: underarm > shoulder @ 33 %", "Front: shoulder + 40 mm", or a mark.'
        ),
    ] = msgspec.field(default_factory=list)
    double: Annotated[list[str], text("Places of double notches (the back), written as in at.")] = (
        msgspec.field(default_factory=list)
    )
    apart: Annotated[
        Length, length("How far the two of a double notch are apart.", at_least=1, at_most=50)
    ] = Length(6.0)
    name: Annotated[
        str,
        text("What the notches are called; several get a number behind it."),
    ] = "notch"
    type: Annotated[TypeName, choice("Shape of the notches.")] = "slit"
    depth: Annotated[
        Length | None, length("How deep they are cut, from their line.", at_least=0.5, at_most=50)
    ] = None
    width: Annotated[
        Length | None, length("How wide they are, where the shape has a width.", at_least=0.5,
                              at_most=50)
    ] = None  # fmt: skip

    def check(self) -> Iterable[str]:
        if not self.at and not self.double:
            yield "name a place: at, or double for a double notch"
        if not self.name.strip():
            yield "a notch needs a name"


class MatchNotches(Options, frozen=True):
    """Options of match-notches."""

    seam: Annotated[list[str], text("Names of seams; all of the plan where none is named.")] = (
        msgspec.field(default_factory=list)
    )
    source: Annotated[
        Literal["sew", "to"], choice("The side whose notches stay and are carried to the other.")
    ] = "to"
    notch: Annotated[
        list[str], text("Only these notches of that side; all on the seam where none is named.")
    ] = msgspec.field(default_factory=list)
    plain_to: Annotated[
        list[str],
        text(
            "Notches of that side up to which, from the seam's beginning, no ease lies (the "
            "underarm of a sleeve): the ease is spread evenly over what lies behind."
        ),
    ] = msgspec.field(default_factory=list)
    ease: Annotated[
        dict[str, Length],
        text(
            'How much ease lies between the seam\'s beginning and a notch: { front = "3 mm" }. '
            "Notches that are not named get their share of what is left on either side."
        ),
    ] = msgspec.field(default_factory=dict)
    move: Annotated[
        bool, flag("Move the partners of pairs that the plan knows; otherwise they stay.")
    ] = True
    create: Annotated[
        bool, flag("Make partners that are not there; otherwise only pairs of the plan are moved.")
    ] = True

    def check(self) -> Iterable[str]:
        if not self.move and not self.create:
            yield "neither move nor create: nothing would be done"


class RemoveNotches(Options, frozen=True):
    """Options of remove-notches."""

    notch: Annotated[
        list[str], text('Notches to take away: "Front: notch-2", or "Front" for all of a piece.')
    ] = msgspec.field(default_factory=list)

    def check(self) -> Iterable[str]:
        if not self.notch:
            yield "name the notches that are to go"


class RenameNotches(Options, frozen=True):
    """Options of rename-notches."""

    names: Annotated[dict[str, str], text('New names: { "Front: notch-2" = "waist" }.')] = (
        msgspec.field(default_factory=dict)
    )
    number: Annotated[
        list[str],
        text(
            'Pieces whose notches are counted anew, "notch-1" and so on in outline order from '
            'corner 1; "*" for all. Names that are given stay where keep-names is set.'
        ),
    ] = msgspec.field(default_factory=list)
    keep_names: Annotated[
        bool, flag("Count only notches that bear a number, and leave proper names.")
    ] = True

    def check(self) -> Iterable[str]:
        if not self.names and not self.number:
            yield "give names, or pieces to number"
        for old, new in self.names.items():
            if not new.strip():
                yield f'"{old}" would get an empty name'
