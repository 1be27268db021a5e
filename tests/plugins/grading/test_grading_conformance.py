"""The grading steps run the kit that strangers run."""

from __future__ import annotations

from seamwright.model import Pattern
from seamwright.plugins.api import Context
from seamwright.testing import StepSuite
from seamwright.testing.strategies import patterns
from seamwright_grading.derive import run as derive
from seamwright_grading.options import DeriveRules


def with_rules(pattern: Pattern) -> Pattern:
    """A drawn nest with the rules that give it back."""
    return derive(pattern, DeriveRules(), Context()).pattern


class TestGrade(StepSuite):
    step = "grade"
    options = {"existing": "replace"}
    draws = patterns(max_sizes=3).map(with_rules)
    # The x of a rule counts along the grain line, and without one along the drawing.
    rigid = False


class TestDeriveRules(StepSuite):
    step = "derive-rules"
    draws = patterns(max_sizes=3)


class TestCheckGrade(StepSuite):
    step = "check-grade"
    draws = patterns(max_sizes=3).map(with_rules)
    rigid = False


class TestCheckNest(StepSuite):
    step = "check-nest"
    draws = patterns(max_sizes=3)
