"""Pieces lengthened or shortened at a line, and what is sewn to them kept as long."""

from __future__ import annotations

from typing import Any

import numpy as np

from seamwright.findings import SeamwrightError
from seamwright.geometry import FloatArray, GeometryError
from seamwright.model import Pattern, Run, Shape
from seamwright.model.edit import renew
from seamwright.plan import resolve_run, walk
from seamwright.plan.spots import find_piece, parse_spot, spot_lengths
from seamwright.plugins.api import Context, Finding, StepResult

from . import codes
from .level import Level, level_of, line_across, moved_is_right
from .marks import on_seam_line
from .opening import Opened, opened
from .options import Lengthen
from .result import finding, refused

Key = tuple[str, str]  # piece, size
_MOST = 0.05  # by so much an edge is scaled at most to equal its partner
_ON = 1e-6  # mm


def lengthen(pattern: Pattern, options: Lengthen, ctx: Context) -> StepResult:
    """See the page lengthen. Cutting across, moving the parts along the grain and drawing the
    edges anew is common practice, no source; the maps are plane geometry."""
    try:
        levels = _levels(pattern, options)
        done = {key: _opened(pattern, options, key, level) for key, level in levels.items()}
        scales = _equalled(pattern, levels, done)
        for key, scale in scales.items():
            done[key] = _opened(pattern, options, key, levels[key], scale)
    except SeamwrightError as error:
        return refused(pattern, [error.finding, *error.others])
    findings: list[Finding] = []
    shapes: dict[Key, Shape] = {}
    for key, made in done.items():
        renewed = renew(made.shape, _shape(pattern, key))
        shapes[key] = renewed.shape
        if renewed.cut_line == "dropped":
            findings.append(finding(codes.CUT_LINE, "the cut line was taken away", *key))
        elif renewed.mitred:
            findings.append(finding(codes.MITRED, renewed.said, *key))
    changed = pattern.with_pieces(
        pattern.piece(name).but(
            shapes=tuple(shapes.get((name, s.size), s) for s in pattern.piece(name).shapes)
        )
        for name in dict.fromkeys(name for name, _ in done)
    )
    seams, said = _seams(pattern, changed, ctx)
    return StepResult(
        pattern=changed,
        findings=(*findings, *said),
        looked_at=len(done),
        figures={"edges": _figures(pattern, levels, done), "seams": seams},
    )


def _shape(pattern: Pattern, key: Key) -> Shape:
    return pattern.piece(key[0]).in_size(key[1])


def _opened(
    pattern: Pattern,
    options: Lengthen,
    key: Key,
    level: Level,
    scales: tuple[float, float] = (1.0, 1.0),
) -> Opened:
    within = None if options.edges == "whole edge" else float(options.within)
    shape = on_seam_line(_shape(pattern, key))
    try:
        return opened(shape, level, float(options.amount), within, scales)
    except GeometryError as error:
        raise SeamwrightError.of(
            codes.NO_LINE.code, str(error), piece=key[0], size=key[1], hint=codes.NO_LINE.remedy
        ) from None


def _levels(pattern: Pattern, options: Lengthen) -> dict[Key, Level]:
    """The line of each piece named, in each of its sizes."""
    levels: dict[Key, Level] = {}
    ends: list[str | None] = [*options.to] or [None] * len(options.at)
    for text, other in zip(options.at, ends, strict=True):
        name, at = _place(pattern, text)
        to: FloatArray | None = None
        if other is not None:
            second, to = _place(pattern, other)
            if second != name:
                raise SeamwrightError.of(
                    codes.NO_LINE.code, f'"{text}" and "{other}" are on two pieces',
                    piece=name, hint="a line runs through one piece",
                )  # fmt: skip
        if any(key[0] == name for key in levels):
            raise SeamwrightError.of(
                codes.NO_LINE.code, f'"{name}" is named twice', piece=name,
                hint="one line for each piece; a second step for a second line",
            )  # fmt: skip
        piece = pattern.piece(name)
        sizes = list(piece.sizes)
        base = pattern.base_size if pattern.base_size in sizes else sizes[0]
        right: bool | None = None
        for size in [base, *(s for s in sizes if s != base)]:
            shape, z = piece.in_size(size), pattern.sizes.index(size)
            try:
                start, end = _finite(at, z), None if to is None else _finite(to, z)
                if right is None:
                    smaller = moved_is_right(shape, *line_across(shape, start, end)[1:])
                    right = smaller == (options.moves == "smaller part")
                levels[name, size] = level_of(shape, start, end, right=right)
            except GeometryError as error:
                raise SeamwrightError.of(
                    codes.NO_LINE.code, str(error), piece=name, size=size,
                    hint=codes.NO_LINE.remedy,
                ) from None  # fmt: skip
    return levels


def _place(pattern: Pattern, text: str) -> tuple[str, FloatArray]:
    try:
        spot = parse_spot(text)
    except ValueError as error:
        raise SeamwrightError.of("spot.unreadable", str(error)) from None
    return find_piece(pattern, spot.piece), spot_lengths(pattern, spot)


def _finite(lengths: FloatArray, z: int) -> float:
    if not np.isfinite(lengths[z]):
        raise GeometryError("a mark of the place is missing in this size")
    return float(lengths[z])


