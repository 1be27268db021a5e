"""match-notches: one side's notches carried to the other, the ease where it is wanted.

With x the way along the sew side and y that along the other, x = y + e: the ease e that lies
between the seam's beginning and the place. e is known at the seam's beginning (0), at its end
(all of it), at notches for which it is given, and is 0 up to the last plain notch; between known
places it is spread evenly. (Common practice, no source: a sleeve's notch sits at the armhole
notch's length plus the ease intended up to there, counted from the underarm.)
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from seamwright.findings import SeamwrightError, did_you_mean
from seamwright.geometry import FloatArray
from seamwright.model import Notch, Pattern, Run, Seam
from seamwright.plan import Places, places
from seamwright.plan.grammar import parse_mark, written_mark
from seamwright.plan.runs import Parts, resolve_parts
from seamwright.plugins.api import Context, Finding, StepResult

from . import codes
from .bench import Mark, free_name, marks_of, put_all, refused, told
from .options import MatchNotches

_END = 1.0  # mm; a notch nearer than this to a seam's end marks that end
_ON = 1e-6  # mm


@dataclass(slots=True)
class _Found:
    """A notch on a side: its mark, and how far along it lies (Z,), as sewn."""

    mark: Mark
    at: FloatArray


class _RefusedError(Exception):
    """Why; the argument is a finding."""


def match(pattern: Pattern, options: MatchNotches, ctx: Context) -> StepResult:
    """See the page match-notches."""
    names = [seam.name for seam in pattern.seams]
    for name in options.seam:
        if name not in names:
            error = SeamwrightError.of(
                "plan.seam", f'the plan has no seam "{name}"', seam=name,
                hint=did_you_mean(name, names),
            )  # fmt: skip
            return refused(pattern, error.finding)
    wanted = [s for s in pattern.seams if not options.seam or s.name in options.seam]
    if not wanted:
        return refused(pattern, told(codes.NO_SEAM, "the plan has no seam"))
    rows: list[dict[str, Any]] = []
    findings: list[Finding] = []
    changed = pattern
    try:
        _check_names(pattern, options, wanted)
        for seam in wanted:
            own = next(s for s in changed.seams if s.name == seam.name)
            changed, said = _carry(changed, own, options, rows)
            findings += said
        if not rows:
            findings = [told(codes.NONE, f"{len(wanted)} seams looked at: no notch to carry")]
    except _RefusedError as error:
        return refused(pattern, error.args[0])
    except SeamwrightError as error:
        return refused(pattern, error.finding, *error.others)
    return StepResult(
        pattern=changed, findings=tuple(findings), looked_at=len(rows), figures={"notches": rows}
    )


def _check_names(pattern: Pattern, options: MatchNotches, seams: list[Seam]) -> None:
    """Notches in the options that lie on none of the seams are misspelt."""
    known = {
        n.name
        for seam in seams
        for p in (seam.sew if options.source == "sew" else seam.to).pieces
        if p in {x.name for x in pattern.pieces}
        for s in pattern.piece(p).shapes
        for n in s.notches
    }
    for text in (*options.notch, *options.plain_to, *options.ease):
        name = parse_mark(text).name
        if name not in known:
            raise SeamwrightError.of(
                "notch.unknown",
                f'no notch "{name}" on the {options.source} side',
                hint=did_you_mean(name, known),
            )


def _carry(
    pattern: Pattern, seam: Seam, options: MatchNotches, rows: list[dict[str, Any]]
) -> tuple[Pattern, list[Finding]]:
    sides = (seam.sew, seam.to) if options.source == "sew" else (seam.to, seam.sew)
    where = places(pattern)
    source, target = (_Side(where, run) for run in sides)
    own = source.notches(options.notch)
    if not own:
        return pattern, []
    sign = 1.0 if options.source == "sew" else -1.0
    ease = sign * (source.length - target.length)
    eased = _ease_at(own, source.length, ease, options)
    goal = {f.mark: f.at - sign * e for f, e in zip(own, eased, strict=True)}
    _sound(pattern, seam, goal, target)
    partners = _partners(seam, options.source == "sew")
    put: dict[Mark, tuple[Notch, FloatArray]] = {}
    meet = list(seam.meet)
    moved = made = 0
    for found, e in zip(own, eased, strict=True):
        piece, at = target.place(goal[found.mark], seam, found.mark[1])
        old = _notch_of(pattern, found.mark)
        partner = _partner_of(partners, found.mark, sides)
        taken = {*marks_of(pattern.piece(piece)), *(n for p, n in put if p == piece)}
        if partner is not None and not options.move:
            continue
        if partner is not None and partner in notch_set(pattern, piece):
            name, existing = partner, _notch_of(pattern, (piece, partner))
            put[piece, name] = (existing, at)
            moved += 1
        elif partner is not None:
            continue  # it meets a corner, which stays
        elif options.create:
            name = free_name(taken, found.mark[1])
            put[piece, name] = (replace(old, name=name), at)
            pair = (_written(found.mark, sides[0]), _written((piece, name), sides[1]))
            meet.append(pair if options.source == "sew" else pair[::-1])
            made += 1
        else:
            continue
        for size, x, y, ease_here in zip(pattern.sizes, found.at, goal[found.mark], e, strict=True):
            if np.isfinite(y):
                rows.append(
                    {"seam": seam.name, "notch": found.mark[1], "partner": name, "size": size,
                     "at": float(x), "partner_at": float(y), "ease_before": float(ease_here)}
                )  # fmt: skip
    if not put:
        return pattern, []
    changed, near = put_all(pattern, put)
    changed = changed.but(
        seams=tuple(replace(s, meet=tuple(meet)) if s is seam else s for s in pattern.seams)
    )
    words = " and ".join(f"{n} {w}" for n, w in ((moved, "moved"), (made, "made")) if n)
    return changed, [
        told(codes.MATCHED, f'seam "{seam.name}": {words}, ease {_spread(options)}',
             seam=seam.name),
        *near,
    ]  # fmt: skip


def _spread(options: MatchNotches) -> str:
    if options.ease:
        return "as given"
    return "spread evenly" if not options.plain_to else "spread evenly beyond the plain notches"


def _ease_at(
    own: list[_Found], length: FloatArray, ease: FloatArray, options: MatchNotches
) -> list[FloatArray]:
    """The ease (Z,) between the seam's beginning and each notch."""
    given: list[tuple[FloatArray, FloatArray]] = [(np.zeros_like(length), np.zeros_like(length))]
    plain = {parse_mark(t).name for t in options.plain_to}
    stated = {parse_mark(t).name: float(v) for t, v in options.ease.items()}
    for found in own:
        if found.mark[1] in plain:
            given.append((found.at, np.zeros_like(length)))
        elif found.mark[1] in stated:
            given.append((found.at, np.full_like(length, stated[found.mark[1]])))
    given.append((length, ease))
    at, known = np.stack([a for a, _ in given]), np.stack([e for _, e in given])
    out = [np.full_like(length, np.nan) for _ in own]
    for z in np.flatnonzero(np.isfinite(at).all(axis=0)):
        order = np.argsort(at[:, z], kind="stable")
        for k, found in enumerate(own):
            out[k][z] = np.interp(found.at[z], at[order, z], known[order, z])
    return out


