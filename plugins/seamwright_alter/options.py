"""What the alterations may be told."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Annotated, Literal

import msgspec

from seamwright.plugins.api import Length, Options, choice, length, number, text


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


class AlterArmhole(Options, frozen=True):
    """Options of alter-armhole."""

    amount: Annotated[
        Length,
        length(
            "How much lower the underarm point of front and back lies, along the side seam; "
            "negative lifts it.",
            at_least=-100,
            at_most=150,
        ),
    ]
    sleeve: Annotated[
        Literal["follows", "left"],
        choice(
            "follows: the sleeve's underarm points are moved by the same amount, and its cap is "
            "drawn so that each half keeps its ease. left: the sleeve stays as it is."
        ),
    ] = "follows"

    def check(self) -> Iterable[str]:
        if not self.amount:
            yield "an amount of 0 alters nothing"


class AlterShoulderSlope(Options, frozen=True):
    """Options of alter-shoulder-slope."""

    amount: Annotated[
        Length,
        length(
            "How much lower the shoulder point lies on front and back (sloping shoulders); "
            "negative lifts it (square shoulders).",
            at_least=-60,
            at_most=60,
        ),
    ]
    armhole: Annotated[
        Literal["length kept", "shoulder only"],
        choice(
            "length kept: the underarm points move along the side seams, alike on front and back, "
            "until the armhole is as long as it was. shoulder only: they stay, and the armhole "
            "becomes shorter or longer."
        ),
    ] = "length kept"

    def check(self) -> Iterable[str]:
        if not self.amount:
            yield "an amount of 0 alters nothing"


class AlterBack(Options, frozen=True):
    """Options of alter-back."""

    amount: Annotated[
        Length,
        length(
            "How much broader the back becomes, square to the grain: on a half piece half of what "
            "the whole back gains; negative makes it narrower.",
            at_least=-50,
            at_most=50,
        ),
    ]
    shoulder: Annotated[
        Literal["changes", "kept"],
        choice(
            "changes: the shoulder point moves along the shoulder seam, which becomes longer "
            "(eased into the front's, or taken up by a dart). kept: only the armhole between "
            "shoulder and underarm moves, for small amounts."
        ),
    ] = "changes"
    level: Annotated[
        float,
        number(
            "From where the whole amount is reached (or, with the shoulder kept, where it is "
            "reached): a share of the armhole's height above the underarm point.",
            at_least=0.2,
            at_most=0.8,
        ),
    ] = 0.5

    def check(self) -> Iterable[str]:
        if not self.amount:
            yield "an amount of 0 alters nothing"


class MoveSeam(Options, frozen=True):
    """Options of move-seam."""

    seam: Annotated[str, text('The seam, by its name in the plan: "side".')]
    width: Annotated[
        Length,
        length(
            "How wide a strip goes from the piece of the seam's `to` side to the piece of its "
            "`sew` side, where the seam begins, measured along the edge there; negative: the "
            "other way.",
            at_least=-200,
            at_most=200,
        ),
    ]
    end_width: Annotated[
        Length | None,
        length(
            "How wide the strip is where the seam ends. Nothing: as wide as where it begins.",
            at_least=-200,
            at_most=200,
        ),
    ] = None

    def check(self) -> Iterable[str]:
        end = self.width if self.end_width is None else self.end_width
        if not self.width and not end:
            yield "a width of 0 moves nothing"
        if self.width * end < 0.0:
            yield "the strip cannot go to one piece at its start and to the other at its end"
