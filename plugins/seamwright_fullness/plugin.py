"""The descriptors of the fullness steps."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from seamwright.plugins.api import API as API
from seamwright.plugins.api import Context, Step, StepResult, hookimpl

from . import codes
from .options import AddFullness, Bust

if TYPE_CHECKING:
    from seamwright.model import Pattern

_ALWAYS = ("other-pieces", "outline-closed", "cut-quantity")


def _add(pattern: Pattern, options: AddFullness, ctx: Context) -> StepResult:
    from .add import add

    return add(pattern, options, ctx)


def _full(pattern: Pattern, options: Bust, ctx: Context) -> StepResult:
    from .bust import full_bust

    return full_bust(pattern, options, ctx)


def _small(pattern: Pattern, options: Bust, ctx: Context) -> StepResult:
    from .bust import small_bust

    return small_bust(pattern, options, ctx)


@hookimpl
def seamwright_steps() -> Sequence[Step[Any]]:
    """Fullness added, a bust made fuller or smaller."""
    return [
        Step(
            name="add-fullness",
            help="Slash from edge to edge and spread, to a pivot, parallel or in between.",
            options=AddFullness, run=_add, kind="alteration",
            keeps=_ALWAYS, acts_on=("hinge", "opens"), codes=codes.ADD, page="add-fullness.md",
        ),
        Step(
            name="full-bust",
            help="Slash and spread over the bust point, with the dart that comes of it.",
            options=Bust, run=_full, kind="alteration",
            keeps=_ALWAYS, acts_on=("point",), codes=codes.BUST, page="full-bust.md",
        ),
        Step(
            name="small-bust",
            help="Slash and overlap over the bust point; the bust dart becomes smaller.",
            options=Bust, run=_small, kind="alteration",
            keeps=_ALWAYS, acts_on=("point",), codes=codes.BUST, page="small-bust.md",
        ),
    ]  # fmt: skip
