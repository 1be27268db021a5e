"""The step: every cap of the plan, every size."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor
from typing import Any

import numpy as np

from seamwright.model import Pattern, Piece, Seam
from seamwright.paper import CAUTIONS, NEAR_ENOUGH, SIDES, Side
from seamwright.plan import Cap, Walk, cap_of, has_cap, walk
from seamwright.plugins.api import Context, Finding, SeamwrightError, Severity, StepResult

from .edge import Located
from .job import SizeJob, SizeResult
from .options import EaseCap
from .outcome import Outcome, done, figures
from .refusal import Refusal
from .size import do_size
from .wanted import Wish

_SIDE_BY_SIDE = 2  # more gains nothing: only the factorisation runs beside other work


def run(pattern: Pattern, options: EaseCap, ctx: Context) -> StepResult:
    """Folds ease out of the sleeve caps that the plan names; see the page ease-cap.

    Each size is done by itself, to its own target, and left as it is when it is refused. Pieces
    other than the sleeve stay the very same objects.
    """
    if not has_cap(pattern):
        return _refused(
            pattern,
            Finding(
                code="cap.none",
                severity=Severity.ERROR,
                message="no seam of the plan is marked as half of a sleeve cap",
                hint='write cap = "back" and cap = "front" on the two seams of the cap',
            ),
        )
    sleeves = list(dict.fromkeys(s.sew.pieces[0] for s in pattern.seams if s.cap is not None))
    walked = walk(pattern)
    result = _Result(pattern, walked)
    for sleeve in sleeves:
        try:
            cap = cap_of(pattern, sleeve=sleeve)
            located = Located(pattern, cap)
            seams: dict[Side, Seam] = {"back": cap.back.seam, "front": cap.front.seam}
            wish = Wish(options, seams, located.sizes)
        except SeamwrightError as error:
            result.findings += [error.finding, *error.others]
            continue
        except Refusal as refusal:
            result.findings.append(refusal.finding(piece=sleeve, size=None))
            continue
        _ease(result, cap, located, wish, options, ctx)
    return result.finished(options, ctx)


class _Result:
    """What has come together so far."""

    def __init__(self, pattern: Pattern, walked: Walk) -> None:
        self.pattern, self.walked = pattern, walked
        self.changed: list[Piece] = []
        self.findings: list[Finding] = []
        self.looked_at = 0
        self.sleeves: dict[str, Any] = {}

    def finished(self, options: EaseCap, ctx: Context) -> StepResult:
        pattern = self.pattern.with_pieces(self.changed) if self.changed else self.pattern
        shown: dict[str, Any] = {}
        if self.sleeves:
            shown = {"sleeves": self.sleeves, "cautions": list(CAUTIONS), "units": ctx.units}
        return StepResult(
            pattern=pattern,
            findings=tuple(self.findings),
            looked_at=self.looked_at,
            skipped="" if self.looked_at else "no cap could be looked at",
            figures=shown,
        )


def _ease(
    result: _Result, cap: Cap, located: Located, wish: Wish, options: EaseCap, ctx: Context
) -> None:
    piece = located.piece
    rows: dict[Side, int] = {
        "back": result.walked.number(cap.back.seam.name),
        "front": result.walked.number(cap.front.seam.name),
    }
    sizes = located.sizes

    def one(size: str) -> SizeResult:
        z = cap.sizes.index(size)
        ease = {side: float(result.walked.ease[rows[side], z]) for side in SIDES}
        try:
            if not np.isfinite(list(ease.values())).all():
                raise Refusal(
                    "cap.not-walked",
                    "the ease cannot be measured: the cap or its armhole is not there",
                    "a plan's pieces and marks must be there in every size that is to be eased",
                )
            job = SizeJob(
                size=size,
                piece=piece.name,
                cap=located.edge(size),
                ease=ease,
                wanted={side: wish.of(size, side) for side in SIDES},
            )
            return do_size(job, options, ctx)
        except Refusal as refusal:
            return SizeResult(findings=[refusal.finding(piece=piece.name, size=size)])

    outcomes: list[Outcome] = []
    for found in _each(one, sizes):
        result.looked_at += 1
        if found.outcome is not None:
            outcomes.append(found.outcome)
            result.findings.append(done(found.outcome, piece.name, ctx))
        result.findings += found.findings
    outcomes = _verified(result, outcomes, piece, rows)
    if outcomes:
        new = {o.size: o.shape for o in outcomes}
        result.changed.append(
            piece.but(shapes=tuple(new.get(shape.size, shape) for shape in piece.shapes))
        )
    result.sleeves[piece.name] = {
        "source": wish.source,
        "cloth": None
        if wish.cloth is None
        else {"name": wish.cloth.name, "source": wish.cloth.source},
        "sizes": {o.size: figures(o, ctx.units) for o in outcomes},
    }


def _each(one: Callable[[str], SizeResult], sizes: Sequence[str]) -> list[SizeResult]:
    """The sizes side by side: the sparse solver leaves the interpreter to others meanwhile."""
    if len(sizes) < 2:
        return [one(size) for size in sizes]
    with ThreadPoolExecutor(max_workers=min(len(sizes), _SIDE_BY_SIDE)) as pool:
        return list(pool.map(one, sizes))


def _verified(
    result: _Result, outcomes: list[Outcome], piece: Piece, rows: dict[Side, int]
) -> list[Outcome]:
    """The outcomes whose ease, walked anew on the finished pieces, is what was promised."""
    if not outcomes:
        return []
    new = {o.size: o.shape for o in outcomes}
    changed = piece.but(shapes=tuple(new.get(shape.size, shape) for shape in piece.shapes))
    again = walk(result.pattern.with_pieces([changed]))
    kept = []
    for outcome in outcomes:
        z = again.sizes.index(outcome.size)
        missed = max(
            abs(float(again.ease[rows[half.side], z]) - half.after) for half in outcome.halves
        )
        if missed <= NEAR_ENOUGH:
            kept.append(outcome)
            continue
        result.findings = [
            f
            for f in result.findings
            if not (f.code == "cap.eased" and f.size == outcome.size and f.piece == piece.name)
        ]
        result.findings.append(
            Finding(
                code="cap.missed",
                severity=Severity.ERROR,
                message=f"size {outcome.size}: the new cap misses its length by {missed:.3f} mm; "
                "it was left as it is",
                piece=piece.name,
                size=outcome.size,
                measured=missed,
                limit=NEAR_ENOUGH,
                hint="try another place or manner for the tucks, and report this",
            )
        )
    return kept


def _refused(pattern: Pattern, finding: Finding) -> StepResult:
    return StepResult(
        pattern=pattern, findings=(finding,), looked_at=0, skipped="the plan names no cap"
    )
