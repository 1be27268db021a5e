"""The step true-jog: jogs and kinks in a run smoothed."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, field
from typing import Any

import numpy as np

from seamwright.geometry import GeometryError
from seamwright.geometry.fair import Faired, FairError, fair_jog
from seamwright.model import Pattern, Shape
from seamwright.model.edit import Replacement, follow_cut_line, replace_runs
from seamwright.plugins.api import Context, Finding, SeamwrightError, Severity, StepResult

from .options import TrueJog
from .stretches import Stretch, stretches

_LENGTH = 0.05  # mm; a run that changes by more is said to
_ALREADY = 1e-6  # mm; a window that moved by less was smooth


@dataclass(slots=True)
class _Work:
    """What has come together so far."""

    options: TrueJog
    ctx: Context
    findings: list[Finding] = field(default_factory=list)
    rows: list[dict[str, Any]] = field(default_factory=list)
    looked_at: int = 0

    def say(
        self,
        code: str,
        severity: Severity,
        stretch: Stretch,
        size: str,
        message: str,
        **fields: Any,
    ) -> None:
        self.findings.append(
            Finding(
                code=code,
                severity=severity,
                message=f"size {size}: {stretch.name}: {message}",
                piece=stretch.piece,
                size=size,
                seam=stretch.seam,
                edge=stretch.name,
                **fields,
            )
        )


def run(pattern: Pattern, options: TrueJog, ctx: Context) -> StepResult:
    """Smooths the jogs and kinks of runs; see the page true-jog."""
    work = _Work(options, ctx)
    try:
        wanted = stretches(pattern, options)
    except SeamwrightError as error:
        return StepResult(
            pattern=pattern, findings=(error.finding, *error.others), skipped="a run is not there"
        )
    if not wanted:
        why = "no run is named, and the plan has no seam"
        unsaid = Finding(
            code="jog.no-run",
            severity=Severity.WARNING,
            message=f"nothing was looked at: {why}",
            hint='name runs: run = ["Sleeve: underarm-back > shoulder"]',
        )
        return StepResult(pattern=pattern, findings=(unsaid,), skipped=why)
    sizes = {size: z for z, size in enumerate(pattern.sizes)}
    changed = []
    for name in dict.fromkeys(s.piece for s in wanted):
        piece, own = pattern.piece(name), [s for s in wanted if s.piece == name]
        shapes = tuple(
            _trued(work, shape, own, sizes[shape.size]) if shape.size in sizes else shape
            for shape in piece.shapes
        )
        if any(a is not b for a, b in zip(shapes, piece.shapes, strict=True)):
            changed.append(piece.but(shapes=shapes))
    if not changed and not any(f.severity is not Severity.NOTE for f in work.findings):
        work.findings.append(
            Finding(
                code="jog.none",
                severity=Severity.NOTE,
                message=f"nothing to smooth in {work.looked_at} "
                f"{'run' if work.looked_at == 1 else 'runs'}",
            )
        )
    return StepResult(
        pattern=pattern.with_pieces(changed) if changed else pattern,
        findings=tuple(work.findings),
        looked_at=work.looked_at,
        skipped="" if work.looked_at else "no size has the run",
        figures={"runs": work.rows},
    )


def _trued(work: _Work, shape: Shape, own: list[Stretch], z: int) -> Shape:
    """One piece in one size, all its stretches done."""
    replacements: list[Replacement] = []
    windows: list[tuple[float, float]] = []
    rows: list[dict[str, Any]] = []
    said = len(work.findings)
    for stretch in own:
        found = _faired(work, shape, stretch, z)
        if found is None:
            continue
        begin, faired = found
        whole = shape.seam_line.length
        for (a, b), (na, nb) in zip(faired.windows, faired.new_windows, strict=True):
            start, end = (begin + float(a)) % whole, (begin + float(b)) % whole
            windows.append((start, end))
            replacements.append(
                Replacement(
                    start=shape.seam_line.station_at(start),
                    end=shape.seam_line.station_at(end),
                    curve=faired.curve.part(float(na), float(nb)),
                )
            )
        rows.append(_row(work, shape, stretch, z, begin, faired))
    if not replacements:
        return shape
    try:
        replaced = replace_runs(shape, replacements)
    except GeometryError:
        del work.findings[said:]
        work.say(
            "jog.overlap",
            Severity.ERROR,
            own[0],
            shape.size,
            "runs that overlap cannot be trued at once",
            hint="name each stretch of outline once",
        )
        return shape
    followed = follow_cut_line(shape, replaced, windows)
    if not followed.fits:
        work.say(
            "jog.cut-line",
            Severity.WARNING,
            own[0],
            shape.size,
            "the cut line did not run parallel, so it could not follow and was taken away",
            hint="make it anew from the seam line and the allowances",
        )
    work.rows += rows
    return followed.shape


def _faired(work: _Work, shape: Shape, stretch: Stretch, z: int) -> tuple[float, Faired] | None:
    """Where the stretch begins on the outline, and its fairing; None where nothing is to do."""
    if not np.isfinite([stretch.starts[z], stretch.ends[z]]).all():
        return None
    options, (begin, end) = work.options, stretch.on_outline(z)
    line = shape.seam_line.part(begin, end)
    work.looked_at += 1
    at = [float(s) if stretch.forward else line.length - float(s) for s in options.at]
    try:
        faired = fair_jog(
            line,
            within=float(options.within),
            at=at or None,
            keep_length=options.keep_length,
            sharper_than=float(options.sharper_than),
            longest_step=float(options.longest_step),
            corners_above=float(options.corners_above),
        )
    except FairError as error:
        _say_why_not(work, shape, stretch, error)
        return None
    _say_left(work, shape, stretch, faired, begin)
    if not faired.kinks or faired.largest_shift < _ALREADY:
        return None
    return begin, faired


_WHY = {
    "nothing": ("jog.none", Severity.WARNING, "look at the places named as at"),
    "room": ("jog.corner", Severity.WARNING, "a corner is trued with the seams that meet in it"),
    "shape": (
        "jog.shape",
        Severity.ERROR,
        "allow more of the line to change (within), or let its length change",
    ),
}


def _say_why_not(work: _Work, shape: Shape, stretch: Stretch, error: FairError) -> None:
    code, severity, hint = _WHY[error.reason]
    work.say(code, severity, stretch, shape.size, str(error), hint=hint)


def _say_left(work: _Work, shape: Shape, stretch: Stretch, faired: Faired, begin: float) -> None:
    for kink in faired.left:
        if abs(kink.turn) > float(work.options.corners_above) and kink.step == 0.0:
            continue  # a corner, and meant to be there
        x, y = shape.seam_line.point_at((begin + kink.start) % shape.seam_line.length)
        work.say(
            "jog.near-end",
            Severity.WARNING,
            stretch,
            shape.size,
            f"a break of {abs(kink.turn):.0f} degrees next to the end of the run was left alone",
            x=float(x),
            y=float(y),
            measured=abs(kink.turn),
            hint="it belongs to the seam that is sewn there: true it with that seam",
        )


def _row(
    work: _Work, shape: Shape, stretch: Stretch, z: int, begin: float, faired: Faired
) -> dict[str, Any]:
    """What was done, said and in figures."""
    ctx = work.ctx
    before = _old_length(shape, stretch, z)
    after = faired.curve.length
    places = [k.start if stretch.forward else before - k.end for k in faired.kinks]
    kinds = Counter("jog" if k.step > 0.0 else "kink" for k in faired.kinks)
    what = " and ".join(f"{n} {kind}{'s' if n > 1 else ''}" for kind, n in sorted(kinds.items()))
    x, y = shape.seam_line.point_at((begin + faired.kinks[0].start) % shape.seam_line.length)
    change = after - before
    same = abs(change) <= _LENGTH
    length = (
        "length unchanged"
        if same
        else (f"{ctx.length(abs(change))} {'longer' if change > 0 else 'shorter'}")
    )
    work.say(
        "jog.smoothed",
        Severity.NOTE,
        stretch,
        shape.size,
        f"{what} smoothed; the line moved by {ctx.length(faired.largest_shift)} at most, {length}",
        x=float(x),
        y=float(y),
        measured=faired.largest_shift,
    )
    if not same:
        work.say(
            "jog.length",
            Severity.WARNING,
            stretch,
            shape.size,
            f"the run is {length}, so its ease changed",
            measured=change,
            limit=_LENGTH,
            hint="walk the seam again; keep-length = true keeps it",
        )
    return {
        "piece": stretch.piece,
        "run": stretch.name,
        "size": shape.size,
        "kinks": [
            {"at": place, "turn": k.turn, "step": k.step}
            for place, k in zip(places, faired.kinks, strict=True)
        ],
        "largest_shift": faired.largest_shift,
        "length_before": before,
        "length_after": after,
    }


def _old_length(shape: Shape, stretch: Stretch, z: int) -> float:
    begin, end = stretch.on_outline(z)
    return shape.seam_line.part(begin, end).length
