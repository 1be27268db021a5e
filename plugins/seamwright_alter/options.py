"""What the alterations may be told."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Annotated, Literal

from seamwright.plugins.api import Length, Options, choice, length


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
