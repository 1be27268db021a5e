"""The descriptors of the alterations."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from seamwright.plugins.api import API as API
from seamwright.plugins.api import Context, Step, StepResult, hookimpl

from . import codes
from .options import (
    AlterArmhole,
    AlterBack,
    AlterBicep,
    AlterCapHeight,
    AlterShoulderSlope,
    Lengthen,
    MoveSeam,
)

if TYPE_CHECKING:
    from seamwright.model import Pattern


def _bicep(pattern: Pattern, options: AlterBicep, ctx: Context) -> StepResult:
    from .bicep import alter_bicep

    return alter_bicep(pattern, options, ctx)


def _cap_height(pattern: Pattern, options: AlterCapHeight, ctx: Context) -> StepResult:
    from .cap_height import alter_cap_height

    return alter_cap_height(pattern, options, ctx)


def _lengthen(pattern: Pattern, options: Lengthen, ctx: Context) -> StepResult:
    from .lengthen import lengthen

    return lengthen(pattern, options, ctx)


def _armhole(pattern: Pattern, options: AlterArmhole, ctx: Context) -> StepResult:
    from .alter_armhole import alter_armhole

    return alter_armhole(pattern, options, ctx)


def _slope(pattern: Pattern, options: AlterShoulderSlope, ctx: Context) -> StepResult:
    from .alter_armhole import alter_shoulder_slope

    return alter_shoulder_slope(pattern, options, ctx)


def _back(pattern: Pattern, options: AlterBack, ctx: Context) -> StepResult:
    from .back import alter_back

    return alter_back(pattern, options, ctx)


def _move_seam(pattern: Pattern, options: MoveSeam, ctx: Context) -> StepResult:
    from .seam import move_seam

    return move_seam(pattern, options, ctx)


@hookimpl
def seamwright_steps() -> Sequence[Step[Any]]:
    """Sleeve, bodice and length."""
    return [
        Step(
            name="alter-bicep",
            help="Widen or narrow a sleeve at the bicep line, and say what becomes of the ease.",
            options=AlterBicep,
            run=_bicep,
            kind="alteration",
            keeps=("bodice", "grain", "segment-count", "outline-closed", "cut-quantity"),
            codes=codes.CAP,
            page="alter-bicep.md",
        ),
        Step(
            name="alter-cap-height",
            help="Raise or lower a sleeve cap, the bicep line untouched.",
            options=AlterCapHeight,
            run=_cap_height,
            kind="alteration",
            keeps=(
                "bicep-width",
                "bodice",
                "grain",
                "segment-count",
                "outline-closed",
                "cut-quantity",
            ),
            codes=codes.CAP,
            page="alter-cap-height.md",
        ),
        Step(
            name="lengthen",
            help="Lengthen or shorten pieces at a line, their edges blended.",
            options=Lengthen,
            run=_lengthen,
            kind="alteration",
            keeps=("outline-closed", "cut-quantity"),
            codes=codes.LENGTH,
            page="lengthen.md",
        ),
        Step(
            name="alter-armhole",
            help="Deepen or lift the armhole, the sleeve following.",
            options=AlterArmhole,
            run=_armhole,
            kind="alteration",
            keeps=("grain", "outline-closed", "cut-quantity"),
            codes=codes.ARMHOLE,
            page="alter-armhole.md",
        ),
        Step(
            name="alter-shoulder-slope",
            help="Make shoulders more sloping or more square.",
            options=AlterShoulderSlope,
            run=_slope,
            kind="alteration",
            keeps=("bicep-width", "grain", "outline-closed", "cut-quantity"),
            codes=codes.ARMHOLE,
            page="alter-shoulder-slope.md",
        ),
        Step(
            name="alter-back",
            help="Make the back broader or narrower at the armhole.",
            options=AlterBack,
            run=_back,
            kind="alteration",
            keeps=("bicep-width", "grain", "outline-closed", "cut-quantity"),
            codes=codes.ARMHOLE,
            page="alter-back.md",
        ),
        Step(
            name="move-seam",
            help="Move a seam line: what one piece gains the other gives.",
            options=MoveSeam,
            run=_move_seam,
            kind="alteration",
            keeps=("grain", "outline-closed", "cut-quantity"),
            codes=codes.MOVE,
            page="move-seam.md",
        ),
    ]
