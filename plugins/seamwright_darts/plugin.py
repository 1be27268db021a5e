"""The descriptors of the dart steps."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from seamwright.plugins.api import API as API
from seamwright.plugins.api import Context, Step, StepResult, hookimpl

from . import codes
from .options import (
    CheckDarts,
    CutDarts,
    DartToEase,
    FoldDart,
    MarkDarts,
    MergeDarts,
    MoveDart,
    ShiftPoint,
    SplitDart,
    TrueDart,
)

if TYPE_CHECKING:
    from seamwright.model import Pattern

_DART = ("dart",)
_ALWAYS = ("other-pieces", "outline-closed", "cut-quantity")
_TURNED = (*_ALWAYS, "cloth-area", "seam-lengths")


def _mark(pattern: Pattern, options: MarkDarts, ctx: Context) -> StepResult:
    from .mark import mark

    return mark(pattern, options, ctx)


def _check(pattern: Pattern, options: CheckDarts, ctx: Context) -> StepResult:
    from .check import check

    return check(pattern, options, ctx)


def _true(pattern: Pattern, options: TrueDart, ctx: Context) -> StepResult:
    from .true import true

    return true(pattern, options, ctx)


def _move(pattern: Pattern, options: MoveDart, ctx: Context) -> StepResult:
    from .turn import move

    return move(pattern, options, ctx)


def _fold(pattern: Pattern, options: FoldDart, ctx: Context) -> StepResult:
    from .turn import fold

    return fold(pattern, options, ctx)


def _split(pattern: Pattern, options: SplitDart, ctx: Context) -> StepResult:
    from .turn import split

    return split(pattern, options, ctx)


def _merge(pattern: Pattern, options: MergeDarts, ctx: Context) -> StepResult:
    from .turn import merge

    return merge(pattern, options, ctx)


def _point(pattern: Pattern, options: ShiftPoint, ctx: Context) -> StepResult:
    from .point import shift

    return shift(pattern, options, ctx)


def _ease(pattern: Pattern, options: DartToEase, ctx: Context) -> StepResult:
    from .ease import to_ease

    return to_ease(pattern, options, ctx)


def _gathers(pattern: Pattern, options: DartToEase, ctx: Context) -> StepResult:
    from .ease import to_gathers

    return to_gathers(pattern, options, ctx)


def _cut(pattern: Pattern, options: CutDarts, ctx: Context) -> StepResult:
    from .cut import cut

    return cut(pattern, options, ctx)


@hookimpl
def seamwright_steps() -> Sequence[Step[Any]]:
    """Darts found, checked, trued, moved, split, merged and dissolved."""
    return [
        Step(
            name="mark-darts",
            help="Find drawn darts (a V in the outline, two lines to a point) and mark them.",
            options=MarkDarts, run=_mark, kind="alteration",
            keeps=(*_ALWAYS, "grain"), codes=codes.MARK, page="mark-darts.md",
        ),
        Step(
            name="check-darts",
            help="Legs equal, point inside, edge straight on across the fold, mouth trued?",
            options=CheckDarts, run=_check, kind="check",
            codes=codes.CHECK, page="check-darts.md",
        ),
        Step(
            name="true-dart",
            help="Give a mouth the shape of the fold and make the legs equal.",
            options=TrueDart, run=_true, kind="alteration",
            keeps=(*_ALWAYS, "seam-lengths", "corners", "grain"),
            acts_on=_DART, codes=codes.TRUE, page="true-dart.md",
        ),
        Step(
            name="move-dart",
            help="Turn a dart about its point to another place.",
            options=MoveDart, run=_move, kind="alteration",
            keeps=_TURNED, acts_on=_DART, codes=codes.MOVE, page="move-dart.md",
        ),
        Step(
            name="fold-dart",
            help="Close a dart as if sewn; the piece opens as a gap at another place.",
            options=FoldDart, run=_fold, kind="alteration",
            keeps=(*_ALWAYS, "cloth-area"), acts_on=_DART, codes=codes.MOVE, page="fold-dart.md",
        ),
        Step(
            name="split-dart",
            help="Turn a share of a dart to a second place about the same point.",
            options=SplitDart, run=_split, kind="alteration",
            keeps=_TURNED, acts_on=_DART, codes=codes.MOVE, page="split-dart.md",
        ),
        Step(
            name="merge-darts",
            help="Close one dart into another that has the same point.",
            options=MergeDarts, run=_merge, kind="alteration",
            keeps=_TURNED, acts_on=_DART, codes=codes.MOVE, page="merge-darts.md",
        ),
        Step(
            name="shift-dart-point",
            help="Shorten or lengthen a dart, or bring its point to a place.",
            options=ShiftPoint, run=_point, kind="alteration",
            keeps=(*_ALWAYS, "area", "seam-lengths", "notch-stations", "corners", "grain"),
            acts_on=_DART, codes=codes.POINT, page="shift-dart-point.md",
        ),
        Step(
            name="dart-to-ease",
            help="Dissolve a dart: its intake becomes ease between two notches.",
            options=DartToEase, run=_ease, kind="alteration",
            keeps=(*_ALWAYS, "grain"), acts_on=_DART, codes=codes.EASE, page="dart-to-ease.md",
        ),
        Step(
            name="dart-to-gathers",
            help="Dissolve a dart: its intake is gathered between two notches.",
            options=DartToEase, run=_gathers, kind="alteration",
            keeps=(*_ALWAYS, "grain"), acts_on=_DART, codes=codes.EASE, page="dart-to-gathers.md",
        ),
        Step(
            name="cut-darts",
            help="Draw darts as a V cut into the outline, for display or for cutting out.",
            options=CutDarts, run=_cut, kind="alteration",
            keeps=(*_ALWAYS, "cloth-area", "grain"), acts_on=_DART,
            codes=codes.CUT, page="cut-darts.md",
        ),
    ]  # fmt: skip