def _equalled(
    pattern: Pattern, levels: dict[Key, Level], done: dict[Key, Opened]
) -> dict[Key, tuple[float, float]]:
    """Scales of crossed edges that give each seam, both of whose sides are crossed, the ease back
    that it had: half of the difference to each side."""
    crossed = {
        seam.name: (_crossed(pattern, levels, seam.sew), _crossed(pattern, levels, seam.to))
        for seam in pattern.seams
    }
    after = pattern.with_pieces(
        pattern.piece(name).but(
            shapes=tuple(
                done[name, s.size].shape.but(cut_line=None) for s in pattern.piece(name).shapes
            )
        )
        for name in dict.fromkeys(name for name, _ in done)
    )
    change = walk(after).ease - walk(pattern).ease
    wanted: dict[Key, list[float]] = {}
    taken: set[tuple[str, int]] = set()
    for row, seam in zip(change, walk(pattern).seams, strict=True):
        sides = [[e for e in side if e not in taken] for side in crossed[seam.name]]
        if not (sides[0] and sides[1]) or set(sides[0]) & set(sides[1]):
            continue
        taken |= {*sides[0], *sides[1]}
        for side, sign in zip(sides, (-0.5, 0.5), strict=True):
            for name, k in side:
                for z, size in enumerate(pattern.sizes):
                    made = done.get((name, size))
                    if made is None or not np.isfinite(row[z]) or abs(row[z]) < 1e-11:
                        continue
                    length = float(made.lengths[k, 1])
                    scale = 1.0 + sign * float(row[z]) / len(side) / length
                    if abs(scale - 1.0) > _MOST:
                        raise SeamwrightError.of(
                            codes.NO_LINE.code,
                            f'the sides of seam "{seam.name}" would differ by '
                            f"{abs(float(row[z])):.1f} mm",
                            piece=name, size=size,
                            hint="choose lines that cross edges of like slant",
                        )  # fmt: skip
                    wanted.setdefault((name, size), [1.0, 1.0])[k] = scale
    return {key: (s[0], s[1]) for key, s in wanted.items()}


def _crossed(pattern: Pattern, levels: dict[Key, Level], run: Run) -> list[tuple[str, int]]:
    """The crossed edges whose crossing lies on a run (in the first size that has both)."""
    try:
        parts = resolve_run(pattern, run).parts
    except SeamwrightError:
        return []
    found = []
    for part in parts:
        for z, size in enumerate(pattern.sizes):
            level = levels.get((part.part.piece, size))
            ends = (
                (part.starts[z], part.ends[z]) if part.forward else (part.ends[z], part.starts[z])
            )
            if level is None or not np.isfinite(ends).all():
                continue
            whole = _shape(pattern, (part.part.piece, size)).seam_line.length
            found += [
                (part.part.piece, k)
                for k, at in enumerate((level.begin, level.end))
                if (at - ends[0]) % whole < (ends[1] - ends[0]) % whole
            ]
            break
    return found


def _figures(
    pattern: Pattern, levels: dict[Key, Level], done: dict[Key, Opened]
) -> list[dict[str, Any]]:
    rows: list[dict[str, Any]] = []
    for key, made in done.items():
        edges = _shape(pattern, key).edges
        for k, i in enumerate(made.edges):
            rows.append(
                {
                    "piece": key[0], "size": key[1], "edge": edges[i].name,
                    "length_before": float(made.lengths[k, 0]),
                    "length_after": float(made.lengths[k, 1]),
                    "moved_x": float(levels[key].way[0]), "moved_y": float(levels[key].way[1]),
                }
            )  # fmt: skip
    return rows


def _seams(
    before: Pattern, after: Pattern, ctx: Context
) -> tuple[list[dict[str, Any]], list[Finding]]:
    """Ease of every seam that changed length, before and after, and what to say about it."""
    was, now = walk(before), walk(after)
    rows: list[dict[str, Any]] = []
    said: list[Finding] = []
    for s, seam in enumerate(was.seams):
        moved = np.abs(
            np.stack(
                [now.sew_lengths[s] - was.sew_lengths[s], now.to_lengths[s] - was.to_lengths[s]]
            )
        )
        if not (moved > _ON).any():
            continue
        for z, size in enumerate(was.sizes):
            rows.append(
                {
                    "seam": seam.name, "size": size,
                    "sew_before": float(was.sew_lengths[s, z]),
                    "sew_after": float(now.sew_lengths[s, z]),
                    "to_before": float(was.to_lengths[s, z]),
                    "to_after": float(now.to_lengths[s, z]),
                    "ease_before": float(was.ease[s, z]), "ease_after": float(now.ease[s, z]),
                }
            )  # fmt: skip
        change = now.ease[s] - was.ease[s]
        z = int(np.nanargmax(np.abs(change)))
        if abs(float(change[z])) > 0.05:
            said.append(
                finding(
                    codes.SEAM,
                    f'seam "{seam.name}": ease {ctx.length(float(was.ease[s, z]))} -> '
                    f"{ctx.length(float(now.ease[s, z]))}",
                    None,
                    was.sizes[z],
                    seam=seam.name,
                )
            )
    return rows, said
