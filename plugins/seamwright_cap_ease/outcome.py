"""What became of one size: measures before and after, in figures and in words."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from seamwright.geometry.press import StrainLeft
from seamwright.model import Shape
from seamwright.paper import SIDES, Manner, Side, Tuck, about, fold_lines, how_to
from seamwright.plugins.api import Context, Finding, Severity

from .edge import CapEdge
from .fold import Folded
from .wanted import Wanted

_LIES_FLAT = 0.004  # mean strain: below it the eye sees no bubble
_SOFT_BUBBLE = 0.012


@dataclass(frozen=True, slots=True, kw_only=True)
class Half:
    """One half before and after, mm. after: ease before less what was taken out. wanted: None
    where nothing was asked of it."""

    side: Side
    before: float
    after: float
    wanted: Wanted | None
    tucks: tuple[Tuck, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Outcome:
    """One size that was redrawn. shoulder: where the shoulder point lies now."""

    size: str
    shape: Shape
    halves: tuple[Half, Half]
    height: tuple[float, float]
    bicep: tuple[float, float]
    shoulder: tuple[float, float]
    shift: float
    strain: StrainLeft | None
    model: str
    manner: Manner
    depth: float


def placed(cap: CapEdge, folded: Folded, side: Side) -> tuple[Tuck, ...]:
    """The tucks of one half as they were folded, from the shoulder point down."""
    tucks = []
    for wedge in folded.wedges:
        middle = 0.5 * (wedge.start + wedge.end)
        if (middle < cap.top) == (side == cap.first):
            tucks.append(Tuck(at=abs(middle - cap.top), width=wedge.width))
    return tuple(sorted(tucks, key=lambda t: t.at))


def figures(outcome: Outcome, unit: str) -> dict[str, Any]:
    """One size for the record; lengths in mm, strains as fractions."""
    halves = {half.side: half for half in outcome.halves}
    strain = outcome.strain
    return {
        "ease_before": {side: halves[side].before for side in SIDES},
        "ease_after": {side: halves[side].after for side in SIDES},
        "target": {
            side: w.span.at_most if (w := halves[side].wanted) is not None else None
            for side in SIDES
        },
        "cap_height_before": outcome.height[0],
        "cap_height_after": outcome.height[1],
        "bicep_before": outcome.bicep[0],
        "bicep_after": outcome.bicep[1],
        "largest_shift": outcome.shift,
        "model": outcome.model,
        "manner": outcome.manner,
        "depth": outcome.depth,
        "strain": None
        if strain is None
        else {
            "longest": strain.longest,
            "shortest": strain.shortest,
            "largest": max(strain.longest, -strain.shortest),
            "mean": strain.mean,
        },
        "strain_in_words": strain_in_words(strain),
        "tucks": [
            {"side": side, "from_shoulder": t.at, "width": t.width}
            for side in SIDES
            for t in halves[side].tucks
        ],
        "folds": folds(outcome, unit),
        "how_to": list(how_to(outcome.manner)),
    }


def folds(outcome: Outcome, unit: str) -> list[str]:
    """Where to fold, for someone who does it on paper."""
    return [
        line
        for half in outcome.halves
        for line in fold_lines(
            half.side, half.tucks, unit, depth=outcome.depth, manner=outcome.manner
        )
    ]


def strain_in_words(strain: StrainLeft | None) -> str:
    """What pressing leaves in the paper, for someone who has it under the hand."""
    if strain is None:
        return "worked out from the edge alone; what the paper inside does was not looked at"
    worst, mean = max(strain.longest, -strain.shortest), strain.mean
    figures = f"{100 * mean:.1f} % on average, {100 * worst:.1f} % at the worst spot"
    if mean < _LIES_FLAT:
        return f"the paper lies nearly flat by itself ({figures}, near the tips of the folds)"
    if mean < _SOFT_BUBBLE:
        return f"a soft bubble that presses flat under the hand ({figures}, near the tips)"
    return f"a marked bubble; press it firmly and true the line with care ({figures})"


def done(outcome: Outcome, piece: str, ctx: Context) -> Finding:
    """The line that says what was done in one size."""
    said = []
    for half in outcome.halves:
        if half.tucks:
            said.append(f"{half.side} {ctx.length(half.before)} -> {ctx.length(half.after)}")
        else:
            said.append(f"{half.side} stays at {ctx.length(half.before)}")
    lower = outcome.height[0] - outcome.height[1]
    x, y = outcome.shoulder
    return Finding(
        code="cap.eased",
        severity=Severity.NOTE,
        message=f"size {outcome.size}: cap ease {', '.join(said)}; cap "
        f"{about(lower, ctx.units)} lower, bicep line unchanged",
        piece=piece,
        size=outcome.size,
        x=x,
        y=y,
        measured=sum(h.after for h in outcome.halves),
        hint=" ".join(folds(outcome, ctx.units)),
    )
