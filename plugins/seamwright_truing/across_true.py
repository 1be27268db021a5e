"""true-seams: the lines that cross the ends of seams smoothed, the change shared by both pieces."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

import numpy as np

from seamwright.findings import SeamwrightError
from seamwright.geometry import GeometryError
from seamwright.geometry.simple import crosses_itself
from seamwright.model import LineRole, Pattern, Shape
from seamwright.model.edit import (
    Replacement,
    follow_cut_line,
    make_cut_line,
    renew,
    replace_runs,
)
from seamwright.plan import Walk, walk
from seamwright.plugins.api import Code, Context, Finding, StepResult

from . import across_codes as codes
from .across import Laid, kink_limit, lay, place_of, rows_of, set_aside, sizes_of
from .across_options import TrueSeams
from .ends import End
from .swing import swing
from .tolerances import tolerances

_SHARE = 0.9  # of an edge may change, in all
_PLAIN = 0.02  # mm; cut lines nearer than this are the same
_AT = 1e-6  # mm; marks nearer than this are at one place
_LENGTH = 0.05  # mm; a seam that changes by more is told


class _RefusedError(Exception):
    """No sound outline: the piece and size."""


@dataclass(slots=True)
class _Swing:
    """One edge to be swung: its corner (or the dart at whose mouth it ends), its side, by how many
    degrees (to the left of its own travel with the outline), and at which of the judged ends."""

    end: int
    mark: str
    dart: bool
    leaving: bool
    degrees: float


@dataclass(slots=True)
class _Work:
    findings: list[Finding] = field(default_factory=list)
    rows: list[dict[str, Any]] = field(default_factory=list)


def true_seams(pattern: Pattern, options: TrueSeams, ctx: Context) -> StepResult:
    """See the page true-seams."""
    try:
        laid = lay(pattern, options)
    except SeamwrightError as error:
        return StepResult(
            pattern=pattern, findings=(error.finding,), skipped="an end that is named is not there"
        )
    work = _Work()
    wanted = _wanted(pattern, laid, options, work, ctx)
    looked_at = sum(int(np.isfinite(laid.turns[e]).sum()) for e, end in enumerate(laid.ends)
                    if not end.aside)  # fmt: skip
    try:
        changed = pattern.map_shapes(
            lambda piece, shape: _trued(
                piece.name, shape, wanted.get((piece.name, shape.size), []), options, laid, work
            )
        )
    except _RefusedError as error:
        piece, size = error.args
        refused = _finding(
            codes.SHAPE, f"{piece}, size {size}: the trued line would cross the outline",
            piece=piece, size=size,
        )  # fmt: skip
        return StepResult(
            pattern=pattern, findings=(refused,), looked_at=looked_at, skipped="nothing was altered"
        )
    _tell_trued(pattern, laid, work, ctx)
    figures: dict[str, Any] = {"ends": work.rows, "set_aside": set_aside(laid)}
    if changed is not pattern:
        after = walk(changed)
        figures["after"] = rows_of(changed, lay(changed, options), float(options.corners_above))
        figures["seams"] = _seams(laid.walked, after, work, ctx)
    elif not work.findings:
        work.findings.append(_finding(codes.NONE, f"{looked_at} ends looked at: all run on"))
    return StepResult(
        pattern=changed,
        findings=tuple(work.findings),
        looked_at=looked_at,
        skipped="" if looked_at else "no line is meant to run on across any seam",
        figures=figures,
    )


def _wanted(
    pattern: Pattern, laid: Laid, options: TrueSeams, work: _Work, ctx: Context
) -> dict[tuple[str, str], list[_Swing]]:
    """What each shape has to have swung."""
    wanted: dict[tuple[str, str], list[_Swing]] = {}
    used: set[tuple[str, str, str]] = set()
    twice: dict[int, str] = {}
    kink, corner = kink_limit(options), float(options.corners_above)
    step = float(tolerances()["step"]["tolerance"])
    for e, end in enumerate(laid.ends):
        if end.aside:
            continue
        turns = np.nan_to_num(laid.turns[e])
        size = np.abs(turns)
        _tell_left(pattern, laid, e, size > corner, np.abs(laid.steps[e]) > step, work, ctx)
        doing = (size > kink) & (size <= corner)
        if end.kind == "dart" and doing.any():
            worst = int(np.argmax(np.where(doing, size, 0.0)))
            work.findings.append(
                _finding(
                    codes.DART,
                    f"{place_of(end)} the mouth keeps its shape{sizes_of(pattern, doing, worst)}",
                    piece=end.sides[0].piece, edge=end.name, measured=float(turns[worst]),
                )
            )  # fmt: skip
        for z in np.flatnonzero(doing):
            # A point is filled: each inside angle grows by half of what is lacking. The inside
            # lies on the left, so an edge that leaves its corner turns right, one that arrives
            # turns left.
            grow = 0.5 * float(turns[z])
            size_name = pattern.sizes[z]
            if any((s.piece, s.name, size_name) in used for s in end.sides):
                twice.setdefault(e, size_name)
                continue
            for side in end.sides:
                used.add((side.piece, side.name, size_name))
                wanted.setdefault((side.piece, size_name), []).append(
                    _Swing(end=e, mark=side.name, dart=end.kind == "dart", leaving=side.leaving,
                           degrees=-grow if side.leaving else grow)
                )  # fmt: skip
    for e, size_name in twice.items():
        work.findings.append(
            _finding(
                codes.TWICE,
                f"{place_of(laid.ends[e])} a corner was swung already for another seam",
                edge=laid.ends[e].name, size=size_name, seam=laid.ends[e].seam,
            )
        )  # fmt: skip
    return wanted


def _trued(
    piece: str, shape: Shape, swings: list[_Swing], options: TrueSeams, laid: Laid, work: _Work
) -> Shape:
    if not swings:
        return shape
    seam = shape.seam_line
    replacements, windows = [], []
    for s, (at, room, shared) in zip(swings, _rooms(shape, swings), strict=True):
        reach = min(float(options.within), _SHARE * room / (2.0 if shared else 1.0))
        a, b = (at, at + reach) if s.leaving else (at - reach, at)
        a, b = a % seam.length, b % seam.length
        if b < 1e-9:
            b = seam.length
        new = swing(seam.part(a, b if b < seam.length else 0.0), s.degrees, at_end=not s.leaving)
        replacements.append(
            Replacement(start=seam.station_at(a), end=seam.station_at(b % seam.length),
                        curve=new.curve)
        )  # fmt: skip
        windows.append((a, b % seam.length))
        work.rows.append(
            {
                "end": laid.ends[s.end].name,
                "piece": piece,
                "size": shape.size,
                "turned": abs(s.degrees),
                "within": reach,
                "largest_shift": new.shift,
                "length_change": new.curve.length - reach,
            }
        )
    try:
        replaced = replace_runs(shape, replacements)
    except GeometryError:
        raise _RefusedError(piece, shape.size) from None
    if crosses_itself(replaced.shape.seam_line):
        raise _RefusedError(piece, shape.size)
    if _is_plain(shape):
        return renew(replaced.shape, shape).shape
    followed = follow_cut_line(shape, replaced, windows)
    if followed.fits:
        return followed.shape
    renewed = renew(followed.shape, shape)
    code = codes.REMADE if renewed.cut_line == "remade" else codes.CUT_LINE
    work.findings.append(
        _finding(
            code,
            f"{piece}, size {shape.size}: "
            + (renewed.said if renewed.cut_line == "remade" else code.title.lower()),
            piece=piece, size=shape.size,
        )
    )  # fmt: skip
    return renewed.shape


def _rooms(shape: Shape, swings: list[_Swing]) -> list[tuple[float, float, bool]]:
    """For each edge to be swung where it ends, mm along the seam line, how long it is from there
    to the next corner or dart's mouth, and whether it is swung from there, too."""
    seam = shape.seam_line
    corners = {c.name: float(seam.cumulative[c.station.segment]) for c in shape.corners}
    mouths = {d.name: (seam.length_of(d.left), seam.length_of(d.right)) for d in shape.darts}
    ends = [
        (mouths[s.mark][int(s.leaving)] if s.dart else corners[s.mark], s.leaving) for s in swings
    ]
    stops = np.array([*corners.values(), *(m for mouth in mouths.values() for m in mouth)])
    out = []
    for at, leaving in ends:
        room = np.mod(stops - at if leaving else at - stops, seam.length)
        room = room[(room > _AT) & (room < seam.length - _AT)]
        nearest = float(room.min(initial=seam.length))
        far = at + nearest if leaving else at - nearest
        shared = any(
            other is not leaving and abs((far - end + _AT) % seam.length - _AT) <= _AT
            for end, other in ends
        )
        out.append((at, nearest, shared))
    return out


