"""check-true: what runs across the ends of seams, folds and darts, as if sewn."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from seamwright.findings import SeamwrightError
from seamwright.geometry import FloatArray
from seamwright.model import Pattern
from seamwright.plan import Walk, walk
from seamwright.plugins.api import Context, Finding, StepResult

from . import across_codes as codes
from .across_options import CheckTrue, EndOptions
from .ends import End, ends_of
from .measure import dart_mouths, end_steps, interior_angles
from .tolerances import tolerances


@dataclass(frozen=True, slots=True, eq=False)
class Laid:
    """All ends (E) of a pattern in Z sizes, joined pieces laid together.

    angles  (E, 2, Z) interior angles in degrees; of a fold both are the one there is
    turns   (E, Z) what the two lack of 180: a point where positive, a hollow where negative
    steps   (E, Z) mm by which the sew side (a dart's left leg) stands out
    """

    ends: tuple[End, ...]
    angles: FloatArray
    steps: FloatArray
    walked: Walk

    @property
    def turns(self) -> FloatArray:
        return np.asarray(180.0 - self.angles.sum(axis=1))


def lay(pattern: Pattern, options: EndOptions) -> Laid:
    """Raises SeamwrightError for names in the options that are none."""
    ends = ends_of(pattern, options)
    walked = walk(pattern)
    shape = (len(ends), 2, len(pattern.sizes))
    angles, steps = np.full(shape, np.nan), np.full(shape[::2], np.nan)
    corners = [(e, k, (s.piece, s.name)) for e, end in enumerate(ends) if end.kind != "dart"
               for k, s in enumerate(end.sides)]  # fmt: skip
    if corners:
        found = interior_angles(pattern, [c for _, _, c in corners])
        angles[[e for e, _, _ in corners], [k for _, k, _ in corners]] = found
    folds = [e for e, end in enumerate(ends) if end.kind == "fold"]
    angles[folds, 1], steps[folds] = angles[folds, 0], 0.0
    darts = [e for e, end in enumerate(ends) if end.kind == "dart"]
    angles[darts], steps[darts] = dart_mouths(
        pattern, [(ends[e].sides[0].piece, ends[e].sides[0].name) for e in darts]
    )
    sewn = [e for e, end in enumerate(ends) if end.kind == "seam"]
    steps[sewn] = end_steps(walked, [ends[e].number for e in sewn], [ends[e].first for e in sewn])
    return Laid(tuple(ends), angles, steps, walked)


def kink_limit(options: EndOptions) -> float:
    """Degrees that are let pass."""
    return float(tolerances()["kink"]["tolerance"] if options.kink is None else options.kink)


def check(pattern: Pattern, options: CheckTrue, ctx: Context) -> StepResult:
    """See the page check-true."""
    try:
        laid = lay(pattern, options)
    except SeamwrightError as error:
        return StepResult(
            pattern=pattern, findings=(error.finding,), skipped="an end that is named is not there"
        )
    step = float(tolerances()["step"]["tolerance"] if options.step is None else options.step)
    kink, corner = kink_limit(options), float(options.corners_above)
    findings: list[Finding] = []
    looked_at = 0
    for e, end in enumerate(laid.ends):
        if end.aside:
            continue
        turns = laid.turns[e]
        there = np.isfinite(turns)
        looked_at += int(there.sum())
        size = np.abs(np.where(there, turns, 0.0))
        if ((size > kink) & (size <= corner)).any():
            worst = int(np.argmax(np.where(size <= corner, size, 0.0)))
            where = (size > kink) & (size <= corner)
            findings.append(_kink(pattern, laid, e, worst, where, kink))
        off = np.abs(np.nan_to_num(laid.steps[e]))
        # A point that is meant is not held against its angle; a step never is meant.
        if (off > step).any():
            findings.append(_step(pattern, laid, e, int(np.argmax(off)), off > step, step, ctx))
    judged = [end for end in laid.ends if not end.aside]
    return StepResult(
        pattern=pattern,
        findings=tuple(findings),
        looked_at=looked_at,
        skipped="" if looked_at else _why_nothing(laid, judged),
        figures={"ends": rows_of(pattern, laid, corner), "set_aside": set_aside(laid)},
    )


def rows_of(pattern: Pattern, laid: Laid, corner: float) -> list[dict[str, Any]]:
    """Every judged end in every size, for the record."""
    out = []
    for e, end in enumerate(laid.ends):
        if end.aside:
            continue
        for z, size in enumerate(pattern.sizes):
            if not np.isfinite(laid.turns[e, z]):
                continue
            turn = float(laid.turns[e, z])
            out.append(
                {
                    "end": end.name,
                    "size": size,
                    "angle": float(laid.angles[e, 0, z]),
                    "other_angle": float(laid.angles[e, 1, z]),
                    "turn": turn,
                    "step": float(laid.steps[e, z]),
                    "meant": abs(turn) > corner,
                }
            )
    return out


def set_aside(laid: Laid) -> list[dict[str, str]]:
    """Ends that were not judged, and why."""
    return [{"end": end.name, "why": end.aside} for end in laid.ends if end.aside]


def _why_nothing(laid: Laid, judged: list[End]) -> str:
    if not laid.ends:
        return "the plan has no seam, and no piece has a fold or dart"
    return "no line is meant to run on across any seam" if not judged else "no size has the corners"


def _kink(
    pattern: Pattern, laid: Laid, e: int, z: int, where: np.ndarray[Any, Any], limit: float
) -> Finding:
    end, turn = laid.ends[e], float(laid.turns[e, z])
    angles = [float(a) for a in laid.angles[e, :, z]]
    what = "a point" if turn > 0 else "a hollow"
    told = (
        f"the interior angle is {angles[0]:.1f} degrees where 90 is wanted"
        if end.kind == "fold"
        else f"interior angles {angles[0]:.1f} and {angles[1]:.1f} degrees, 180 together wanted"
    )
    return Finding(
        code=codes.KINK.code,
        severity=codes.KINK.severity,
        message=f"{place_of(end)} the line that runs across has {what} of {abs(turn):.1f} degrees "
        f"({told}){sizes_of(pattern, where, z)}",
        seam=end.seam,
        piece=end.sides[0].piece,
        size=pattern.sizes[z],
        edge=end.name,
        measured=turn,
        limit=limit,
        hint=codes.KINK.remedy,
        **_xy(pattern, end, z),
    )


def _step(
    pattern: Pattern, laid: Laid, e: int, z: int, where: np.ndarray[Any, Any], limit: float,
    ctx: Context,
) -> Finding:  # fmt: skip
    end, step = laid.ends[e], float(laid.steps[e, z])
    longer = end.sides[0 if step > 0 else 1]
    who = f"{longer.piece} stands out" if end.kind == "seam" else (
        f"the {'left' if step > 0 else 'right'} leg stands out"
    )  # fmt: skip
    return Finding(
        code=codes.STEP.code,
        severity=codes.STEP.severity,
        message=f"{place_of(end)} {who} by {ctx.length(abs(step))}{sizes_of(pattern, where, z)}",
        seam=end.seam,
        piece=longer.piece,
        size=pattern.sizes[z],
        edge=end.name,
        measured=step,
        limit=limit,
        hint=codes.STEP.remedy,
        **_xy(pattern, end, z),
    )


def place_of(end: End) -> str:
    """ "at "underarm" of seam "side"", for messages."""
    first, _, mark = end.name.rpartition(": ")
    if end.kind == "fold":
        return f'at "{mark}" on the fold of {first}:'
    if end.kind == "dart":
        return f'over the closed dart "{mark}" of {first}:'
    return f'at "{mark}", over seam "{first}":'


def sizes_of(pattern: Pattern, where: np.ndarray[Any, Any], worst: int) -> str:
    """ ", in 3 of 7 sizes, most in C"; nothing for a pattern of one size."""
    count = int(where.sum())
    if len(pattern.sizes) == 1:
        return ""
    if count == 1:
        return f", in size {pattern.sizes[worst]}"
    of = "all sizes" if count == len(pattern.sizes) else f"{count} of {len(pattern.sizes)} sizes"
    return f", in {of}, most in {pattern.sizes[worst]}"


def _xy(pattern: Pattern, end: End, z: int) -> dict[str, Any]:
    if end.kind == "dart":
        return {}
    shape = pattern.piece(end.sides[0].piece).in_size(pattern.sizes[z])
    x, y = shape.seam_line.point_of(shape.corner(end.sides[0].name).station)
    return {"x": float(x), "y": float(y)}
