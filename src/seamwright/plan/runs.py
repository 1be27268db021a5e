"""Runs on the outline: which way round, from where to where, how long in every size.

Which way a run goes round its piece is decided in the base size and holds in all. A dart that the
shape knows is stepped over where a run passes its whole mouth and goes on: the mouth counts
nothing, in lengths and in places of marks alike. A run that lies within a mouth, or ends inside
one, is measured as it lies.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from seamwright.findings import SeamwrightError, did_you_mean
from seamwright.geometry import FloatArray, IntArray
from seamwright.model import Pattern, Run, RunPart

from .places import Places, places
from .way import WayError, way

_ON = 1e-6  # mm; a mark this little before a run's start, or beyond its end, is at it


class Lost(NamedTuple):
    """Why a run cannot be followed: a code ("plan.piece", "plan.mark", "plan.way"), the message,
    the piece, and what to do."""

    code: str
    message: str
    piece: str
    hint: str | None


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Parts:
    """Many parts of runs at once: Q parts in Z sizes; mm; NaN where a size lacks the piece or an
    end.

    starts, ends  (Q, Z) along the seam line from corner 1
    forward       (Q,) whether the run goes with the outline (anticlockwise)
    plain         (Q, Z) length along the outline
    lengths       (Q, Z) length as sewn: darts' mouths stepped over
    owners        (E,) the part to which each of E darts belongs; low, wide: (E, Z) where on the
                  part its mouth begins and how wide it is (0: not passed whole)
    """

    places: Places
    parts: tuple[RunPart, ...]
    rows: IntArray
    forward: np.ndarray[tuple[int, ...], np.dtype[np.bool_]]
    starts: FloatArray
    ends: FloatArray
    plain: FloatArray
    lengths: FloatArray
    owners: IntArray
    low: FloatArray
    wide: FloatArray

    def positions(self, parts: Sequence[int], rows: Sequence[int]) -> FloatArray:
        """How far along parts (M,) the marks in rows (M,) lie, as sewn: (M, Z), NaN where a mark
        is missing or not on its part."""
        q = np.asarray(parts, dtype=np.int64)
        at = self.places.at[np.asarray(rows, dtype=np.int64)]
        whole = self.places.outline[self.rows[q]]
        forward = self.forward[q][:, None]
        gone = np.where(forward, at - self.starts[q], self.starts[q] - at)
        x = _round(gone, whole)
        with np.errstate(invalid="ignore"):
            x = np.where(x <= self.plain[q] + _ON, np.minimum(x, self.plain[q]), np.nan)
        if self.owners.size:
            m, e = np.nonzero(q[:, None] == self.owners[None, :])
            passed = np.clip(x[m] - self.low[e], 0.0, self.wide[e])
            np.subtract.at(x, m, passed)
        return x


def resolve_parts(where: Places, parts: Sequence[RunPart]) -> tuple[Parts, list[Lost | None]]:
    """All parts in all sizes; and for each the reason if it cannot be followed (its rows are NaN
    then)."""
    count, sizes = len(parts), len(where.sizes)
    lost: list[Lost | None] = []
    rows = np.zeros((count, 3), dtype=np.int64)  # piece, first mark, last mark
    forward = np.ones(count, dtype=bool)
    found = np.zeros(count, dtype=bool)
    for q, part in enumerate(parts):
        try:
            rows[q], forward[q] = _located(where, part)
            found[q] = True
            lost.append(None)
        except _LostError as error:
            lost.append(error.lost)
    starts, ends, whole = (np.full((count, sizes), np.nan) for _ in range(3))
    starts[found] = where.at[rows[found, 1]]
    ends[found] = where.at[rows[found, 2]]
    whole[found] = where.outline[rows[found, 0]]
    gone = np.where(forward[:, None], ends - starts, starts - ends)
    plain = _round(gone, whole)
    round_trip = found & (rows[:, 1] == rows[:, 2])
    plain[round_trip] = np.where(np.isnan(plain[round_trip]), np.nan, whole[round_trip])
    owners, low, wide = _mouths(where, parts, found, forward, starts, plain, whole)
    lengths = plain.copy()
    np.subtract.at(lengths, owners, wide)
    return (
        Parts(
            places=where,
            parts=tuple(parts),
            rows=rows[:, 0],
            forward=forward,
            starts=starts,
            ends=ends,
            plain=plain,
            lengths=lengths,
            owners=owners,
            low=low,
            wide=wide,
        ),
        lost,
    )


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class ResolvedPart:
    """One part of a run on the outline, in Z sizes; mm; NaN where a size lacks it.

    forward       with the outline (anticlockwise, the piece on the left) or against it
    starts, ends  (Z,) where the part begins and ends in sewing order, along the seam line from
                  corner 1
    lengths       (Z,) as sewn, darts' mouths stepped over
    """

    part: RunPart
    forward: bool
    starts: FloatArray
    ends: FloatArray
    lengths: FloatArray


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class ResolvedRun:
    """A run in Z sizes: its parts in sewing order, and its length (Z,), mm."""

    parts: tuple[ResolvedPart, ...]
    sizes: tuple[str, ...]
    lengths: FloatArray


def resolve_run(pattern: Pattern, run: Run) -> ResolvedRun:
    """Where a run lies on its pieces' outlines in every size of the pattern.

    Raises SeamwrightError for an unknown piece or mark, and for two marks between which the way
    round the outline is in doubt.
    """
    found, lost = resolve_parts(places(pattern), run.parts)
    for reason in lost:
        if reason is not None:
            raise SeamwrightError.of(
                reason.code, reason.message, piece=reason.piece, hint=reason.hint
            )
    return ResolvedRun(
        parts=tuple(
            ResolvedPart(
                part=part,
                forward=bool(found.forward[q]),
                starts=found.starts[q],
                ends=found.ends[q],
                lengths=found.lengths[q],
            )
            for q, part in enumerate(run.parts)
        ),
        sizes=pattern.sizes,
        lengths=found.lengths.sum(axis=0),
    )


class _LostError(Exception):
    def __init__(self, code: str, message: str, piece: str, hint: str | None) -> None:
        super().__init__(message)
        self.lost = Lost(code, message, piece, hint)


def _located(where: Places, part: RunPart) -> tuple[tuple[int, int, int], bool]:
    """Rows of the piece and of both ends, and whether the way goes with the outline."""
    piece = where.pieces.get(part.piece)
    if piece is None:
        raise _LostError(
            "plan.piece",
            f'there is no piece "{part.piece}"',
            part.piece,
            did_you_mean(part.piece, where.pieces),
        )
    rows = []
    for mark in part.marks:
        row = where.row(part.piece, mark)
        if row is None:
            raise _LostError(
                "plan.mark",
                f'piece "{part.piece}" has no corner or notch "{mark}"',
                part.piece,
                did_you_mean(mark, where.marks_of(part.piece)),
            )
        rows.append(row)
    z = where.column(rows)
    if z is None:
        raise _LostError(
            "plan.mark",
            f'no size of piece "{part.piece}" has all marks of "{part}"',
            part.piece,
            None,
        )
    try:
        forward = way(
            where.at[rows, z].tolist(),
            float(where.outline[piece, z]),
            corners=where.at[list(where.corners[part.piece]), z].tolist(),
            mouths=where.mouths[list(where.darts[part.piece]), z].tolist(),
        )
    except WayError as error:
        raise _LostError("plan.way", error.of(part), part.piece, error.hint) from None
    return (piece, rows[0], rows[-1]), forward


def _mouths(
    where: Places,
    parts: Sequence[RunPart],
    found: np.ndarray[tuple[int, ...], np.dtype[np.bool_]],
    forward: np.ndarray[tuple[int, ...], np.dtype[np.bool_]],
    starts: FloatArray,
    plain: FloatArray,
    whole: FloatArray,
) -> tuple[IntArray, FloatArray, FloatArray]:
    """The darts that parts pass: owner (E,), where on the part (E, Z), how wide (E, Z)."""
    pairs = [(q, d) for q, part in enumerate(parts) if found[q] for d in where.darts[part.piece]]
    q, d = np.array(pairs, dtype=np.int64).reshape(-1, 2).T
    left, right = where.mouths[d, :, 0], where.mouths[d, :, 1]
    wide = _round(right - left, whole[q])
    low = _round(np.where(forward[q][:, None], left - starts[q], starts[q] - right), whole[q])
    with np.errstate(invalid="ignore"):
        inside = low + wide <= plain[q] + _ON
        all_of_it = (low <= _ON) & (low + wide >= plain[q] - _ON)
    passed = inside & ~all_of_it
    return q, np.where(passed, low, 0.0), np.where(passed, wide, 0.0)


def _round(gone: FloatArray, whole: FloatArray) -> FloatArray:
    """Lengths gone round outlines of length `whole`, in 0 .. whole; a hair short of the whole
    way is no way at all (two marks at one place)."""
    with np.errstate(invalid="ignore", divide="ignore"):
        out = np.mod(gone, whole)
        return np.where(whole - out < _ON, 0.0, out)
