"""What the alterations may be told."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Annotated, Literal

import msgspec

from seamwright.plugins.api import Length, Options, choice, length, text


class AlterBicep(Options, frozen=True):
    """Options of alter-bicep."""

    amount: Annotated[
        Length,
        length(
            "How much wider the sleeve becomes at the bicep line; negative makes it narrower.",
            at_least=-150,
            at_most=150,
        ),
    ]
    keep: Annotated[
        Literal["cap height", "cap length"],
        choice(
            "cap height: the cap stays as high as it is, and its edge grows with the width. cap "
            "length: each half of the cap's edge stays as long as it is, and the cap becomes lower."
        ),
    ] = "cap height"
    wrist: Annotated[
        Literal["kept", "widened"],
        choice(
            "kept: the underarm seams are turned about the wrist. widened: the whole sleeve "
            "becomes wider by the amount, down to the wrist."
        ),
    ] = "kept"

    def check(self) -> Iterable[str]:
        if not self.amount:
            yield "an amount of 0 alters nothing"


class AlterCapHeight(Options, frozen=True):
    """Options of alter-cap-height."""

    amount: Annotated[
        Length,
        length(
            "How much higher the cap becomes; negative makes it lower.", at_least=-120, at_most=120
        ),
    ]

    def check(self) -> Iterable[str]:
        if not self.amount:
            yield "an amount of 0 alters nothing"


class Lengthen(Options, frozen=True):
    """Options of lengthen."""

    at: Annotated[
        list[str],
        text(
            "Where the line begins, one place for each piece that is altered: "
            '["Front: underarm > hem-side @ 60 %", "Back: underarm > hem-side @ 60 %"].'
        ),
    ]
    amount: Annotated[
        Length,
        length(
            "How much longer the pieces become; negative makes them shorter.",
            at_least=-1000,
            at_most=1000,
        ),
    ]
    to: Annotated[
        list[str],
        text(
            "Where the lines end, in the same order. Nothing: they run square to the grain to the "
            "other side of the piece."
        ),
    ] = msgspec.field(default_factory=list)
    edges: Annotated[
        Literal["whole edge", "near the line"],
        choice(
            "whole edge: an edge that the line crosses is drawn anew from corner to corner, so "
            "straight edges stay straight. near the line: it is blended within a distance, and "
            "beyond that its shape is as it was."
        ),
    ] = "whole edge"
    within: Annotated[
        Length,
        length(
            "How far from the line edges may change, on each side, with near the line.",
            at_least=5,
            at_most=500,
        ),
    ] = Length(60.0)
    moves: Annotated[
        Literal["smaller part", "larger part"],
        choice("The part of the piece that is moved; the other one stays where it is."),
    ] = "smaller part"

    def check(self) -> Iterable[str]:
        if not self.amount:
            yield "an amount of 0 alters nothing"
        if not self.at:
            yield "no place is named"
        if self.to and len(self.to) != len(self.at):
            yield f"{len(self.to)} ends for {len(self.at)} lines"