def _is_plain(shape: Shape) -> bool:
    """Whether the cut line is none but the mitred one that the allowances give: it can be drawn
    anew, corners and all."""
    if shape.cut_line is None or any(n.line is LineRole.CUT for n in shape.notches):
        return False
    if len(shape.allowances) != len(shape.corners) or not shape.allowances:
        return False
    try:
        plain = make_cut_line(shape, shape.allowances).shape.cut_line
    except GeometryError:
        return False
    assert plain is not None
    return (
        float(plain.nearest(shape.cut_line.joints).distances.max()) < _PLAIN
        and float(shape.cut_line.nearest(plain.joints).distances.max()) < _PLAIN
    )


def _tell_trued(pattern: Pattern, laid: Laid, work: _Work, ctx: Context) -> None:
    for e, end in enumerate(laid.ends):
        own = [row for row in work.rows if row["end"] == end.name]
        if end.aside or not own:
            continue
        most = max(own, key=lambda row: float(row["largest_shift"]))
        z = pattern.sizes.index(most["size"])
        where = np.isin(np.array(pattern.sizes), [row["size"] for row in own])
        work.findings.append(
            _finding(
                codes.TRUED,
                f"{place_of(end)} {'a point' if laid.turns[e, z] > 0 else 'a hollow'} of "
                f"{abs(laid.turns[e, z]):.1f} degrees smoothed; the lines moved by "
                f"{ctx.length(most['largest_shift'])} at most{sizes_of(pattern, where, z)}",
                seam=end.seam, piece=most["piece"], size=most["size"], edge=end.name,
                measured=most["largest_shift"],
            )
        )  # fmt: skip


