"""An alteration of front and back at the armhole, over all sizes, and what it does to the ease."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np

from seamwright.findings import SeamwrightError
from seamwright.geometry import GeometryError
from seamwright.model import Pattern, Shape
from seamwright.model.edit import renew
from seamwright.plan import Cap, CapHalf, cap_of, has_cap, resolve_run, walk
from seamwright.plugins.api import Context, Finding, StepResult

from . import codes
from .armhole import Armhole, armhole_of
from .marks import left_behind, lines_following, on_seam_line
from .result import finding, refused

_ON = 1e-6  # mm

Redraw = Callable[[dict[str, Armhole]], dict[str, Shape]]
"""The armholes of "back" and "front" in one size, to the shapes with them redrawn. Where both lie
on one piece, it is called for one after the other."""
After = Callable[[Pattern, Pattern, Cap], Pattern]


class Telling:
    """Findings and figures of one step."""

    def __init__(self) -> None:
        self.findings: list[Finding] = []
        self.rows: list[dict[str, Any]] = []


def caps_of(pattern: Pattern) -> list[Cap]:
    """The caps of all sleeves. SeamwrightError where there is none, or one is out of order."""
    if not has_cap(pattern):
        raise SeamwrightError(finding(codes.NO_CAP, "no seam is marked as half of a cap"))
    sleeves = dict.fromkeys(s.sew.pieces[0] for s in pattern.seams if s.cap is not None)
    return [cap_of(pattern, sleeve=name) for name in sleeves]


def over_armholes(
    pattern: Pattern,
    ctx: Context,
    redraw: Redraw,
    *,
    sides: tuple[str, ...] = ("back", "front"),
    sleeve: After | None = None,
) -> StepResult:
    """Every armhole of the plan in every size through `redraw`, then the sleeves through `sleeve`;
    all or nothing."""
    told = Telling()
    try:
        caps = caps_of(pattern)
        changed = pattern
        for cap in caps:
            changed = _bodice(pattern, changed, cap, redraw, sides)
        for cap in caps if sleeve is not None else ():
            assert sleeve is not None
            changed = sleeve(pattern, changed, cap)
        changed = renewed_pieces(pattern, changed, told)
        _tell(pattern, changed, caps, told, ctx)
    except SeamwrightError as error:
        return refused(pattern, [error.finding, *error.others])
    return StepResult(
        pattern=changed,
        findings=tuple(told.findings),
        looked_at=len(told.rows),
        figures={"armholes": told.rows},
    )


def _bodice(
    before: Pattern,
    changed: Pattern,
    cap: Cap,
    redraw: Redraw,
    sides: tuple[str, ...],
) -> Pattern:
    halves = {s: h for s, h in zip(("back", "front"), cap.halves, strict=True) if s in sides}
    parts = {side: resolve_run(before, half.seam.to).parts[0] for side, half in halves.items()}
    new: dict[tuple[str, str], Shape] = {}
    groups = [list(halves)]
    if len({part.part.piece for part in parts.values()}) < len(parts):
        groups = [[side] for side in halves]
    for group in groups:
        for size in before.sizes:
            holes: dict[str, Armhole] = {}
            for side in group:
                part = parts[side]
                name = part.part.piece
                own = changed.piece(name)
                if size not in own.sizes:
                    continue
                shape = new.get((name, size), on_seam_line(own.in_size(size)))
                try:
                    holes[side] = armhole_of(
                        shape, part.part.marks[0], part.part.marks[-1], forward=part.forward
                    )
                except GeometryError as error:
                    raise _no_armhole(error, name, size) from None
            if not holes:
                continue
            try:
                made = redraw(holes)
            except GeometryError as error:
                raise _no_armhole(error, parts[group[0]].part.piece, size) from None
            for side, shape in made.items():
                new[parts[side].part.piece, size] = shape
    return with_shapes(changed, new)


def _no_armhole(error: GeometryError, piece: str, size: str) -> SeamwrightError:
    return SeamwrightError(finding(codes.NO_ARMHOLE, str(error), piece, size))


def with_shapes(pattern: Pattern, new: dict[tuple[str, str], Shape]) -> Pattern:
    """The pattern with some shapes replaced, by piece and size."""
    return pattern.with_pieces(
        pattern.piece(name).but(
            shapes=tuple(new.get((name, s.size), s) for s in pattern.piece(name).shapes)
        )
        for name in dict.fromkeys(name for name, _ in new)
    )


def renewed_pieces(before: Pattern, after: Pattern, told: Telling) -> Pattern:
    """The pattern with cut lines and lines from corner to corner drawn anew on what changed."""
    new: dict[tuple[str, str], Shape] = {}
    for piece in after.pieces:
        old = before.piece(piece.name)
        if piece is old:
            continue
        for shape in piece.shapes:
            was = old.in_size(shape.size)
            if shape is was:
                continue
            shape = lines_following(was, shape)
            if left_behind(was, shape):
                told.findings.append(
                    finding(
                        codes.INSIDE,
                        "lines or holes inside the piece were not moved",
                        piece.name,
                        shape.size,
                    )
                )
            renewed = renew(shape, was)
            new[piece.name, shape.size] = renewed.shape
            if renewed.cut_line == "dropped":
                told.findings.append(
                    finding(codes.CUT_LINE, "the cut line was taken away", piece.name, shape.size)
                )
            elif renewed.mitred:
                told.findings.append(finding(codes.MITRED, renewed.said, piece.name, shape.size))
    return with_shapes(after, new)


def _tell(before: Pattern, after: Pattern, caps: list[Cap], told: Telling, ctx: Context) -> None:
    for cap in caps:
        now = cap_of(after, sleeve=cap.sleeve)
        for half, new in zip(cap.halves, now.halves, strict=True):
            for z, size in enumerate(before.sizes):
                if np.isfinite(half.ease[z]):
                    told.rows.append(_row(before, after, cap, half, new, z, size))
            z = before.sizes.index(before.base_size)
            told.findings.append(
                finding(
                    codes.ARMHOLE_DONE,
                    f'"{half.seam.name}": armhole {ctx.length(float(half.to_lengths[z]))} -> '
                    f"{ctx.length(float(new.to_lengths[z]))}, ease "
                    f"{ctx.length(float(half.ease[z]))} -> {ctx.length(float(new.ease[z]))}",
                    None,
                    before.base_size,
                    seam=half.seam.name,
                )
            )
    tell_seams(before, after, told, ctx)


def tell_seams(before: Pattern, after: Pattern, told: Telling, ctx: Context) -> None:
    """A warning for each seam whose ease changed."""
    was, then = walk(before), walk(after)
    for s, seam in enumerate(was.seams):
        change = then.ease[s] - was.ease[s]
        if not np.isfinite(change).any():
            continue
        z = int(np.nanargmax(np.abs(change)))
        if abs(float(change[z])) > 0.05:
            told.findings.append(
                finding(
                    codes.SEAM,
                    f'seam "{seam.name}": ease {ctx.length(float(was.ease[s, z]))} -> '
                    f"{ctx.length(float(then.ease[s, z]))}",
                    None,
                    was.sizes[z],
                    seam=seam.name,
                )
            )


def _row(
    before: Pattern, after: Pattern, cap: Cap, half: CapHalf, new: CapHalf, z: int, size: str
) -> dict[str, Any]:
    def bicep(pattern: Pattern) -> float:
        shape = pattern.piece(cap.sleeve).in_size(size)
        ends = [
            shape.seam_line.point_of(shape.corner(name).station)
            for name in (cap.underarm_back, cap.underarm_front)
        ]
        return float(np.hypot(*(ends[1] - ends[0])))

    named = {c.name for c in before.piece(cap.sleeve).in_size(size).corners}
    known = {cap.underarm_back, cap.underarm_front} <= named
    return {
        "seam": half.seam.name, "size": size,
        "armhole_before": float(half.to_lengths[z]), "armhole_after": float(new.to_lengths[z]),
        "cap_before": float(half.lengths[z]), "cap_after": float(new.lengths[z]),
        "ease_before": float(half.ease[z]), "ease_after": float(new.ease[z]),
        "bicep_before": bicep(before) if known else float("nan"),
        "bicep_after": bicep(after) if known else float("nan"),
    }  # fmt: skip
