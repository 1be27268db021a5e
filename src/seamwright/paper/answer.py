"""Four tape measures and a cloth in; ease a side, a verdict and where to fold out."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Literal

from seamwright.findings import Finding, SeamwrightError, Severity
from seamwright.units import format_length

from .cloth import SIDES, Cloth, Side, Span
from .tucks import APART, DEPTH, FROM_SHOULDER, INCH, LARGEST_TUCK, Folding, folding
from .words import CAUTIONS, Manner, fold_lines, how_to, what_else_helps, why_short

Verdict = Literal["ok", "over", "under"]

TAPE = INCH / 32  # a tape measure tells no less; nobody folds out less either
_PLAUSIBLE = (60.0, 600.0)  # mm; half a cap or half an armhole of a person
_MOST_SHARE = 0.25  # ease above a quarter of the armhole is a slip of the tape


@dataclass(frozen=True, slots=True, kw_only=True)
class Half:
    """One half of the cap, mm. span: what it may hold; folding: what to fold out."""

    side: Side
    cap: float
    armhole: float
    span: Span
    verdict: Verdict
    folding: Folding

    @property
    def ease(self) -> float:
        """Length of the cap's half less that of the armhole's, mm."""
        return self.cap - self.armhole


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer:
    """Both halves, back first, and how to fold."""

    halves: tuple[Half, Half]
    cloth: Cloth | None
    depth: float
    manner: Manner
    unit: str

    @property
    def folds(self) -> tuple[str, ...]:
        """One sentence for each tuck."""
        return tuple(
            line
            for half in self.halves
            for line in fold_lines(
                half.side, half.folding.tucks, self.unit, depth=self.depth, manner=self.manner
            )
        )

    @property
    def steps(self) -> tuple[str, ...]:
        """What to do on paper; nothing where nothing is folded."""
        return (*self.folds, *how_to(self.manner)) if self.folds else ()

    @property
    def cautions(self) -> tuple[str, ...]:
        """What to mind; said whenever something is folded."""
        return CAUTIONS

    @property
    def findings(self) -> tuple[Finding, ...]:
        """What is wrong with each half: too much ease, too little, more than folding takes."""
        return tuple(f for half in self.halves for f in _findings(half, self.unit))

    def to_json(self) -> dict[str, Any]:
        """The document of `seamwright ease --json`; lengths in mm."""
        return {
            "units": self.unit,
            "cloth": None
            if self.cloth is None
            else {"name": self.cloth.name, "source": self.cloth.source},
            "manner": self.manner,
            "depth": self.depth,
            "sides": [_half_json(half) for half in self.halves],
            "total_ease": sum(half.ease for half in self.halves),
            "instructions": list(self.steps),
            "cautions": list(self.cautions),
            "findings": [f.to_json() for f in self.findings],
        }


def no_answer(error: SeamwrightError, unit: str) -> dict[str, Any]:
    """The same document where there is no answer: what was wrong."""
    return {
        "units": unit,
        "cloth": None,
        "manner": "tuck",
        "depth": DEPTH,
        "sides": [],
        "total_ease": None,
        "instructions": [],
        "cautions": [],
        "findings": [f.to_json() for f in (error.finding, *error.others)],
    }


def answer(
    *,
    cap: Mapping[Side, float],
    armhole: Mapping[Side, float],
    spans: Mapping[Side, Span],
    cloth: Cloth | None = None,
    unit: str = "mm",
    from_shoulder: float = FROM_SHOULDER,
    largest: float = LARGEST_TUCK,
    apart: float = APART,
    depth: float = DEPTH,
    room: Mapping[Side, float] | None = None,
    manner: Manner = "tuck",
) -> Answer:
    """Ease of both halves, what is wrong with it, and where to fold.

    cap, armhole  lengths along the seam line, mm, for "back" and "front"
    spans         the ease that each half may hold
    room          from the shoulder point to the notch, mm, where it was measured
    Ease is judged to half a sixteenth of an inch, which is what a tape measure tells.
    Raises SeamwrightError `ease.measure` for a length that cannot be one.
    """
    for what, measures in (("cap", cap), ("armhole", armhole)):
        for side in SIDES:
            if not measures[side] > 0.0:
                raise SeamwrightError.of(
                    "ease.measure",
                    f"the {side} of the {what} must be longer than nothing",
                    seam=side,
                    measured=measures[side],
                    hint="measure along the seam line, not along the cut edge",
                )

    def half(side: Side) -> Half:
        ease, span = cap[side] - armhole[side], spans[side]
        over = ease > span.at_most + TAPE
        least = 0.0 if span.at_least is None else span.at_least
        return Half(
            side=side,
            cap=cap[side],
            armhole=armhole[side],
            span=span,
            verdict="over" if over else "under" if ease < least - TAPE else "ok",
            folding=folding(
                need=ease - span.at_most if over else 0.0,
                run=cap[side],
                place=from_shoulder,
                largest=largest,
                apart=apart,
                room=None if room is None else room.get(side),
            ),
        )

    return Answer(
        halves=(half("back"), half("front")), cloth=cloth, depth=depth, manner=manner, unit=unit
    )


def doubts(answer: Answer) -> tuple[str, ...]:
    """Measures that look like a slip of the tape or of the unit, one sentence each."""
    found = []
    for half in answer.halves:
        for what, length in (("cap", half.cap), ("armhole", half.armhole)):
            if not _PLAUSIBLE[0] <= length <= _PLAUSIBLE[1]:
                found.append(
                    f"{half.side} of the {what}: {format_length(length, answer.unit)} is unusual "
                    "for a person. Was another unit meant?"
                )
        if abs(half.ease) > _MOST_SHARE * half.armhole:
            found.append(
                f"{half.side}: cap and armhole differ by more than a quarter. Measure both again."
            )
    return tuple(found)


def _findings(half: Half, unit: str) -> list[Finding]:
    def said(mm: float) -> str:
        return format_length(mm, unit)

    side, ease = half.side, half.ease
    if half.verdict == "over":
        short = why_short(half.folding, half.cap, unit)
        over = Finding(
            code="ease.over",
            severity=Severity.WARNING,
            message=f"{side}: the cap holds {said(ease)} of ease, the cloth takes "
            f"{said(half.span.at_most)}",
            seam=side,
            measured=ease,
            limit=half.span.at_most,
            hint="fold out as shown",
        )
        if not short:
            return [over]
        return [
            over.but(hint=what_else_helps()),
            Finding(
                code="ease.short",
                severity=Severity.ERROR,
                message=f"{side}: folding alone will not do: {short}",
                seam=side,
                measured=half.folding.taken,
                limit=half.folding.need,
                hint=what_else_helps(),
            ),
        ]
    if half.verdict == "under":
        least = half.span.at_least
        if ease < -TAPE:
            message = f"{side}: the cap is {said(-ease)} shorter than the armhole"
        else:
            message = (
                f"{side}: the cap holds {said(ease)} of ease, less than the {said(least or 0.0)} "
                "that a sleeve wants in this cloth"
            )
        return [
            Finding(
                code="ease.under",
                severity=Severity.WARNING,
                message=message,
                seam=side,
                measured=ease,
                limit=least or 0.0,
                hint="fold nothing here; raise the cap, or take in the armhole",
            )
        ]
    return []


def _half_json(half: Half) -> dict[str, Any]:
    return {
        "side": half.side,
        "cap_length": half.cap,
        "armhole_length": half.armhole,
        "ease": half.ease,
        "at_least": half.span.at_least,
        "at_most": half.span.at_most,
        "verdict": half.verdict,
        "need": max(half.folding.need, 0.0),
        "tucks": [{"from_shoulder": t.at, "width": t.width} for t in half.folding.tucks],
        "taken": half.folding.taken,
        "short": half.folding.short,
    }
