"""The descriptors of the notch steps."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from seamwright.plugins.api import API as API
from seamwright.plugins.api import Context, Step, StepResult, hookimpl

from . import codes
from .options import MatchNotches, PlaceNotch, RemoveNotches, RenameNotches

if TYPE_CHECKING:
    from seamwright.model import Pattern

_LINES = ("seam-lengths", "area", "corners", "grain", "outline-closed", "segment-count",
          "cut-quantity", "bicep-width")  # fmt: skip


def _place(pattern: Pattern, options: PlaceNotch, ctx: Context) -> StepResult:
    from .place import place

    return place(pattern, options, ctx)


def _match(pattern: Pattern, options: MatchNotches, ctx: Context) -> StepResult:
    from .match import match

    return match(pattern, options, ctx)


def _remove(pattern: Pattern, options: RemoveNotches, ctx: Context) -> StepResult:
    from .rename import remove

    return remove(pattern, options, ctx)


def _rename(pattern: Pattern, options: RenameNotches, ctx: Context) -> StepResult:
    from .rename import rename

    return rename(pattern, options, ctx)


@hookimpl
def seamwright_steps() -> Sequence[Step[Any]]:
    """Notches placed, matched, taken away and renamed."""
    return [
        Step(
            name="place-notch",
            help="Place notches by mark, length or share: single for the front, double for the "
            "back.",
            options=PlaceNotch,
            run=_place,
            kind="alteration",
            keeps=(*_LINES, "notch-stations"),
            codes=codes.PLACE,
            page="place-notch.md",
        ),
        Step(
            name="match-notches",
            help="Carry the notches of one side of a seam to the other, ease where it is wanted.",
            options=MatchNotches,
            run=_match,
            kind="alteration",
            keeps=_LINES,
            codes=codes.MATCH,
            page="match-notches.md",
        ),
        Step(
            name="remove-notches",
            help="Take notches away, and their pairs out of the plan.",
            options=RemoveNotches,
            run=_remove,
            kind="alteration",
            keeps=_LINES,
            codes=codes.REMOVE,
            page="remove-notches.md",
        ),
        Step(
            name="rename-notches",
            help="Rename notches or count them anew; the plan follows.",
            options=RenameNotches,
            run=_rename,
            kind="alteration",
            keeps=_LINES,
            codes=codes.RENAME,
            page="rename-notches.md",
        ),
    ]
