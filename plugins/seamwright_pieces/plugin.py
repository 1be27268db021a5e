"""The descriptors of the steps on whole pieces."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from seamwright.plugins.api import API as API
from seamwright.plugins.api import Context, Step, StepResult, hookimpl

from . import codes
from .options import FoldInHalf, MakeWhole, SplitPiece

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
    ]  # fmt: skip
