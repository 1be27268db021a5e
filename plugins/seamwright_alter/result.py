"""Running an alteration of the cap over all sleeves and sizes, and telling what it did."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np

from seamwright.findings import SeamwrightError
from seamwright.geometry import Curve
from seamwright.geometry.simple import crosses_itself
from seamwright.model import Pattern, Shape
from seamwright.model.edit import Replaced
from seamwright.model.edit.follow import follow_cut_line
from seamwright.plan import Cap, cap_of, has_cap
from seamwright.plugins.api import Code, Context, Finding, StepResult

from . import codes
from .marks import left_behind, lines_following
from .sleeve import NoCornerError, Sleeve, half_lengths, sleeve_of


class OutOfReachError(Exception):
    """The geometry does not allow it; the text says why."""


Redraw = Callable[[Sleeve], Curve]


def over_sleeves(pattern: Pattern, ctx: Context, redraw: Redraw) -> StepResult:
    """Every sleeve of the plan in every size through `redraw`; all or nothing."""
    if not has_cap(pattern):
        return refused(pattern, [finding(codes.NO_CAP, "no seam is marked as half of a cap")])
    findings: list[Finding] = []
    rows: list[dict[str, Any]] = []
    changed = pattern
    sleeves = dict.fromkeys(s.sew.pieces[0] for s in pattern.seams if s.cap is not None)
    for name in sleeves:
        try:
            cap = cap_of(pattern, sleeve=name)
        except SeamwrightError as error:
            return refused(pattern, [error.finding])
        piece = pattern.piece(name)
        shapes = []
        for shape in piece.shapes:
            z = pattern.sizes.index(shape.size)
            try:
                new, row, said = _one(cap, shape, z, redraw, ctx)
            except NoCornerError as error:
                return refused(
                    pattern,
                    [finding(codes.NO_CORNER, f'"{error}" is no corner', name, shape.size)],
                )
            except OutOfReachError as error:
                return refused(pattern, [finding(codes.OUT_OF_REACH, str(error), name, shape.size)])
            shapes.append(new)
            rows.append({"piece": name, **row})
            findings += [f.but(piece=name, size=shape.size) for f in said]
        changed = changed.with_pieces([piece.but(shapes=tuple(shapes))])
    return StepResult(
        pattern=changed,
        findings=tuple(findings),
        looked_at=len(rows),
        figures={"sleeves": rows},
    )


def _one(
    cap: Cap, shape: Shape, z: int, redraw: Redraw, ctx: Context
) -> tuple[Shape, dict[str, Any], list[Finding]]:
    sleeve = sleeve_of(cap, shape, z)
    outline = redraw(sleeve)
    if crosses_itself(outline):
        raise OutOfReachError("the new outline would cross itself")
    new = shape.but(seam_line=outline)
    seam = shape.seam_line
    ends = (
        float(seam.cumulative[sleeve.seam_in[0]]),
        float(seam.cumulative[sleeve.seam_out[-1] + 1]) % seam.length,
    )
    followed = follow_cut_line(shape, Replaced(shape=new, move=lambda s: s), [ends])
    findings: list[Finding] = []
    if not followed.fits:
        findings.append(finding(codes.CUT_LINE, "the cut line does not follow the new edge"))
    made = lines_following(shape, followed.shape)
    if left_behind(shape, made):
        findings.append(finding(codes.INSIDE, "lines or holes inside the sleeve were not moved"))
    after = sleeve_of(cap, made, z)
    back, front = half_lengths(sleeve, seam)
    new_back, new_front = half_lengths(sleeve, outline)
    to_back, to_front = float(cap.back.to_lengths[z]), float(cap.front.to_lengths[z])
    row: dict[str, Any] = {
        "size": shape.size,
        "bicep_before": sleeve.bicep,
        "bicep_after": after.bicep,
        "cap_height_before": sleeve.height_of(sleeve.shoulder),
        "cap_height_after": after.height_of(_shoulder(sleeve, outline)),
        "back_length_before": back,
        "back_length_after": new_back,
        "front_length_before": front,
        "front_length_after": new_front,
        "back_ease_before": back - to_back,
        "back_ease_after": new_back - to_back,
        "front_ease_before": front - to_front,
        "front_ease_after": new_front - to_front,
    }
    findings.insert(
        0,
        finding(
            codes.DONE,
            f"bicep {ctx.length(row['bicep_before'])} -> {ctx.length(row['bicep_after'])}, cap "
            f"height {ctx.length(row['cap_height_before'])} -> "
            f"{ctx.length(row['cap_height_after'])}; ease of the back "
            f"{ctx.length(row['back_ease_before'])} -> {ctx.length(row['back_ease_after'])}, of "
            f"the front {ctx.length(row['front_ease_before'])} -> "
            f"{ctx.length(row['front_ease_after'])}",
        ),
    )
    return made, row, findings


def _shoulder(sleeve: Sleeve, outline: Curve) -> Any:
    at = sleeve.shape.seam_line.nearest(sleeve.shoulder[None])
    return np.asarray(outline.points_of(at.segments, at.ts))[0]


def finding(
    code: Code, message: str, piece: str | None = None, size: str | None = None, **fields: Any
) -> Finding:
    """A finding with the code's severity and remedy."""
    return Finding(
        code=code.code,
        severity=code.severity,
        message=message,
        piece=piece,
        size=size,
        hint=code.remedy,
        **fields,
    )


def refused(pattern: Pattern, findings: list[Finding]) -> StepResult:
    """The unchanged pattern, and why."""
    return StepResult(pattern=pattern, findings=tuple(findings), skipped="nothing was altered")
