"""What the steps of this plugin may be told."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Annotated

import msgspec

from seamwright.plugins.api import Angle, Length, Options, angle, flag, length, text


class TrueJog(Options, frozen=True):
    """Options of true-jog."""

    run: Annotated[
        list[str],
        text(
            'Runs to true, written as in a plan: ["Sleeve: underarm-back > shoulder"]. Where none '
            "is named: the sleeve caps of the plan, or without a cap every run of its seams."
        ),
    ] = msgspec.field(default_factory=list)
    at: Annotated[
        list[Length],
        length(
            "Places along the one run named, from its start, near which to look, even for slight "
            "kinks. Everywhere where nothing is said.",
            at_least=0,
        ),
    ] = msgspec.field(default_factory=list)
    within: Annotated[
        Length,
        length("How much of the line on each side of a kink may change.", at_least=3, at_most=300),
    ] = Length(25.0)
    keep_length: Annotated[
        bool,
        flag(
            "Keep the run's length, so that its ease stays what it is; the line must then bulge to "
            "make room for the width of a jog. Otherwise the line becomes as long as is smoothest, "
            "and a finding says by how much."
        ),
    ] = False
    sharper_than: Annotated[
        Angle,
        angle("Kinks that turn by less are left alone.", at_least=0.5, at_most=60),
    ] = Angle(5.0)
    corners_above: Annotated[
        Angle,
        angle("Breaks that turn by more are corners and meant to be there.", at_least=10,
              at_most=170),
    ] = Angle(45.0)  # fmt: skip
    longest_step: Annotated[
        Length,
        length("Two opposite breaks nearer together than this are one jog.", at_least=0.1,
               at_most=60),
    ] = Length(10.0)  # fmt: skip

    def check(self) -> Iterable[str]:
        if self.at and len(self.run) != 1:
            yield "at counts along one run: name it, and only it, as run"
        if self.sharper_than >= self.corners_above:
            yield "sharper-than is not below corners-above, so nothing could be a kink"
        for run in self.run:
            yield from _not_a_run(run)


def _not_a_run(run: str) -> Iterable[str]:
    from seamwright.plan.grammar import parse_part  # noqa: PLC0415 - keeps this module light

    try:
        parse_part(run)
    except ValueError as error:
        yield str(error)