def _sound(pattern: Pattern, seam: Seam, goal: dict[Mark, FloatArray], target: _Side) -> None:
    values = np.stack(list(goal.values()))
    with np.errstate(invalid="ignore"):
        off = (values < -_ON) | (values > target.length + _ON)
        back = np.diff(values, axis=0) < -_ON
    marks = list(goal)
    for bad, code, text in (
        (off, codes.BEYOND, "would lie beyond the other side"),
        (back, codes.ORDER, "would come after the notch that follows it"),
    ):
        if bad.any():
            k, z = (int(i[0]) for i in np.nonzero(bad))
            raise _RefusedError(
                told(code, f'seam "{seam.name}": the partner of "{marks[k][1]}" {text}',
                     seam=seam.name, size=pattern.sizes[z], measured=float(values[k, z]))
            )  # fmt: skip


class _Side:
    """One side of a seam in all sizes."""

    def __init__(self, where: Places, run: Run) -> None:
        self._where = where
        self._parts, lost = resolve_parts(where, run.parts)
        for reason in lost:
            if reason is not None:
                raise SeamwrightError.of(
                    reason.code, reason.message, piece=reason.piece, hint=reason.hint
                )
        self._before = np.cumsum(self._parts.lengths, axis=0) - self._parts.lengths
        self.length: FloatArray = self._parts.lengths.sum(axis=0)

    def notches(self, only: list[str]) -> list[_Found]:
        """Notches within the side, in order along it; those at its ends mark the ends."""
        names = {parse_mark(text).name for text in only}
        parts: Parts = self._parts
        spots = [
            (q, row)
            for q, part in enumerate(parts.parts)
            for row in self._rows(part.piece)
            if not names or self._where.names[row] in names
        ]
        if not spots:
            return []
        at = parts.positions([q for q, _ in spots], [row for _, row in spots])
        at = at + self._before[[q for q, _ in spots]]
        out: dict[Mark, _Found] = {}
        for (q, row), here in zip(spots, at, strict=True):
            with np.errstate(invalid="ignore"):
                inside = (here > _END) & (here < self.length - _END)
            if inside.any():
                mark = (parts.parts[q].piece, self._where.names[row])
                out.setdefault(mark, _Found(mark, np.where(inside, here, np.nan)))
        return sorted(out.values(), key=lambda f: float(np.nanmean(f.at / self.length)))

    def _rows(self, piece: str) -> list[int]:
        corners = set(self._where.corners[piece])
        return [
            row
            for (name, _), row in self._where.rows.items()
            if name == piece and row not in corners
        ]

    def place(self, along: FloatArray, seam: Seam, notch: str) -> tuple[str, FloatArray]:
        """The piece on which ways (Z,) along the side lie, and the lengths from corner 1."""
        parts = self._parts
        ends = self._before + parts.lengths
        with np.errstate(invalid="ignore"):
            q_of = (along[None] > ends + _ON).sum(axis=0)
        there = np.isfinite(along)
        found = set(q_of[there].tolist())
        if len({parts.parts[min(q, len(parts.parts) - 1)].piece for q in found}) != 1:
            raise _RefusedError(
                told(codes.ACROSS, f'seam "{seam.name}": the partner of "{notch}" falls on '
                     "different pieces", seam=seam.name)
            )  # fmt: skip
        out = np.full_like(along, np.nan)
        for z in np.flatnonzero(there):
            q = min(int(q_of[z]), len(parts.parts) - 1)
            x = max(float(along[z] - self._before[q, z]), 0.0)
            # Mouths of darts are stepped over, from the first on.
            mouths = [
                (float(parts.low[e, z]), float(parts.wide[e, z]))
                for e in np.flatnonzero(parts.owners == q)
                if parts.wide[e, z] > 0.0
            ]
            for low, wide in sorted(mouths):
                if x > low:
                    x += wide
            start = float(parts.starts[q, z])
            whole = float(self._where.outline[parts.rows[q], z])
            out[z] = (start + x if parts.forward[q] else start - x) % whole
        return parts.parts[min(next(iter(found)), len(parts.parts) - 1)].piece, out


def _partners(seam: Seam, source_is_sew: bool) -> list[tuple[str, str]]:
    return [(a, b) if source_is_sew else (b, a) for a, b in seam.meet]


def _partner_of(pairs: list[tuple[str, str]], mark: Mark, sides: tuple[Run, Run]) -> str | None:
    """The name of the mark that meets it by the plan."""
    for mine, theirs in pairs:
        own = parse_mark(mine)
        if own.name == mark[1] and own.piece in (None, mark[0]):
            return parse_mark(theirs).name
    return None


def _written(mark: Mark, run: Run) -> str:
    """With its piece where the run crosses pieces."""
    return written_mark(mark[1], piece=mark[0] if len(run.pieces) > 1 else None)


def notch_set(pattern: Pattern, piece: str) -> set[str]:
    """Names of a piece's notches."""
    return {n.name for s in pattern.piece(piece).shapes for n in s.notches}


def _notch_of(pattern: Pattern, mark: Mark) -> Notch:
    shapes = pattern.piece(mark[0]).shapes
    lead = sorted(shapes, key=lambda s: s.size != pattern.base_size)
    return next(n for s in lead for n in s.notches if n.name == mark[1])
