"""One size from beginning to end: what is wanted, what is folded, what came of it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np

from seamwright.paper import (
    NEAR_ENOUGH,
    SIDES,
    Folding,
    Side,
    Span,
    folding,
    what_else_helps,
    why_short,
)
from seamwright.plugins.api import Context, Finding, Severity

from .edge import CapEdge
from .fold import Folded, fold
from .options import EaseCap
from .outcome import Half, Outcome, placed, strain_in_words
from .redraw import Redrawn, redraw
from .refusal import Refusal
from .wanted import Wanted

_STRAINED = 0.06  # mean strain; twice what an ordinary tuck of 3/16 in a side leaves
_FAR = 20.0  # mm; tucks that sit farther away than this are warned of
_MOVED = 0.5  # mm; tucks that sit farther from the place asked for are mentioned


@dataclass(slots=True)
class SizeResult:
    """What came of one size: an outcome or none, and what is to be said."""

    outcome: Outcome | None = None
    findings: list[Finding] = field(default_factory=list)


@dataclass(frozen=True, slots=True, kw_only=True)
class SizeJob:
    """One size to do. ease: of each half, mm; wanted: what each may hold."""

    size: str
    piece: str
    cap: CapEdge
    ease: Mapping[Side, float]
    wanted: Mapping[Side, Wanted | None]

    def say(self, code: str, severity: Severity, message: str, **fields: object) -> Finding:
        """A finding about this size."""
        return Finding(
            code=code,
            severity=severity,
            message=f"size {self.size}: {message}",
            piece=self.piece,
            size=self.size,
            **fields,  # type: ignore[arg-type]
        )


def do_size(job: SizeJob, options: EaseCap, ctx: Context) -> SizeResult:
    """Folds one size. Raises Refusal."""
    result = SizeResult()
    over = {side: w.span for side, w in job.wanted.items() if w is not None and _over(job, side)}
    if not over:
        result.findings.append(_nothing_to_do(job, ctx))
        return result
    for side in SIDES:
        if side not in over:
            result.findings += _left_alone(job, side, ctx)
    foldings, held = _foldings(job, over, options, ctx, result)
    if not foldings:
        return result
    folded = fold(job.cap, foldings, options, held, ctx)
    redrawn = redraw(job.cap, folded)
    result.outcome = _outcome(job, options, folded, redrawn)
    result.findings += _remarks(job, foldings, folded, redrawn, ctx)
    return result


def _over(job: SizeJob, side: Side) -> bool:
    wanted = job.wanted[side]
    return wanted is not None and job.ease[side] > wanted.span.at_most + NEAR_ENOUGH


def _foldings(
    job: SizeJob, over: Mapping[Side, Span], options: EaseCap, ctx: Context, result: SizeResult
) -> tuple[dict[Side, Folding], dict[Side, float]]:
    """Tucks for each half that needs some, and how much of each half is held in place."""
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
            place=place,
            largest=float(options.largest_tuck),
            apart=float(options.apart),
            room=notch,
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


def _nothing_to_do(job: SizeJob, ctx: Context) -> Finding:
    """No half holds more than it may."""
    said, under, asked = [], False, False
    for side in SIDES:
        wanted, ease = job.wanted[side], job.ease[side]
        if wanted is None:
            continue
        least = wanted.span.at_most if wanted.exact else wanted.span.at_least or 0.0
        short = ease < least - NEAR_ENOUGH
        under |= short
        asked |= short and wanted.exact
        what = (
            f"wanted {ctx.length(wanted.span.at_most)}"
            if wanted.exact
            else (f"may hold {ctx.length(wanted.span.at_most)}")
        )
        said.append(f"{side} holds {ctx.length(ease)} ({what})")
    if under:
        return job.say(
            "cap.under",
            Severity.ERROR if asked else Severity.WARNING,
            f"the cap holds less ease than {'the target' if asked else 'it should'}: "
            f"{', '.join(said)}; nothing was folded",
            hint="folding only takes ease out: raise the cap, or take in the armhole",
        )
    return job.say(
        "cap.fits",
        Severity.NOTE,
        f"nothing to fold: {', '.join(said) or 'nothing is asked of either half'}",
    )


def _left_alone(job: SizeJob, side: Side, ctx: Context) -> list[Finding]:
    """A half that is left as it is, while the other is folded, though it holds too little."""
    wanted, ease = job.wanted[side], job.ease[side]
    if wanted is None:
        return []
    least = wanted.span.at_most if wanted.exact else wanted.span.at_least or 0.0
    if ease >= least - NEAR_ENOUGH:
        return []
    return [
        job.say(
            "cap.under",
            Severity.WARNING,
            f"{side}: the cap holds {ctx.length(ease)} of ease, less than {ctx.length(least)}; "
            "this half was left as it is",
            seam=side,
            measured=ease,
            limit=least,
            hint="folding only takes ease out: raise the cap, or take in the armhole",
        )
    ]


def _remarks(
    job: SizeJob,
    foldings: Mapping[Side, Folding],
    folded: Folded,
    redrawn: Redrawn,
    ctx: Context,
) -> list[Finding]:
    found = []
    for side, one in foldings.items():
        if abs(one.moved) > _MOVED:
            way = "down" if one.moved > 0 else "up"
            found.append(
                job.say(
                    "cap.place",
                    Severity.WARNING if abs(one.moved) > _FAR else Severity.NOTE,
                    f"{side}: the tucks sit {ctx.length(abs(one.moved))} farther {way} the cap "
                    "than asked, so that all lie between shoulder point and notch",
                    seam=side,
                    measured=one.moved,
                )
            )
    if folded.strain is not None and folded.strain.mean > _STRAINED:
        found.append(
            job.say(
                "cap.strained",
                Severity.WARNING,
                f"so much taken out of this cap leaves a strong bubble: "
                f"{strain_in_words(folded.strain)}",
                measured=folded.strain.mean,
                limit=_STRAINED,
                hint="look at the new outline before it is used; less out, or "
                "hold-below-notches = false, gives a softer line. " + what_else_helps(),
            )
        )
    if folded.model == "rod" and folded.instead:
        found.append(
            job.say(
                "cap.rod",
                Severity.WARNING,
                "the cap could not be pressed as a sheet; the edge alone was bent instead (length "
                "exact, shape within about a millimetre or two)",
                hint=folded.instead,
            )
        )
    if not redrawn.cut_line:
        found.append(
            job.say(
                "cap.cut-line",
                Severity.WARNING,
                "the cut line did not run parallel to the cap, so it could not follow and was "
                "taken away",
                hint="make it anew from the seam line and the allowances",
            )
        )
    if redrawn.sticking_out:
        found.append(
            job.say(
                "cap.sticks-out",
                Severity.WARNING,
                f"the lowered cap no longer covers: {', '.join(redrawn.sticking_out)}",
                hint="shorten or move it; what is drawn inside the cap does not move with it",
            )
        )
    rest = [name for name in redrawn.inside if name not in redrawn.sticking_out]
    rest = [name for name in rest if name != "grain line" and not name.startswith("text ")]
    if rest:
        found.append(
            job.say(
                "cap.inside",
                Severity.NOTE,
                f"drawn inside the cap and left where it is: {', '.join(rest)}",
            )
        )
    return found


__all__ = ["Refusal", "SizeJob", "SizeResult", "do_size"]
