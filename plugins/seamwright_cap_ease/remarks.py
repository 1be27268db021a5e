"""What is said of one size besides what was done."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from seamwright.paper import NEAR_ENOUGH, SIDES, Side, what_else_helps
from seamwright.plugins.api import Context, Finding, Severity

from .fold import Folded
from .job import SizeJob
from .options import EaseCap
from .outcome import placed, strain_in_words
from .redraw import Redrawn

_STRAINED = 0.06  # mean strain; twice what an ordinary tuck of 3/16 in a side leaves
_MOVED = 1.0  # mm; tucks that sit farther from the place asked for are mentioned
_FAR = 20.0  # mm; and warned of


def nothing_to_do(job: SizeJob, ctx: Context) -> Finding:
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


def left_alone(job: SizeJob, side: Side, ctx: Context) -> list[Finding]:
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


def released(
    job: SizeJob, held: Mapping[Side, float], folded: Folded, ctx: Context
) -> list[Finding]:
    """Where less of the underarm was held than up to the notch."""
    found = []
    for side, is_held in ((job.cap.first, folded.held[0]), (job.cap.second, folded.held[1])):
        asked = held.get(side, 0.0)
        if is_held < asked:
            so = f"for {ctx.length(is_held)} only" if is_held else "not at all"
            found.append(
                job.say(
                    "cap.held",
                    Severity.NOTE,
                    f"{side}: the underarm curve was held {so}, not up to the notch at "
                    f"{ctx.length(asked)}, where the edge would have bent sharply",
                    seam=side,
                    measured=is_held,
                    limit=asked,
                )
            )
    return found


def remarks(
    job: SizeJob, options: EaseCap, folded: Folded, redrawn: Redrawn, ctx: Context
) -> list[Finding]:
    """What else is to be known of a size that was folded."""
    return [
        *_places(job, options, folded, ctx),
        *_of_the_sheet(job, folded),
        *_of_the_piece(job, redrawn),
    ]


def _places(job: SizeJob, options: EaseCap, folded: Folded, ctx: Context) -> Iterator[Finding]:
    for side in SIDES:
        tucks = placed(job.cap, folded, side)
        if not tucks:
            continue
        moved = sum(t.at for t in tucks) / len(tucks) - float(options.from_shoulder)
        if abs(moved) > _MOVED:
            yield job.say(
                "cap.place",
                Severity.WARNING if abs(moved) > _FAR else Severity.NOTE,
                f"{side}: the tucks sit {ctx.length(abs(moved))} farther "
                f"{'down' if moved > 0 else 'up'} the cap than asked, so that all lie between "
                "shoulder point and notch, and none on a mark",
                seam=side,
                measured=moved,
            )


def _of_the_sheet(job: SizeJob, folded: Folded) -> Iterator[Finding]:
    if folded.strain is not None and folded.strain.mean > _STRAINED:
        yield job.say(
            "cap.strained",
            Severity.WARNING,
            "so much taken out of this cap leaves a strong bubble: "
            f"{strain_in_words(folded.strain)}",
            measured=folded.strain.mean,
            limit=_STRAINED,
            hint="look at the new outline before it is used; less out, or "
            "hold-below-notches = false, gives a softer line. " + what_else_helps(),
        )
    if folded.model == "rod" and folded.instead:
        yield job.say(
            "cap.rod",
            Severity.WARNING,
            "the cap could not be pressed as a sheet; the edge alone was bent instead (length "
            "exact, shape within about a millimetre or two)",
            hint=folded.instead,
        )


def _of_the_piece(job: SizeJob, redrawn: Redrawn) -> Iterator[Finding]:
    if not redrawn.cut_line:
        yield job.say(
            "cap.cut-line",
            Severity.WARNING,
            "the cut line did not run parallel to the cap, so it could not follow and was taken "
            "away",
            hint="make it anew from the seam line and the allowances",
        )
    if redrawn.sticking_out:
        yield job.say(
            "cap.sticks-out",
            Severity.WARNING,
            f"the lowered cap no longer covers: {', '.join(redrawn.sticking_out)}",
            hint="shorten or move it; what is drawn inside the cap does not move with it",
        )
    rest = [name for name in redrawn.inside if name not in redrawn.sticking_out]
    rest = [name for name in rest if name != "grain line" and not name.startswith("text ")]
    if rest:
        yield job.say(
            "cap.inside",
            Severity.NOTE,
            f"drawn inside the cap and left where it is: {', '.join(rest)}",
        )
