"""The descriptors of the steps on whole pieces."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from seamwright.plugins.api import API as API
from seamwright.plugins.api import Context, Step, StepResult, hookimpl

from . import codes
from .options import (
    DrawFacing,
    DrawHem,
    FoldInHalf,
    JoinPieces,
    MakeWhole,
    MirrorPiece,
    ScalePiece,
    Shrinkage,
    SplitPiece,
    TurnToGrain,
)

if TYPE_CHECKING:
    from seamwright.model import Pattern


def _split(pattern: Pattern, options: SplitPiece, ctx: Context) -> StepResult:
    from .split import split

    return split(pattern, options, ctx)


def _whole(pattern: Pattern, options: MakeWhole, ctx: Context) -> StepResult:
    from .whole import make_whole

    return make_whole(pattern, options, ctx)


def _fold(pattern: Pattern, options: FoldInHalf, ctx: Context) -> StepResult:
    from .fold import fold_in_half

    return fold_in_half(pattern, options, ctx)


def _mirror(pattern: Pattern, options: MirrorPiece, ctx: Context) -> StepResult:
    from .mirror import mirror

    return mirror(pattern, options, ctx)


def _turn(pattern: Pattern, options: TurnToGrain, ctx: Context) -> StepResult:
    from .turn import turn

    return turn(pattern, options, ctx)


def _scale(pattern: Pattern, options: ScalePiece, ctx: Context) -> StepResult:
    from .scale import scale

    return scale(pattern, options, ctx)


def _shrinkage(pattern: Pattern, options: Shrinkage, ctx: Context) -> StepResult:
    from .scale import shrinkage

    return shrinkage(pattern, options, ctx)


def _join(pattern: Pattern, options: JoinPieces, ctx: Context) -> StepResult:
    from .join import join

    return join(pattern, options, ctx)


def _facing(pattern: Pattern, options: DrawFacing, ctx: Context) -> StepResult:
    from .facing import draw_facing

    return draw_facing(pattern, options, ctx)


def _hem(pattern: Pattern, options: DrawHem, ctx: Context) -> StepResult:
    from .hem import draw_hem

    return draw_hem(pattern, options, ctx)


@hookimpl
def seamwright_steps() -> Sequence[Step[Any]]:
    """Pieces split, joined, unfolded, turned and scaled."""
    return [
        Step(
            name="split-piece",
            help="Split a piece along a line, with notches and allowance on both sides.",
            options=SplitPiece, run=_split, kind="alteration",
            keeps=("outline-closed",), codes=codes.SPLIT, page="split-piece.md",
        ),
        Step(
            name="join-pieces",
            help="Join two pieces along an edge of each into one.",
            options=JoinPieces, run=_join, kind="alteration",
            keeps=("outline-closed",), codes=codes.JOIN, page="join-pieces.md",
        ),
        Step(
            name="make-whole",
            help="Unfold half pieces at their folds: the mirror image is joined on.",
            options=MakeWhole, run=_whole, kind="alteration",
            keeps=("grain", "outline-closed"), codes=codes.WHOLE, page="make-whole.md",
        ),
        Step(
            name="fold-in-half",
            help="Fold a symmetrical piece along its middle; half of it stays.",
            options=FoldInHalf, run=_fold, kind="alteration",
            keeps=("outline-closed", "cut-quantity"), codes=codes.FOLD, page="fold-in-half.md",
        ),
        Step(
            name="mirror-piece",
            help="Turn pieces over, or add mirrored copies for the other side.",
            options=MirrorPiece, run=_mirror, kind="alteration",
            keeps=("seam-lengths", "area", "segment-count", "outline-closed"),
            codes=codes.MIRROR, page="mirror-piece.md",
        ),
        Step(
            name="turn-to-grain",
            help="Turn pieces so that their grain lies upright, level or at an angle.",
            options=TurnToGrain, run=_turn, kind="alteration",
            keeps=(
                "seam-lengths", "area", "notch-stations", "segment-count", "outline-closed",
                "cut-quantity",
            ),
            codes=codes.TURN, page="turn-to-grain.md",
        ),
        Step(
            name="scale-piece",
            help="Scale pieces by a factor along the grain and another across it.",
            options=ScalePiece, run=_scale, kind="alteration",
            keeps=("segment-count", "outline-closed", "cut-quantity"),
            codes=codes.SCALE, page="scale-piece.md",
        ),
        Step(
            name="shrinkage",
            help="Make pieces larger by what the cloth will shrink, along the grain and across.",
            options=Shrinkage, run=_shrinkage, kind="alteration",
            keeps=("segment-count", "outline-closed", "cut-quantity"),
            codes=codes.SCALE, page="shrinkage.md",
        ),
        Step(
            name="draw-facing",
            help="Draw a facing from an edge: a new piece of a depth, sewn to it.",
            options=DrawFacing, run=_facing, kind="alteration",
            keeps=(
                "seam-lengths", "area", "notch-stations", "corners", "grain", "segment-count",
                "cut-quantity", "outline-closed",
            ),
            codes=codes.FACING, page="draw-facing.md",
        ),
        Step(
            name="draw-hem",
            help="Give an edge the allowance of a hem, mirrored at its ends to lie flush.",
            options=DrawHem, run=_hem, kind="alteration",
            keeps=(
                "other-pieces", "seam-lengths", "area", "corners", "grain", "segment-count",
                "cut-quantity", "outline-closed",
            ),
            acts_on=("edge",),
            codes=codes.HEM, page="draw-hem.md",
        ),
    ]  # fmt: skip
