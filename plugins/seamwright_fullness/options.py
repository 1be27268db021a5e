"""What the fullness steps may be told."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Annotated, Literal

from seamwright.plugins.api import Length, Options, choice, flag, length, number, text


class AddFullness(Options, frozen=True):
    """Options of add-fullness."""

    hinge: Annotated[
        str,
        text('The edge at which the slashes begin, as a run: "Skirt: waist-side > waist-centre".'),
    ]
    opens: Annotated[
        str,
        text('The edge at which they end, begun at the same side: "Skirt: hem-side > hem-centre".'),
    ]
    amount: Annotated[Length, length("How much the opening edge gains.", at_least=0, at_most=3000)]
    at_hinge: Annotated[
        Length,
        length(
            "How much the other edge gains: nothing turns the strips about it, as much as amount "
            "moves them apart in parallel.",
            at_least=0,
            at_most=3000,
        ),
    ] = Length(0.0)
    slashes: Annotated[int, number("How many, equally placed.", at_least=1, at_most=60)] = 3
    each: Annotated[bool, flag("The amounts are for each slash, not for all together.")] = False
    edge: Annotated[
        Literal["smooth", "straight"],
        choice(
            "smooth: an edge that opened is drawn anew in its old shape, through the middles of "
            "the strips. straight: its openings are bridged with straight lines."
        ),
    ] = "smooth"
    gathers: Annotated[
        bool, flag("Mark with two notches on each edge that gained where the fullness lies.")
    ] = False  # fmt: skip

    def check(self) -> Iterable[str]:
        if self.amount <= 0.0 and self.at_hinge <= 0.0:
            yield "nothing would open: give an amount"


class Bust(Options, frozen=True):
    """Options of full-bust and small-bust."""

    point: Annotated[
        str,
        text(
            'The bust point: a drill hole or a dart\'s point "Front: bust", an offset from a mark '
            '"Front: neck (30 mm, -250 mm)", or a place on the drawing "Front: (120 mm, 340 mm)".'
        ),
    ]
    amount: Annotated[
        Length,
        length(
            "How far the sides of the slash from the bust point down come apart (or lie over one "
            "another): on a half piece, half of what the whole bust gains.",
            at_least=1,
            at_most=120,
        ),
    ]
    slash: Annotated[
        str,
        text(
            'Where the slash from the bust point ends and turns: "Front: armhole-notch", or a '
            'place on the shoulder "Front: neck > tip @ 50 %".'
        ),
    ]
    side: Annotated[
        str,
        text(
            'Where the bust dart lies: a place "Front: underarm > hem-side @ 70 mm", or a dart '
            'that is there "Front: dart-1".'
        ),
    ]
    hem: Annotated[
        str,
        text(
            "Where the slash down from the bust point ends. Nothing: along the grain, or straight "
            "down. In the mouth of a waist dart the dart takes up the difference."
        ),
    ] = ""
    level: Annotated[
        str,
        text(
            "Where the centre is cut and moved, so that the hem is level again. Nothing: half way "
            "between bust point and hem."
        ),
    ] = ""
    dart_name: Annotated[str, text("The name of a dart that is new.")] = "bust-dart"
