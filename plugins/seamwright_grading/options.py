"""What the grading steps may be told. The defaults stand, with their sources, in
data/tolerances.toml."""

from __future__ import annotations

from typing import Annotated, Literal

from seamwright.plugins.api import Length, Options, choice, length, text

Axes = Literal["auto", "reference", "grain", "drawing"]

_AXES = choice(
    "Direction in which the x of a rule counts: auto takes the grade reference line, else the "
    "grain line, else the drawing's x axis."
)


class Grade(Options, frozen=True):
    """Options of grade."""

    axes: Annotated[Axes, _AXES] = "auto"
    existing: Annotated[
        Literal["keep", "replace"],
        choice("What to do with sizes that are drawn already."),
    ] = "keep"


class DeriveRules(Options, frozen=True):
    """Options of derive-rules."""

    axes: Annotated[Axes, _AXES] = "auto"
    points: Annotated[
        Literal["corners", "as needed"],
        choice(
            "Which points get a rule: the corners, or also points and notches between them that "
            "do not follow in proportion."
        ),
    ] = "as needed"
    tolerance: Annotated[
        Length,
        length(
            "How far a point may lie from where the rules put it, and how far two movements may "
            "differ and share a rule.",
            at_least=0.000001,
            at_most=10.0,
        ),
    ] = Length(0.01)
    name: Annotated[str, text("Name of the rule table; by default that of the style.")] = ""


class CheckGrade(Options, frozen=True):
    """Options of check-grade."""

    axes: Annotated[Axes, _AXES] = "auto"
    tolerance: Annotated[
        Length, length("A graded point farther from its rule than this is reported.", at_least=0.0)
    ] = Length(0.5)
    between: Annotated[
        Length,
        length(
            "An outline farther from the graded one than this, between its points, is reported.",
            at_least=0.0,
        ),
    ] = Length(1.5)


class CheckNest(Options, frozen=True):
    """Options of check-nest."""

    ease_step: Annotated[
        Length,
        length("Change of a seam's ease from one size to the next.", at_least=0.0),
    ] = Length(1.5)
    ease_drift: Annotated[
        Length, length("Change of a seam's ease over all sizes.", at_least=0.0)
    ] = Length(3.0)
    sequence: Annotated[
        Length,
        length("How far a length may lie off the sequence of the other sizes.", at_least=0.0),
    ] = Length(1.5)
    against: Annotated[
        Length,
        length(
            "Movement from which a point's direction is held against its neighbours'.", at_least=0.0
        ),
    ] = Length(1.0)
    wander: Annotated[
        Length,
        length("How far a notch may lie off the place that the other sizes give it.", at_least=0.0),
    ] = Length(1.5)
