"""What this plugin offers: runs trued by themselves, and lines trued across seams."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from seamwright.plugins.api import Code, Context, Severity, Step, StepResult, hookimpl

from . import across_codes
from .across_options import CheckTrue, TrueSeams
from .options import TrueJog

if TYPE_CHECKING:
    from seamwright.model import Pattern

API = 1


def _code(code: str, severity: Severity, title: str, why: str, remedy: str) -> Code:
    return Code(code=code, severity=severity, title=title, why=why, remedy=remedy)


CODES = (
    _code(
        "jog.smoothed", Severity.NOTE, "a line made smooth",
        "a seam line must run on without a jog or a point", "walk the seam again",
    ),
    _code(
        "jog.none", Severity.NOTE, "nothing to smooth",
        "the runs were looked at and run on smoothly", "nothing, or another place",
    ),
    _code(
        "jog.length", Severity.WARNING, "a run changed its length",
        "what it is sewn to no longer fits as it did", "walk the seam again, or keep-length = true",
    ),
    _code(
        "jog.near-end", Severity.WARNING, "a break at the end of a run",
        "ends and their tangents stay, so it cannot be smoothed from this side",
        "true it with the seam that is sewn there",
    ),
    _code(
        "jog.corner", Severity.WARNING, "a corner was named as a kink",
        "a corner is meant to be there", "another place",
    ),
    _code(
        "jog.shape", Severity.ERROR, "no smooth line found",
        "the stretch that may change is too short for what it must take up",
        "a larger within, or keep-length = false",
    ),
    _code(
        "jog.overlap", Severity.ERROR, "runs overlap",
        "a stretch of outline can be trued once only", "name each stretch once",
    ),
    _code(
        "jog.no-run", Severity.WARNING, "no run to look at",
        "nothing was looked at", "name a run, or give a plan",
    ),
    _code(
        "jog.cut-line", Severity.WARNING, "cut line taken away",
        "an old cut line beside a new seam line would be cut by somebody",
        "make it anew from the seam line and the allowances",
    ),
    *(
        _code(
            code, Severity.ERROR, "the plan does not fit the pattern",
            "a run's marks must be there", "look at the names in the plan",
        )
        for code in ("plan.piece", "plan.mark", "plan.way", "cap.half", "cap.sleeve",
                     "cap.shoulder", "cap.order")
    ),
)  # fmt: skip


def _true_jog(pattern: Pattern, options: TrueJog, ctx: Context) -> StepResult:
    from .jog import run

    return run(pattern, options, ctx)


def _check_true(pattern: Pattern, options: CheckTrue, ctx: Context) -> StepResult:
    from .across import check

    return check(pattern, options, ctx)


def _true_seams(pattern: Pattern, options: TrueSeams, ctx: Context) -> StepResult:
    from .across_true import true_seams

    return true_seams(pattern, options, ctx)


@hookimpl
def seamwright_steps() -> Sequence[Step[Any]]:
    """The steps of this plugin."""
    return [
        Step(
            name="true-jog",
            help="Smooth jogs and kinks in a run, its ends and their tangents kept.",
            options=TrueJog,
            run=_true_jog,
            kind="alteration",
            keeps=("grain", "outline-closed", "cut-quantity"),
            codes=CODES,
            page="true-jog.md",
        ),
        Step(
            name="check-true",
            help="Does every line run on across the seams it crosses, without point or step?",
            options=CheckTrue,
            run=_check_true,
            kind="check",
            codes=across_codes.CHECK,
            page="check-true.md",
        ),
        Step(
            name="true-seams",
            help="Smooth the lines that cross the ends of seams, shared by both pieces.",
            options=TrueSeams,
            run=_true_seams,
            kind="alteration",
            keeps=("corners", "grain", "outline-closed", "cut-quantity", "bicep-width"),
            codes=across_codes.TRUE,
            page="true-seams.md",
        ),
    ]
