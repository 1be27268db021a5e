"""Judging what a walk found."""

from __future__ import annotations

import numpy as np

from seamwright.geometry import FloatArray
from seamwright.model import Pattern, Seam, SeamLineSource
from seamwright.plan import Walk, walk
from seamwright.plugins.api import Context, Finding, Severity, StepResult

from . import rows, say
from .options import WalkOptions
from .tolerances import slack


def check(pattern: Pattern, options: WalkOptions, ctx: Context) -> StepResult:
    """Walks every seam in every size and says what is out of its range.

    The pattern comes back as it is. figures: "seams" and "pairs", one row a size; "cap", the ease
    of each half of a cap and their total; lengths in mm.
    """
    if not pattern.seams:
        finding = Finding(
            code="walk.no-plan",
            severity=Severity.WARNING,
            message="no seam was walked: the pattern has no seam plan",
            hint="`seamwright plan FILE` writes one to fill in, with a picture of every name",
        )
        return StepResult(
            pattern=pattern,
            findings=(finding,),
            skipped="there is no seam plan",
            figures={"seams": [], "pairs": [], "cap": []},
        )
    found = walk(pattern)
    low, high = limits(pattern.seams, float(options.tolerance))
    verdicts = judge(found.ease, low, high)
    caps = rows.cap_rows(found)
    findings = [
        *_out_of_range(found, low, high, verdicts, ctx),
        *_misses(found, options, ctx),
        *found.findings,
        *_cut_lines(pattern),
        *[say.cap_note(row, ctx) for row in caps],
    ]
    measured = int(np.isfinite(found.ease).sum())
    return StepResult(
        pattern=pattern,
        findings=tuple(findings),
        looked_at=measured,
        skipped="" if measured else "no seam of the plan could be measured",
        figures={
            "seams": rows.seam_rows(found, low, high, verdicts),
            "pairs": rows.pair_rows(found),
            "cap": caps,
        },
    )


def limits(seams: tuple[Seam, ...], tolerance: float) -> tuple[FloatArray, FloatArray]:
    """At least and at most (S,), mm: the plan's range, else `tolerance` either way."""
    low = [-tolerance if seam.ease is None else seam.ease.at_least for seam in seams]
    high = [tolerance if seam.ease is None else seam.ease.at_most for seam in seams]
    return np.array(low, dtype=np.float64), np.array(high, dtype=np.float64)


def judge(
    ease: FloatArray, low: FloatArray, high: FloatArray
) -> np.ndarray[tuple[int, ...], np.dtype[np.int8]]:
    """(S, Z): 1 over, -1 under, 0 within the range (or not measured)."""
    hair = slack()
    with np.errstate(invalid="ignore"):
        over = ease > high[:, None] + hair
        under = ease < low[:, None] - hair
    return over.astype(np.int8) - under.astype(np.int8)


def _out_of_range(
    found: Walk,
    low: FloatArray,
    high: FloatArray,
    verdicts: np.ndarray[tuple[int, ...], np.dtype[np.int8]],
    ctx: Context,
) -> list[Finding]:
    ease = found.ease
    return [
        say.out_of_range(
            found.seams[s],
            found.sizes[z],
            ease=float(ease[s, z]),
            limit=float(high[s] if verdicts[s, z] > 0 else low[s]),
            over=bool(verdicts[s, z] > 0),
            ctx=ctx,
        )
        for s, z in np.argwhere(verdicts != 0).tolist()
    ]


def _misses(found: Walk, options: WalkOptions, ctx: Context) -> list[Finding]:
    size = np.abs(found.miss)
    with np.errstate(invalid="ignore"):
        far = np.argwhere(size > float(options.notch_warning))
    return [
        say.miss(
            found.seams[int(found.pair_seams[n])],
            found.pair_names[n],
            found.sizes[z],
            miss=float(found.miss[n, z]),
            severity=(
                Severity.ERROR if size[n, z] > float(options.notch_error) else Severity.WARNING
            ),
            limit=float(options.notch_warning),
            ctx=ctx,
        )
        for n, z in far.tolist()
    ]


def _cut_lines(pattern: Pattern) -> list[Finding]:
    """One finding a piece whose cut line had to stand in for its seam line."""
    sewn = {name for seam in pattern.seams for name in seam.pieces}
    out = []
    for piece in pattern.pieces:
        sizes = [s.size for s in piece.shapes if s.seam_line_source is SeamLineSource.CUT_LINE]
        if piece.name in sewn and sizes:
            out.append(say.cut_line(piece.name, sizes, of=len(piece.shapes)))
    return out
