"""What became of one size: measures before and after, in figures and in words."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from seamwright.geometry.press import StrainLeft
from seamwright.model import Shape
from seamwright.paper import SIDES, Manner, Side, Tuck, about, fold_lines, folds_in_short, how_to
from seamwright.plugins.api import Context, Finding, Severity

from .edge import CapEdge
from .fold import Folded
from .wanted import Wanted

# Mean strain; an ordinary tuck of 3/16 in a side on a blouse sleeve leaves about 0.03.
_LIES_FLAT = 0.01
_ORDINARY = 0.045


@dataclass(frozen=True, slots=True, kw_only=True)
class Half:
    """One half before and after, mm. after: ease before less what was taken out. wanted: None
    where nothing was asked of it."""

    side: Side
    before: float
    after: float
    wanted: Wanted | None
    tucks: tuple[Tuck, ...]

    @property
    def taken(self) -> float:
        """What was taken out, mm."""
        return self.before - self.after


@dataclass(frozen=True, slots=True, kw_only=True)
class Outcome:
    """One size that was redrawn. shoulder: where the shoulder point lies now; shift: how far the
    edge moved at most; trued: how much of that at most is the smoothing of what was pressed."""

    size: str
    shape: Shape
    halves: tuple[Half, Half]
    height: tuple[float, float]
    bicep: tuple[float, float]
    shoulder: tuple[float, float]
    shift: float
    trued: float
    strain: StrainLeft | None
    model: str
    manner: Manner
    depth: float


def placed(cap: CapEdge, folded: Folded, side: Side) -> tuple[Tuck, ...]:
    """The tucks of one half as they were folded, from the shoulder point down. A cut that meets
    the edge at a slant is overlapped by more than it takes out."""
    tucks = []
    for wedge in folded.wedges:
        a, b = wedge.mouth
        if (a < cap.top) == (side == cap.first):
            tucks.append(Tuck(at=abs(0.5 * (a + b) - cap.top), width=b - a))
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
        "taken": {side: halves[side].taken for side in SIDES},
        "largest_shift": outcome.shift,
        "trued": outcome.trued,
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
    pushed = (
        f"pressing pushes the paper together by {100 * mean:.1f} % on average and "
        f"{100 * worst:.1f} % at the worst spot, near the tips of the folds"
    )
    if mean < _LIES_FLAT:
        return f"{pushed}: it lies nearly flat by itself"
    if mean < _ORDINARY:
        return f"{pushed}: the bubble of an ordinary tuck, flat under the hand"
    return f"{pushed}: a marked bubble; press it firmly and true the line with care"


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
        hint=folds_in_short(
            {half.side: half.tucks for half in outcome.halves},
            ctx.units,
            depth=outcome.depth,
            manner=outcome.manner,
        ),
    )
