"""What the smoothing steps may be told."""

from __future__ import annotations

from typing import Annotated

import msgspec

from seamwright.plugins.api import Angle, Length, Options, angle, flag, length, number, text

_RUNS = (
    'Runs as in a plan: ["Sleeve: underarm-back > shoulder"], or names of pieces. Where none is '
    "named: every edge of every piece."
)


class RefitRun(Options, frozen=True):
    """Options of refit-run."""

    run: Annotated[list[str], text(_RUNS)] = msgspec.field(default_factory=list)
    tolerance: Annotated[
        Length,
        length("How far the new line may be from the old one.", at_least=0.005, at_most=5),
    ] = Length(0.1)
    corners_above: Annotated[
        Angle,
        angle("Breaks that turn by more stay sharp.", at_least=1, at_most=90),
    ] = Angle(20.0)
    combs: Annotated[bool, flag("Draw curvature combs before and after in the report.")] = True


class PolylineToCurves(Options, frozen=True):
    """Options of polyline-to-curves."""

    piece: Annotated[list[str], text("Names of pieces; all where none is named.")] = msgspec.field(
        default_factory=list
    )
    tolerance: Annotated[
        Length,
        length(
            "How far the curves may be from the polyline. Too small a figure keeps the polyline's "
            "own corners.",
            at_least=0.005,
            at_most=5,
        ),
    ] = Length(0.1)
    corners_above: Annotated[
        Angle,
        angle("Vertices that turn by more stay sharp.", at_least=1, at_most=90),
    ] = Angle(20.0)
    combs: Annotated[bool, flag("Draw curvature combs of the new curves in the report.")] = True


class CheckSmooth(Options, frozen=True):
    """Options of check-smooth."""

    run: Annotated[list[str], text(_RUNS)] = msgspec.field(default_factory=list)
    inflections: Annotated[
        int,
        number("How often an edge may change its bend from one side to the other.", at_least=0),
    ] = 2
    wave: Annotated[
        Length,
        length(
            "A stretch shorter than this that bends against both its neighbours is a bump.",
            at_least=1,
        ),
    ] = Length(40.0)
    jump: Annotated[
        float,
        number(
            "How much the bend may jump at a joint, in 1/mm: 0.02 is a straight line that runs "
            "into a circle of 50 mm radius.",
            at_least=0.0001,
        ),
    ] = 0.03
    kink: Annotated[
        Angle, angle("Breaks of direction inside an edge that are let pass.", at_least=0.1)
    ] = Angle(2.0)
    combs: Annotated[bool, flag("Draw curvature combs in the report.")] = True
