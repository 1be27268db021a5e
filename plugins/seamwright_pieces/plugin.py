"""The descriptors of the steps on whole pieces."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from seamwright.plugins.api import API as API
from seamwright.plugins.api import Context, Step, StepResult, hookimpl

from . import codes
from .options import SplitPiece

if TYPE_CHECKING:
    from seamwright.model import Pattern


def _split(pattern: Pattern, options: SplitPiece, ctx: Context) -> StepResult:
    from .split import split

    return split(pattern, options, ctx)


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
    ]  # fmt: skip
