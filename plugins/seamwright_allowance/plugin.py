"""The descriptors of the allowance steps."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from seamwright.plugins.api import API as API
from seamwright.plugins.api import Context, Step, StepResult, hookimpl

from . import codes
from .options import AddAllowance, CarryNotches, CheckAllowance, SeamLine

if TYPE_CHECKING:
    from seamwright.model import Pattern


def _add(pattern: Pattern, options: AddAllowance, ctx: Context) -> StepResult:
    from .add import add

    return add(pattern, options, ctx)


def _seam(pattern: Pattern, options: SeamLine, ctx: Context) -> StepResult:
    from .seam import seam

    return seam(pattern, options, ctx)


def _check(pattern: Pattern, options: CheckAllowance, ctx: Context) -> StepResult:
    from .check import check

    return check(pattern, options, ctx)


def _carry(pattern: Pattern, options: CarryNotches, ctx: Context) -> StepResult:
    from .carry import carry

    return carry(pattern, options, ctx)


@hookimpl
def seamwright_steps() -> Sequence[Step[Any]]:
    """Allowances added, taken away and checked."""
    return [
        Step(
            name="add-allowance",
            help="Draw the cut line: a width for each edge, corners finished by rule.",
            options=AddAllowance,
            run=_add,
            kind="alteration",
            keeps=(
                "bicep-width", "other-pieces", "seam-lengths", "area", "notch-stations",
                "corners", "grain", "segment-count", "cut-quantity",
            ),
            codes=codes.ADD,
            page="add-allowance.md",
        ),
        Step(
            name="seam-line",
            help="Derive the seam line from a cut line whose allowances are stated.",
            options=SeamLine,
            run=_seam,
            kind="alteration",
            keeps=("grain", "cut-quantity", "outline-closed"),
            codes=codes.SEAM,
            page="seam-line.md",
        ),
        Step(
            name="check-allowance",
            help="Is the cut line everywhere where the stated allowance puts it?",
            options=CheckAllowance,
            run=_check,
            kind="check",
            codes=codes.CHECK,
            page="check-allowance.md",
        ),
        Step(
            name="carry-notches",
            help="Carry notches square out to the cut line, or back to the seam line.",
            options=CarryNotches,
            run=_carry,
            kind="alteration",
            keeps=(
                "bicep-width", "other-pieces", "seam-lengths", "area", "corners", "grain",
                "segment-count", "cut-quantity", "outline-closed",
            ),
            codes=codes.CARRY,
            page="carry-notches.md",
        ),
    ]  # fmt: skip
