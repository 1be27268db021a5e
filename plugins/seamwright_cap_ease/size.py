"""One size from beginning to end: what is wanted, what is folded, what came of it."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from seamwright.paper import SIDES, Folding, Side, Span, folding, what_else_helps, why_short
from seamwright.plugins.api import Context, Severity

from .fold import Folded, fold
from .job import SizeJob, SizeResult
from .options import EaseCap
from .outcome import Half, Outcome, placed
from .redraw import Redrawn, redraw
from .refusal import Refusal
from .remarks import left_alone, nothing_to_do, released, remarks

# Where tucks will not go, others are tried: (mm more than they keep from the notch below them
# anyway, mm farther down the cap).
_TRIES = ((0.0, 0.0), (4.0, 0.0), (9.0, 0.0), (0.0, -9.0), (0.0, 9.0), (0.0, -18.0))


def do_size(job: SizeJob, options: EaseCap, ctx: Context) -> SizeResult:
    """Folds one size. Raises Refusal."""
    result = SizeResult()
    over = {side: w.span for side, w in job.wanted.items() if w is not None and job.over(side)}
    if not over:
        result.findings.append(nothing_to_do(job, ctx))
        return result
    for side in SIDES:
        if side not in over:
            result.findings += left_alone(job, side, ctx)
    said = len(result.findings)
    for attempt in _TRIES:
        del result.findings[said:]
        foldings, held = _foldings(job, over, options, ctx, result, attempt)
        if not foldings:
            return result
        try:
            folded = fold(job.cap, foldings, options, held, ctx)
            break
        except Refusal as refusal:
            # A mouth slides along the edge, or opens wider than it takes, or a notch is there.
            if refusal.code != "cap.overlap" or attempt == _TRIES[-1]:
                raise
    redrawn = redraw(job.cap, folded)
    result.outcome = _outcome(job, options, folded, redrawn)
    result.findings += released(job, held, folded, ctx)
    result.findings += remarks(job, options, folded, redrawn, ctx)
    return result


def _foldings(
    job: SizeJob,
    over: Mapping[Side, Span],
    options: EaseCap,
    ctx: Context,
    result: SizeResult,
    attempt: tuple[float, float],
) -> tuple[dict[Side, Folding], dict[Side, float]]:
    """Tucks for each half that needs some, and how much of each half is held in place. attempt: see
    `_TRIES`."""
    clear, down = attempt
    place = float(options.from_shoulder)
    foldings: dict[Side, Folding] = {}
    held: dict[Side, float] = {}
    for side in SIDES:
        run = job.cap.run(side)
        notch = job.cap.bounding_notch(side, place)
        if options.hold_below_notches and notch is not None:
            held[side] = run - notch
        if side not in over:
            continue
        found = folding(
            need=job.ease[side] - over[side].at_most,
            run=run,
            place=max(place + down, 1.0),
            largest=float(options.largest_tuck),
            apart=float(options.apart),
            room=None if notch is None else notch - clear,
        )
        why = why_short(found, run, ctx.units)
        if why:
            refuse = options.if_short == "refuse"
            result.findings.append(
                job.say(
                    "cap.short",
                    Severity.ERROR if refuse else Severity.WARNING,
                    f"{side}: folding cannot bring {ctx.length(job.ease[side])} of ease down to "
                    f"{ctx.length(over[side].at_most)}: {why}"
                    + ("; nothing was changed" if refuse else ""),
                    seam=side,
                    measured=found.taken,
                    limit=found.need,
                    hint=what_else_helps()
                    + (' To fold as much as may be, set if-short = "do what it can".' * refuse),
                )
            )
        if found.tucks:
            foldings[side] = found
    if options.if_short == "refuse" and any(f.code == "cap.short" for f in result.findings):
        return {}, held
    return foldings, held


def _outcome(job: SizeJob, options: EaseCap, folded: Folded, redrawn: Redrawn) -> Outcome:
    cap = job.cap

    def half(side: Side) -> Half:
        tucks = placed(cap, folded, side)
        gone = sum(w.width for w in folded.wedges if (w.start < cap.top) == (side == cap.first))
        return Half(
            side=side,
            before=job.ease[side],
            after=job.ease[side] - gone,
            wanted=job.wanted[side],
            tucks=tucks,
        )

    shoulder = folded.curve.point_at(float(folded.taken.after(cap.top)))
    ends = folded.curve.end - folded.curve.start
    return Outcome(
        size=job.size,
        shape=redrawn.shape,
        halves=(half("back"), half("front")),
        height=(cap.height(cap.shoulder), cap.height(shoulder)),
        bicep=(cap.bicep, float(np.hypot(*ends))),
        shoulder=(float(shoulder[0]), float(shoulder[1])),
        shift=folded.shift,
        trued=folded.trued,
        strain=folded.strain,
        model=folded.model,
        manner=options.manner,
        depth=folded.depth,
    )
