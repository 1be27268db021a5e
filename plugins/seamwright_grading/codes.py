"""Every finding code of the grading steps."""

from __future__ import annotations

from typing import Final

from seamwright.plugins.api import Code, Severity

_E, _W, _N = Severity.ERROR, Severity.WARNING, Severity.NOTE


def _code(code: str, severity: Severity, title: str, why: str, remedy: str) -> Code:
    return Code(code=code, severity=severity, title=title, why=why, remedy=remedy)


GRADE: Final = (
    _code("grade.no-rules", _E, "No rules", "Without a rule table nothing can be graded.",
          "Put the rule table beside the drawing, or derive rules from a nest."),
    _code("grade.no-base", _E, "The base size is missing",
          "Rules move the points of the base size, and that is not drawn.",
          "Look at the sample size of table and drawing."),
    _code("grade.rule-missing", _E, "A rule that the table does not hold",
          "The piece is not graded: one of its points would stay behind.",
          "Look at the number on the piece and in the table."),
    _code("grade.no-points", _W, "A piece without graded points",
          "It is the same in every size.", "Look whether it should grow."),
    _code("grade.two-rules", _W, "Two rules at one point", "Only the first counts.",
          "Take one of the numbers away."),
    _code("grade.axes", _N, "Where the x of the rules points", "Grade and grain line may differ.",
          "Say axes = ... if it is wrong."),
    _code("grade.crossed", _E, "A graded outline crosses itself",
          "A point moves past its neighbour.", "Look at the rules of that place."),
    _code("grade.kept", _N, "Sizes that were drawn already", "They are left as they are.",
          "Say existing = \"replace\" to grade them anew."),
)  # fmt: skip

DERIVE: Final = (
    _code("derive.one-size", _W, "One size only", "Rules say how sizes differ.", "Draw the nest."),
    _code("derive.topology", _W, "A size with other corners",
          "Its points cannot be told apart, so the piece gets no rules.",
          "Mend the size that is named."),
    _code("derive.not-proportional", _W, "Points between corners go their own way",
          "The rules of the corners alone do not give back the nest.",
          "Say points = \"as needed\", or draw every size with as many points."),
    _code("derive.done", _N, "Rules derived",
          "How many there are, and how well they give back the nest.", "nothing"),
    _code("grade.axes", _N, "Where the x of the rules points", "Grade and grain line may differ.",
          "Say axes = ... if it is wrong."),
)  # fmt: skip

CHECK_GRADE: Final = (
    _code("grade.off-rule", _E, "A point off its rule",
          "The nest was not graded by this table, or was changed by hand afterwards.",
          "Look which of the two is right."),
    _code("grade.off-between", _W, "An outline off the graded one",
          "Between its graded points it does not follow in proportion.",
          "Look at the curve in that size."),
    _code("grade.no-rules", _W, "No rules", "There is nothing to hold the nest against.",
          "Put the rule table beside the drawing."),
    _code("grade.rule-missing", _E, "A rule that the table does not hold",
          "The point cannot be checked.", "Look at the number on the piece and in the table."),
)  # fmt: skip

CHECK_NEST: Final = (
    _code("nest.ease-step", _W, "Ease jumps from one size to the next",
          "One side of the seam was graded otherwise than the other.",
          "Look at the two edges in these sizes."),
    _code("nest.ease-drift", _W, "Ease drifts over the sizes",
          "The seam that fits in the base size does not fit in the last ones.",
          "Let both sides grow alike, or state the range of ease in the plan."),
    _code("nest.sequence", _W, "A size breaks the sequence",
          "It is longer or shorter than its neighbours let expect.", "Look at that size."),
    _code("nest.against", _W, "A point moves against its neighbours",
          "A sign in its rule may be wrong.", "Look at the rule of that point."),
    _code("nest.wander", _W, "A notch wanders along its seam",
          "In that size it lies elsewhere than the other sizes let expect.",
          "Look at the notch in that size."),
    _code("nest.topology", _W, "A size with other corners or notches",
          "Sizes can only be compared point by point where they have the same points.",
          "Mend the size that is named."),
)  # fmt: skip