def _tell_left(
    pattern: Pattern, laid: Laid, e: int, corner: np.ndarray[Any, Any],
    step: np.ndarray[Any, Any], work: _Work, ctx: Context,
) -> None:  # fmt: skip
    end = laid.ends[e]
    named: dict[str, Any] = {"seam": end.seam, "piece": end.sides[0].piece, "edge": end.name}
    if corner.any():
        turns = np.where(corner, np.abs(np.nan_to_num(laid.turns[e])), 0.0)
        z = int(np.argmax(turns))
        work.findings.append(
            _finding(
                codes.MEANT,
                f"{place_of(end)} a break of {turns[z]:.0f} degrees was taken for a corner"
                f"{sizes_of(pattern, corner, z)}",
                measured=float(laid.turns[e, z]), **named,
            )
        )  # fmt: skip
    if step.any():
        off = np.where(step, np.abs(np.nan_to_num(laid.steps[e])), 0.0)
        z = int(np.argmax(off))
        work.findings.append(
            _finding(
                codes.STEP,
                f"{place_of(end)} a step of {ctx.length(float(off[z]))} is left: the seam's own "
                f"lengths are kept{sizes_of(pattern, step, z)}",
                measured=float(laid.steps[e, z]), **named,
            )
        )  # fmt: skip


def _seams(before: Walk, after: Walk, work: _Work, ctx: Context) -> list[dict[str, Any]]:
    """Every seam before and after; a finding for each whose ease changed."""
    out = []
    for s, seam in enumerate(before.seams):
        was, now = (np.stack((w.sew_lengths[s], w.to_lengths[s])) for w in (before, after))
        moved = np.nan_to_num(now - was)
        for z, size in enumerate(before.sizes):
            out.append(
                {
                    "seam": seam.name, "size": size,
                    "sew_length_before": float(was[0, z]), "sew_length_after": float(now[0, z]),
                    "to_length_before": float(was[1, z]), "to_length_after": float(now[1, z]),
                }
            )  # fmt: skip
        most = int(np.argmax(np.abs(moved).max(axis=0)))
        by = float(moved[:, most][np.argmax(np.abs(moved[:, most]))])
        if abs(by) > _LENGTH:
            where = np.abs(moved).max(axis=0) > _LENGTH
            longer = "longer" if by > 0 else "shorter"
            some = "" if len(before.sizes) == 1 else (
                f", in {int(where.sum())} of {len(before.sizes)} sizes, most in "
                f"{before.sizes[most]}"
            )  # fmt: skip
            work.findings.append(
                _finding(
                    codes.LENGTH,
                    f'seam "{seam.name}": one side is {ctx.length(abs(by))} {longer}{some}',
                    seam=seam.name, size=before.sizes[most], measured=by, limit=_LENGTH,
                )
            )  # fmt: skip
    return out


def _finding(code: Code, message: str, **fields: Any) -> Finding:
    return Finding(
        code=code.code, severity=code.severity, message=message, hint=code.remedy, **fields
    )


__all__ = ["End", "true_seams"]
