"""What the dart steps may be told."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Annotated, Literal

from seamwright.plugins.api import Angle, Length, Options, angle, choice, flag, length, number, text

Pressed = Literal["down", "up", "centre", "side", "open"]
Turns = Literal["auto", "before", "after"]

_DART = 'The dart: "Front: dart-1", or the piece alone where it has one dart only.'
_TURNS = (
    "The part that moves: after lies behind the old mouth in outline order (anticlockwise), up to "
    "the new place; before is the rest. auto leaves the side with the fold line or the grain line "
    "where it is."
)


class MarkDarts(Options, frozen=True):
    """Options of mark-darts."""

    largest_angle: Annotated[
        Angle, angle("Lines that meet at a wider angle are no dart.", at_least=1, at_most=120)
    ] = Angle(70.0)
    shortest_leg: Annotated[
        Length, length("Shorter legs are a notch, not a dart.", at_least=5, at_most=500)
    ] = Length(20.0)
    unequal: Annotated[
        float,
        number(
            "Legs are one dart's when the shorter has at least this share of the longer.",
            at_least=0.1,
            at_most=1.0,
        ),
    ] = 0.8
    between: Annotated[
        list[str],
        text(
            'Darts marked by two notches and a drill hole, as "Front: notch-1 > notch-2": the '
            "hole as far from one notch as from the other is the point."
        ),
    ] = []  # noqa: RUF012 - msgspec copies it


class CheckDarts(Options, frozen=True):
    """Options of check-darts."""

    legs: Annotated[Length, length("How much longer one leg may be.", at_least=0)] = Length(0.5)
    widest: Annotated[
        Angle, angle("A wider dart is told: it makes a pointed cone.", at_least=1, at_most=179)
    ] = Angle(35.0)
    kink: Annotated[
        Angle,
        angle(
            "How much the edge may turn across the folded dart. Never told where it exceeds 45 "
            "degrees: that is a corner.",
            at_least=0,
            at_most=45,
        ),
    ] = Angle(5.0)
    pressed: Annotated[
        Literal["not", "down", "up", "centre", "side", "open"],
        choice("How the darts are pressed; then the shape of their mouths is checked too."),
    ] = "not"
    mouth: Annotated[
        Length, length("How far a mouth may be from the shape of the fold.", at_least=0.01)
    ] = Length(1.0)


class TrueDart(Options, frozen=True):
    """Options of true-dart."""

    dart: Annotated[str, text(_DART + " Nothing: every dart.")] = ""
    pressed: Annotated[
        Pressed,
        choice(
            "Where the fold lies: down or up on the drawing, to the centre or the side (from the "
            "fold line of a half piece, or from toward), or open (slashed and pressed apart)."
        ),
    ] = "down"
    toward: Annotated[
        str,
        text('For centre and side: a place on the centre line, as "Front: hem-centre".'),
    ] = ""
    largest_shift: Annotated[
        Length,
        length(
            "How far the point may move beside itself to make the legs equal.",
            at_least=0,
            at_most=50,
        ),
    ] = Length(10.0)


class MoveDart(Options, frozen=True):
    """Options of move-dart."""

    dart: Annotated[str, text(_DART)]
    to: Annotated[str, text('The new place: "Front: underarm > hem @ 60 mm", "Front: notch-2".')]
    turns: Annotated[Turns, choice(_TURNS)] = "auto"


class FoldDart(Options, frozen=True):
    """Options of fold-dart."""

    dart: Annotated[str, text(_DART)]
    open: Annotated[str, text("Where the piece opens while the dart is closed, as for move-dart.")]
    turns: Annotated[Turns, choice(_TURNS)] = "auto"


class SplitDart(Options, frozen=True):
    """Options of split-dart."""

    dart: Annotated[str, text(_DART)]
    to: Annotated[str, text('Where the second dart opens: "Front: underarm > hem @ 60 mm".')]
    share: Annotated[
        float, number("The part of the angle that goes there.", at_least=0.01, at_most=0.99)
    ] = 0.5
    name: Annotated[str, text("The second dart's name.")] = ""
    turns: Annotated[Turns, choice(_TURNS)] = "auto"


class MergeDarts(Options, frozen=True):
    """Options of merge-darts."""

    dart: Annotated[str, text("The dart that closes: " + _DART[10:])]
    into: Annotated[str, text("The dart that grows by it; both have one point.")]
    turns: Annotated[Turns, choice(_TURNS)] = "auto"


class ShiftPoint(Options, frozen=True):
    """Options of shift-dart-point."""

    dart: Annotated[str, text(_DART)]
    back: Annotated[
        Length | None,
        length("Towards the mouth, along the dart's middle; below 0 lengthens the dart.",
               at_least=-500, at_most=500),
    ] = None  # fmt: skip
    to: Annotated[
        str,
        text(
            'Or to a place: a drill hole "Front: bust", an offset from a mark '
            '"Front: neck (30 mm, -250 mm)", or a place on the drawing "Front: (120 mm, 340 mm)".'
        ),
    ] = ""

    def check(self) -> Iterable[str]:
        if (self.back is None) == (not self.to):
            yield "give either back or to"


class DartToEase(Options, frozen=True):
    """Options of dart-to-ease."""

    dart: Annotated[str, text(_DART)]
    reach: Annotated[
        Length,
        length("How far beyond the mouth, to both sides, the fullness is spread.", at_least=0),
    ] = Length(30.0)
    smooth: Annotated[bool, flag("Redraw the edge between the two notches as one curve.")] = True
    most: Annotated[
        float,
        number(
            "More ease than this share of the finished length is told.", at_least=0, at_most=10
        ),
    ] = 0.1  # fmt: skip


class CutDarts(Options, frozen=True):
    """Options of cut-darts."""

    dart: Annotated[str, text(_DART + " Nothing: every dart.")] = ""
