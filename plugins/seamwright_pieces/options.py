"""What the steps on whole pieces may be told."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Annotated, Literal

import msgspec

from seamwright.plugins.api import Angle, Length, Options, angle, choice, flag, length, number, text


class SplitPiece(Options, frozen=True):
    """Options of split-piece."""

    start: Annotated[
        str, text('Where the line begins: "Front: shoulder @ 50 %", "Front: hem + 40 mm", a mark.')
    ] = ""
    end: Annotated[str, text("Where the line ends, on the same piece. It is straight.")] = ""
    line: Annotated[
        str,
        text('Instead of two places: a line drawn inside the piece, by its name: "Front: yoke".'),
    ] = ""
    names: Annotated[
        dict[str, str],
        text(
            'Names of the new pieces, each with a corner or notch that lies on it: "Yoke" = '
            '"shoulder". A piece that is not named has the old name and 1 (on the left of the way '
            "from start to end) or 2."
        ),
    ] = msgspec.field(default_factory=dict)
    notches: Annotated[
        list[str],
        text('Notches on both new edges, from the line\'s start: "50 %", "4 cm".'),
    ] = msgspec.field(default_factory=lambda: ["50 %"])
    allowance: Annotated[
        Length,
        length(
            "Seam allowance of the new edges, where the piece has allowances.",
            at_least=0,
            at_most=150,
        ),
    ] = Length(10.0)
    seam: Annotated[
        str, text("Name of the new seam in the plan; else it is made of the pieces' names.")
    ] = ""

    def check(self) -> Iterable[str]:
        if bool(self.line) == bool(self.start or self.end):
            yield "give start and end, or line"
        elif not self.line and not (self.start and self.end):
            yield "a line from start to end needs both"
        if len(self.names) > 2:
            yield f"a piece is split in two: {len(self.names)} names are too many"


class MakeWhole(Options, frozen=True):
    """Options of make-whole."""

    fold: Annotated[
        str,
        text(
            'An edge to unfold at, as a run: "Front: neck-centre > hem-centre". Without it every '
            "piece that is half a piece is unfolded at the fold line drawn on its edge."
        ),
    ] = ""


class FoldInHalf(Options, frozen=True):
    """Options of fold-in-half."""

    start: Annotated[
        str,
        text(
            'Where the fold begins: "Front: neck-centre". Without start and end every whole piece '
            "with a fold line from edge to edge is folded there."
        ),
    ] = ""
    end: Annotated[str, text("Where the fold ends, on the same piece.")] = ""
    keep: Annotated[
        str,
        text(
            'A place on the half that stays: "Front: shoulder". Else the half whose marks are not '
            'named "-mirrored", or the one with the first corner.'
        ),
    ] = ""
    tolerance: Annotated[
        Length, length("How far the halves may differ.", at_least=1e-6, at_most=5)
    ] = Length(0.1)

    def check(self) -> Iterable[str]:
        if bool(self.start) != bool(self.end):
            yield "a fold from start to end needs both"


class ScalePiece(Options, frozen=True):
    """Options of scale-piece."""

    along: Annotated[float, number("Factor along the grain line.", at_least=0.05, at_most=20.0)] = (
        1.0
    )
    across: Annotated[
        float, number("Factor across the grain line.", at_least=0.05, at_most=20.0)
    ] = 1.0


class Shrinkage(Options, frozen=True):
    """Options of shrinkage."""

    along: Annotated[
        float,
        number(
            "How much the cloth shrinks along the grain, in per cent of its length before; "
            "negative where it grows.",
            at_least=-30.0,
            at_most=30.0,
        ),
    ] = 0.0
    across: Annotated[
        float,
        number("How much it shrinks across the grain, in per cent.", at_least=-30.0, at_most=30.0),
    ] = 0.0


class MirrorPiece(Options, frozen=True):
    """Options of mirror-piece."""

    axis: Annotated[
        Literal["grain", "across-grain", "fold", "vertical", "horizontal"],
        choice(
            "What the piece is turned over about: its grain line, a line square to it, its fold "
            "line, or a vertical or horizontal line through its middle."
        ),
    ] = "grain"
    copy: Annotated[
        str,
        text(
            'Name of a mirrored copy beside the piece, as "{piece} left"; without it the piece '
            "itself is turned over."
        ),
    ] = ""


class TurnToGrain(Options, frozen=True):
    """Options of turn-to-grain."""

    grain: Annotated[Literal["vertical", "horizontal"], choice("How the grain line is to lie.")] = (
        "vertical"
    )
    angle: Annotated[
        Angle | None,
        angle("Another direction, from the right anticlockwise.", at_least=-360, at_most=360),
    ] = None
    arrow: Annotated[
        bool,
        flag(
            "The grain line's end is to point there (a napped cloth); else a piece is turned by "
            "the smaller angle, and its grain may run either way."
        ),
    ] = False


class JoinPieces(Options, frozen=True):
    """Options of join-pieces."""

    edge: Annotated[
        str, text('The edge of the piece that stays, as a run: "Front: neck > shoulder".')
    ]
    to: Annotated[
        str,
        text("The edge of the piece that is moved, from the end that meets the first one's start."),
    ]
    name: Annotated[str, text("Name of the joined piece; else both names.")] = ""
    turn_over: Annotated[
        bool, flag("Turn the second piece over first: it was drawn for the other side.")
    ] = False
    draw: Annotated[
        str, text("Name of a line inside that is drawn where the pieces were joined; else none.")
    ] = ""
    tolerance: Annotated[
        Length,
        length(
            "How far the edges may differ in length, and lie apart when laid on one another.",
            at_least=1e-6,
            at_most=5,
        ),
    ] = Length(0.5)


class DrawFacing(Options, frozen=True):
    """Options of draw-facing."""

    edge: Annotated[str, text('The edge to be faced, as a run: "Back: nape > neck".')]
    depth: Annotated[Length, length("How deep the facing is.", at_least=5, at_most=400)] = Length(
        60.0
    )
    name: Annotated[str, text("Name of the facing; else the piece's name and facing.")] = ""
    material: Annotated[str, text("Its cloth; else the piece's.")] = ""
    inner_allowance: Annotated[
        Length,
        length(
            "Allowance of the inner edge, where the piece has allowances; 0 for an edge that is "
            "overcast.",
            at_least=0,
            at_most=50,
        ),
    ] = Length(0.0)
    seam: Annotated[str, text("Name of the seam in the plan; else it is made of the names.")] = ""


class DrawHem(Options, frozen=True):
    """Options of draw-hem."""

    edge: Annotated[str, text('The edge at which it is folded: "Skirt: hem-side > hem-centre".')]
    depth: Annotated[Length, length("How deep the hem is.", at_least=1, at_most=150)] = Length(30.0)
    turning: Annotated[
        Length,
        length("What is turned in at its raw edge besides.", at_least=0, at_most=30),
    ] = Length(0.0)
    width: Annotated[
        Length | None,
        length(
            "Allowance of the other edges, where the piece has none yet.", at_least=0, at_most=150
        ),
    ] = None
