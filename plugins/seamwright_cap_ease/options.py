"""What the step ease-cap may be told."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Annotated, Literal

import msgspec

from seamwright.plugins.api import Length, Options, choice, flag, length, number, text

HALVES = ("back", "front")


class Halves(Options, frozen=True):
    """Ease wanted in each half of the cap."""

    back: Annotated[Length | None, length("Ease wanted in the back.", at_least=0)] = None
    front: Annotated[Length | None, length("Ease wanted in the front.", at_least=0)] = None


class Holds(Options, frozen=True):
    """How much ease one half may hold."""

    at_most: Annotated[Length, length("The most that the cloth takes in.", at_least=0)]
    at_least: Annotated[Length | None, length("The least that the sleeve wants.", at_least=0)] = (
        None
    )

    def check(self) -> Iterable[str]:
        if self.at_least is not None and self.at_least > self.at_most:
            yield "at-least is above at-most"


class OwnCloth(Options, frozen=True):
    """A row of the user's own for the cloth table."""

    back: Annotated[Holds, text("What the back half may hold.")]
    front: Annotated[Holds, text("What the front half may hold.")]
    source: Annotated[str, text("Where the figures come from.")] = "given by the user"


class EaseCap(Options, frozen=True):
    """Options of ease-cap."""

    cloth: Annotated[
        str,
        text(
            "What the sleeve is sewn in, by its name in the cloth table (seamwright ease "
            "--list-cloths prints it). Each half that holds more than this cloth takes is brought "
            "to what it takes. Without cloth and target the plan's range of each seam counts."
        ),
    ] = ""
    cloths: Annotated[
        dict[str, OwnCloth],
        text(
            "Cloths of your own, beside the table that ships: name = { back = { at-most = ... }, "
            "front = { at-most = ... }, source = ... }."
        ),
    ] = msgspec.field(default_factory=dict)
    target: Annotated[
        dict[str, Length | Halves],
        text(
            "Ease wanted, instead of a cloth's: { back = ..., front = ... }. For single sizes as "
            'well, by their names: { back = ..., front = ..., "10" = { back = ... } }.'
        ),
    ] = msgspec.field(default_factory=dict)
    from_shoulder: Annotated[
        Length,
        length(
            "Where the tucks sit: from the shoulder point down the cap, along its edge, to the "
            "middle of them. 2 to 2 1/2 in (51 to 64 mm) is usual.",
            at_least=10,
            at_most=250,
        ),
    ] = Length(57.15)
    largest_tuck: Annotated[
        Length,
        length(
            "Widest tuck at the edge; where one would be wider, several are folded. 3/16 in is "
            "usual, 1/8 in cautious.",
            at_least=0.5,
            at_most=8,
        ),
    ] = Length(4.7625)
    manner: Annotated[
        Literal["tuck", "slash"],
        choice(
            "tuck: folds that go to nothing inside. slash: cuts from the edge to a hinge in the "
            "middle of the cap, overlapped at the edge."
        ),
    ] = "tuck"
    depth: Annotated[
        Length | None,
        length(
            "How far inside a tuck goes to nothing. 60 mm where nothing is said, and less where "
            "the cap is too low or too narrow for that; it hardly matters to the shape.",
            at_least=15,
            at_most=200,
        ),
    ] = None
    hinge_below: Annotated[
        Length | None,
        length(
            "For slash: how far below the shoulder point the hinges lie, square to the bicep "
            "line. The middle of the cap's height where nothing is said.",
            at_least=15,
            at_most=250,
        ),
    ] = None
    hinge_apart: Annotated[
        Length,
        length(
            "For slash: how far the hinges of neighbouring cuts lie apart.", at_least=2, at_most=60
        ),
    ] = Length(8.0)
    apart: Annotated[
        Length,
        length("Least distance along the edge between neighbouring tucks.", at_least=5, at_most=60),
    ] = Length(15.0)
    hold_below_notches: Annotated[
        bool,
        flag(
            "Keep the underarm curve below the notches where it is, and fold above them only. "
            "Ease belongs above the notches."
        ),
    ] = True
    if_short: Annotated[
        Literal["refuse", "do what it can"],
        choice(
            "What to do where folding alone cannot reach the target: leave the size as it is, or "
            "fold as much as may be."
        ),
    ] = "refuse"
    model: Annotated[
        Literal["sheet", "rod"],
        choice(
            "How the flattened cap is worked out. sheet: as paper is pressed flat, edge lengths "
            "held. rod: the edge alone as a springy line that cannot stretch; lighter, and used "
            "by itself where a sheet cannot be pressed (a finding says so)."
        ),
    ] = "sheet"
    compression: Annotated[
        float,
        number(
            "For sheet: how stiff the paper is against being pushed together, stretching being 1. "
            "Paper wrinkles willingly.",
            at_least=0.01,
            at_most=1,
        ),
    ] = 0.1
    mesh: Annotated[
        Length, length("For sheet: size of the triangles.", at_least=1.5, at_most=12)
    ] = Length(4.0)

    def check(self) -> Iterable[str]:
        if self.cloth and self.target:
            yield "give a cloth or a target, not both"
        if self.cloths and not self.cloth:
            yield "cloths are given but none is named: name one as cloth"
        for name, wanted in self.target.items():
            if not isinstance(wanted, Halves):
                if name not in HALVES:
                    yield (
                        f'target: "{name}" is not back or front; a single size is written as '
                        f'"{name}" = {{ back = ..., front = ... }}'
                    )
                elif wanted < 0:
                    yield f"target: ease in the {name} cannot be wanted below 0"
            elif wanted.back is None and wanted.front is None:
                yield f'target: size "{name}" has neither back nor front'
        if self.cloth:
            yield from self._cloth_known()

    def _cloth_known(self) -> Iterable[str]:
        from seamwright.findings import SeamwrightError  # noqa: PLC0415 - light module
        from seamwright.paper import find_cloth  # noqa: PLC0415 - only when a cloth is named

        wanted = " ".join(self.cloth.casefold().split())
        if any(" ".join(own.casefold().split()) == wanted for own in self.cloths):
            return
        try:
            find_cloth(self.cloth)
        except SeamwrightError as unknown:
            yield f"{unknown.finding.message}: {unknown.finding.hint}"
