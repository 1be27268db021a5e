"""The descriptors of the smoothing steps."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from seamwright.plugins.api import API as API
from seamwright.plugins.api import Context, Step, StepResult, hookimpl

from . import codes
from .options import CheckSmooth, PolylineToCurves, RefitRun

if TYPE_CHECKING:
    from seamwright.model import Pattern


def _refit(pattern: Pattern, options: RefitRun, ctx: Context) -> StepResult:
    from .refit import refit_run

    return refit_run(pattern, options, ctx)


def _curves(pattern: Pattern, options: PolylineToCurves, ctx: Context) -> StepResult:
    from .refit import polyline_to_curves

    return polyline_to_curves(pattern, options, ctx)


def _check(pattern: Pattern, options: CheckSmooth, ctx: Context) -> StepResult:
    from .check import check

    return check(pattern, options, ctx)


@hookimpl
def seamwright_steps() -> Sequence[Step[Any]]:
    """Lines refitted, polylines turned to curves, bends looked at."""
    return [
        Step(
            name="refit-run",
            help="Draw a run anew with few curves within a tolerance, ends and tangents kept.",
            options=RefitRun,
            run=_refit,
            kind="alteration",
            keeps=("corners", "grain", "outline-closed", "cut-quantity"),
            codes=codes.REFIT,
            page="refit-run.md",
        ),
        Step(
            name="polyline-to-curves",
            help="Turn outlines made of short chords, as DXF holds them, to curves.",
            options=PolylineToCurves,
            run=_curves,
            kind="alteration",
            keeps=("corners", "grain", "outline-closed", "cut-quantity"),
            codes=codes.CURVES,
            page="polyline-to-curves.md",
        ),
        Step(
            name="check-smooth",
            help="Bumps, kinks and jumps of the bend inside edges; curvature combs in the report.",
            options=CheckSmooth,
            run=_check,
            kind="check",
            codes=codes.CHECK,
            page="check-smooth.md",
        ),
    ]
