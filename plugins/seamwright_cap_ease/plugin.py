"""What this plugin offers: the step ease-cap."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from seamwright.plugins.api import Code, Context, Severity, Step, StepResult, hookimpl

from .options import EaseCap

if TYPE_CHECKING:
    from seamwright.model import Pattern

API = 1

_PLAN = "look at the plan's two seams of the cap: which marks they name, and in which order"
_OTHER_WAYS = "lower the cap, let out the armhole, or narrow the sleeve if the arm allows it"


def _code(code: str, severity: Severity, title: str, why: str, remedy: str) -> Code:
    return Code(code=code, severity=severity, title=title, why=why, remedy=remedy)


CODES = (
    _code(
        "cap.eased", Severity.NOTE, "ease folded out",
        "what was done in a size: ease before and after, and where to fold on paper",
        "walk the seam again; test-cut in cheap cloth",
    ),
    _code(
        "cap.fits", Severity.NOTE, "nothing to fold",
        "no half of the cap holds more than it may", "nothing",
    ),
    _code(
        "cap.under", Severity.WARNING, "less ease than wanted",
        "folding only takes ease out, so a cap that holds too little is left as it is",
        "raise the cap or take in the armhole",
    ),
    _code(
        "cap.short", Severity.ERROR, "folding cannot reach the target",
        "tucks that take more than 12 % of a half, or more tucks than fit above the notch, would "
        "change the character of the cap",
        _OTHER_WAYS,
    ),
    _code(
        "cap.place", Severity.NOTE, "tucks moved along the edge",
        "all tucks lie between shoulder point and notch", "nothing, or another place",
    ),
    _code(
        "cap.held",
        Severity.NOTE,
        "less of the underarm held",
        "held up to the notch, the edge would have bent sharply there",
        "nothing, or less taken out",
    ),
    _code(
        "cap.too-deep", Severity.ERROR, "a tuck reaches below the bicep line",
        "the bicep line must keep its width, so every fold ends above it",
        "a smaller depth, or a place nearer to the shoulder point",
    ),
    _code(
        "cap.overlap", Severity.ERROR, "tucks in each other's way",
        "tucks that meet, or lie on a mark, cannot be folded",
        "another place, or less apart",
    ),
    _code(
        "cap.width", Severity.ERROR, "a tuck wider than deep",
        "a fold must be deeper than it is wide", "a larger depth",
    ),
    _code(
        "cap.strained",
        Severity.WARNING,
        "a strong bubble",
        "much taken out of a low or narrow cap bends its outline where it is held",
        "look at the new outline; take out less, or lower the cap",
    ),
    _code(
        "cap.too-much", Severity.ERROR, "too much taken out at once",
        "the sheet would fold over itself when it is pressed", _OTHER_WAYS,
    ),
    _code(
        "cap.order", Severity.ERROR, "points of the cap out of order",
        "a cap runs from underarm over the shoulder point to underarm, above the bicep line", _PLAN,
    ),
    _code(
        "cap.shoulder", Severity.ERROR, "two shoulder points",
        "both halves of a cap end at one point", _PLAN,
    ),
    _code(
        "cap.none", Severity.ERROR, "no cap in the plan",
        "the step finds the cap through the plan only",
        'write cap = "back" and cap = "front" on the two seams',
    ),
    _code("cap.half", Severity.ERROR, "a half of the cap missing", "a cap has two halves", _PLAN),
    _code(
        "cap.sleeve", Severity.ERROR, "a cap over several stretches",
        "a cap is eased while it is one line in one piece", _PLAN,
    ),
    _code(
        "cap.no-target", Severity.ERROR, "no ease wanted",
        "nothing says how much the cap may hold",
        "name a cloth, give a target, or give the plan's seams their ease",
    ),
    _code(
        "cap.target-size", Severity.ERROR, "a target for an unknown size",
        "a target that meets no size would be lost in silence", "the pattern's size names",
    ),
    _code(
        "cap.not-walked", Severity.ERROR, "ease could not be measured",
        "cap or armhole is missing in a size", "complete the pieces and the plan",
    ),
    _code(
        "cap.dart", Severity.ERROR, "a dart in the cap",
        "a dart's mouth is no seam line, so tucks across it mean nothing", "turn the dart first",
    ),
    _code(
        "cap.half-piece", Severity.ERROR, "a sleeve on the fold",
        "back and front of a cap are not alike", "unfold the sleeve",
    ),
    _code(
        "cap.cut-line-only", Severity.ERROR, "no seam line",
        "ease is measured along the seam line", "state the allowance",
    ),
    _code(
        "cap.press", Severity.ERROR, "the cap could not be pressed",
        "no flat shape was found for the folded sheet", 'model = "rod", or another mesh size',
    ),
    _code(
        "cap.rod", Severity.WARNING, "the edge was bent instead of the sheet pressed",
        "the sheet would not be meshed or solved; length is exact all the same",
        "look at the new cap before it is used",
    ),
    _code(
        "cap.missed", Severity.ERROR, "the new cap misses its length",
        "the result is measured again before it is handed on", "another place or manner",
    ),
    _code(
        "cap.cut-line", Severity.WARNING, "cut line taken away",
        "an old cut line beside a new seam line would be cut by somebody",
        "make it anew from the seam line and the allowances",
    ),
    _code(
        "cap.sticks-out", Severity.WARNING, "something sticks out of the new cap",
        "what is drawn inside the cap does not move with it", "shorten or move it",
    ),
    _code(
        "cap.inside", Severity.NOTE, "something drawn inside the cap",
        "what is drawn inside the cap does not move with it", "look whether it still fits",
    ),
    *(
        _code(code, Severity.ERROR, "the plan does not fit the pattern", "a run's marks must be "
              "there", _PLAN)
        for code in ("plan.piece", "plan.mark", "plan.way")
    ),
)  # fmt: skip


def _run(pattern: Pattern, options: EaseCap, ctx: Context) -> StepResult:
    from .step import run

    return run(pattern, options, ctx)


@hookimpl
def seamwright_steps() -> Sequence[Step[Any]]:
    """The step ease-cap."""
    return [
        Step(
            name="ease-cap",
            help="Fold ease out of a sleeve cap, the bicep line untouched.",
            options=EaseCap,
            run=_run,
            kind="alteration",
            keeps=("bicep-width", "bodice", "grain", "outline-closed", "cut-quantity"),
            codes=CODES,
            page="ease-cap.md",
        )
    ]
