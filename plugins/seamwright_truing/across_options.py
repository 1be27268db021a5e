"""What check-true and true-seams may be told."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Annotated

import msgspec

from seamwright.plugins.api import Angle, Length, Options, angle, flag, length, text


class EndOptions(Options, frozen=True):
    """Which ends of seams are looked at."""

    ends: Annotated[
        list[str],
        text(
            'Ends that are judged whatever lies there, written "seam: mark" ("side: underarm"), '
            '"Piece: mark" for the end of a fold or "Piece: dart" for a dart.'
        ),
    ] = msgspec.field(default_factory=list)
    except_ends: Annotated[
        list[str], text("Ends that are not judged: a point is meant there. Written as in ends.")
    ] = msgspec.field(default_factory=list)
    four_seams: Annotated[
        bool,
        flag("Judge also places where four seams meet, as under the arm."),
    ] = False
    kink: Annotated[
        Angle | None,
        angle(
            "A smaller point or hollow is let pass. Otherwise the figure of the data file.",
            at_least=0.1,
            at_most=60,
        ),
    ] = None
    corners_above: Annotated[
        Angle,
        angle("A larger point or hollow is a corner and meant to be there.", at_least=10,
              at_most=170),
    ] = Angle(45.0)  # fmt: skip

    def check(self) -> Iterable[str]:
        if self.kink is not None and self.kink >= self.corners_above:
            yield "kink is not below corners-above, so nothing could be a kink"
        for name in {*self.ends} & {*self.except_ends}:
            yield f'"{name}" stands in ends and in except-ends'


class CheckTrue(EndOptions, frozen=True):
    """Options of check-true."""

    step: Annotated[
        Length | None,
        length(
            "A smaller step between the two edges is let pass. Otherwise the figure of the data "
            "file.",
            at_least=0.01,
        ),
    ] = None


class TrueSeams(EndOptions, frozen=True):
    """Options of true-seams."""

    within: Annotated[
        Length,
        length(
            "How much of the crossing line may change on each side of the seam. Never more than "
            "90 % of the edge, or 45 % where its other end is trued as well.",
            at_least=3,
            at_most=300,
        ),
    ] = Length(60.0)
