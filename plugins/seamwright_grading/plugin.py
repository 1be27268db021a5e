"""What this plugin offers: grade, derive-rules, check-grade, check-nest."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from seamwright.plugins.api import API as API
from seamwright.plugins.api import Context, Step, StepResult, hookimpl

from .codes import CHECK_GRADE, CHECK_NEST, DERIVE, GRADE
from .options import CheckGrade, CheckNest, DeriveRules, Grade

if TYPE_CHECKING:
    from seamwright.model import Pattern


def _grade(pattern: Pattern, options: Grade, ctx: Context) -> StepResult:
    from .grade import run

    return run(pattern, options, ctx)


def _derive(pattern: Pattern, options: DeriveRules, ctx: Context) -> StepResult:
    from .derive import run

    return run(pattern, options, ctx)


def _check_grade(pattern: Pattern, options: CheckGrade, ctx: Context) -> StepResult:
    from .compare import run

    return run(pattern, options, ctx)


def _check_nest(pattern: Pattern, options: CheckNest, ctx: Context) -> StepResult:
    from .nest import run

    return run(pattern, options, ctx)


@hookimpl
def seamwright_steps() -> Sequence[Step[Any]]:
    """The grading steps."""
    return [
        Step(
            name="grade",
            help="Make every size of the rule table from the base size.",
            options=Grade,
            run=_grade,
            kind="alteration",
            keeps=("outline-closed", "cut-quantity"),
            codes=GRADE,
            page="grade.md",
        ),
        Step(
            name="derive-rules",
            help="Work out grade rules from the sizes that are drawn.",
            options=DeriveRules,
            run=_derive,
            kind="alteration",
            keeps=("seam-lengths", "area", "outline-closed", "cut-quantity"),
            codes=DERIVE,
            page="derive-rules.md",
        ),
        Step(
            name="check-grade",
            help="Hold the sizes that are drawn against the grade rules.",
            options=CheckGrade,
            run=_check_grade,
            kind="check",
            codes=CHECK_GRADE,
            page="check-grade.md",
        ),
        Step(
            name="check-nest",
            help="Hold the sizes against one another: ease, lengths, points, notches.",
            options=CheckNest,
            run=_check_nest,
            kind="check",
            codes=CHECK_NEST,
            page="check-nest.md",
        ),
    ]
