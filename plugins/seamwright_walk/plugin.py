"""The descriptor of the walk check."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from seamwright.plugins.api import API as API
from seamwright.plugins.api import Context, Step, StepResult, hookimpl

from .codes import CODES
from .options import WalkOptions

if TYPE_CHECKING:
    from seamwright.model import Pattern


def _walk(pattern: Pattern, options: WalkOptions, ctx: Context) -> StepResult:
    from .check import check

    return check(pattern, options, ctx)


@hookimpl
def seamwright_steps() -> Sequence[Step[Any]]:
    """The walk check."""
    return [
        Step(
            name="walk",
            help="Walk every seam of the plan in every size: lengths, ease, notches.",
            options=WalkOptions,
            run=_walk,
            kind="check",
            codes=CODES,
            page="walk.md",
        )
    ]
