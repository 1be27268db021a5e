"""Walking every seam of a pattern in every size: lengths, ease, stretches, notches that must meet.

Whole arrays throughout, one row a seam and one column a size; the pattern is measured by one call
of the kernel.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from weakref import WeakKeyDictionary

import numpy as np

from seamwright.findings import Finding
from seamwright.geometry import FloatArray, IntArray
from seamwright.model import Pattern, Seam

from .pairs import Pairs
from .places import places
from .runs import Parts, resolve_parts
from .unmeasured import unmeasured_pairs, unmeasured_seams


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Walk:
    """What a walk found: S seams in Z sizes, mm, NaN where something is missing in a size.

    sew_lengths, to_lengths  (S, Z), darts stepped over

    Stretches: a seam is divided at its pairs of notches that meet; T stretches in all, seam after
    seam, in order along the seam; a seam without pairs is one stretch.
    stretch_seams   (T,) the seam's number; stretch_names: (from, to) by marks of the sew side
    stretch_sew, stretch_to   (T, Z) lengths

    Pairs that must meet: N in all, in order along the sew side.
    pair_seams      (N,) the seam's number; pair_names: as the plan writes them
    pair_sew, pair_to   (N, Z) how far along its side each notch lies
    spread_miss     (N, Z) how far the sew notch comes past its partner (before it: negative) when
                    the seam's ease is spread evenly over the whole seam:
                    pair_sew * to_length / sew_length - pair_to
    miss            (N, Z) how far they miss one another however the ease is spread. With ease E
                    in the whole seam, the ease up to a pair, pair_sew - pair_to, can be anything
                    from 0 to E without stretching either side: all of the ease may lie before
                    it, or none (a sleeve cap is set plain below its notches). What lies beyond is
                    the miss. It is also a miss when a stretch between two pairs would need ease
                    of the other sign; the larger of the two is given.
    findings        seams and pairs that could not be measured, and why
    """

    seams: tuple[Seam, ...]
    sizes: tuple[str, ...]
    sew_lengths: FloatArray
    to_lengths: FloatArray
    stretch_seams: IntArray
    stretch_names: tuple[tuple[str, str], ...]
    stretch_sew: FloatArray
    stretch_to: FloatArray
    pair_seams: IntArray
    pair_names: tuple[tuple[str, str], ...]
    pair_sew: FloatArray
    pair_to: FloatArray
    spread_miss: FloatArray
    miss: FloatArray
    findings: tuple[Finding, ...] = ()

    @property
    def ease(self) -> FloatArray:
        """(S, Z) length of the sew side less that of the to side."""
        return self.sew_lengths - self.to_lengths

    @property
    def stretch_ease(self) -> FloatArray:
        """(T, Z) ease in each stretch."""
        return self.stretch_sew - self.stretch_to

    def number(self, seam: str) -> int:
        """The row of the seam of that name. Raises KeyError."""
        for s, other in enumerate(self.seams):
            if other.name == seam:
                return s
        raise KeyError(seam)


def walk(pattern: Pattern) -> Walk:
    """Walks every seam of the pattern in every size.

    Never raises for what a pattern holds: a seam that cannot be followed is NaN and a finding.
    A pattern is walked once: asked again, the same walk is given.
    """
    found = _known.get(pattern)
    if found is None:
        found = _known[pattern] = _walked(pattern)
    return found


_known: WeakKeyDictionary[Pattern, Walk] = WeakKeyDictionary()


def _walked(pattern: Pattern) -> Walk:
    seams = pattern.seams
    where = places(pattern)
    # Parts of all runs in one list: those of seam 0's sew side, of its to side, of seam 1, ...
    runs = [run for seam in seams for run in (seam.sew, seam.to)]
    parts = [part for run in runs for part in run.parts]
    counts = np.array([len(run.parts) for run in runs], dtype=np.int64)
    first = np.cumsum(counts) - counts
    found, lost = resolve_parts(where, parts)
    before, totals = _totals(found.lengths, counts, first)
    sew, to = totals[0::2], totals[1::2]
    pairs = Pairs(seams, where, found, lost, first)
    pair_sew = _along(found, before, pairs.sew)
    pair_to = _along(found, before, pairs.to)
    order = pairs.order(pair_sew, where.base)
    pair_sew, pair_to = pair_sew[order], pair_to[order]
    pair_seams = np.array([pairs.seams[i] for i in order], dtype=np.int64)
    pair_names = tuple(pairs.names[i] for i in order)
    stretches = _Stretches(seams, pair_seams, pair_names, pair_sew, pair_to, sew, to)
    with np.errstate(invalid="ignore", divide="ignore"):
        spread = pair_sew * (to / sew)[pair_seams] - pair_to
    return Walk(
        seams=seams,
        sizes=pattern.sizes,
        sew_lengths=sew,
        to_lengths=to,
        stretch_seams=stretches.seams,
        stretch_names=stretches.names,
        stretch_sew=stretches.sew,
        stretch_to=stretches.to,
        pair_seams=pair_seams,
        pair_names=pair_names,
        pair_sew=pair_sew,
        pair_to=pair_to,
        spread_miss=spread,
        miss=_misses(pair_seams, pair_sew - pair_to, sew - to),
        findings=(
            *unmeasured_seams(pattern, where, seams, found, lost, first, sew, to),
            *pairs.findings,
            *unmeasured_pairs(pattern, pair_seams, pair_names, pair_sew, pair_to, sew, to),
        ),
    )


def _totals(
    lengths: FloatArray, counts: IntArray, first: IntArray
) -> tuple[FloatArray, FloatArray]:
    """For every part the length of its run before it (Q, Z); and each run's length (R, Z)."""
    if not counts.size:
        return lengths, np.zeros((0, lengths.shape[1]))
    totals = np.add.reduceat(lengths, first, axis=0)
    before = np.zeros_like(lengths)
    # Sums within a run: only runs of several parts need them.
    for r in np.flatnonzero(counts > 1):
        span = slice(first[r], first[r] + counts[r])
        before[span] = np.cumsum(lengths[span], axis=0) - lengths[span]
    return before, totals


def _along(found: Parts, before: FloatArray, marks: Sequence[tuple[int, int]]) -> FloatArray:
    parts = [part for part, _ in marks]
    at = found.positions(parts, [row for _, row in marks])
    out: FloatArray = before[np.array(parts, dtype=np.int64)] + at
    return out


class _Stretches:
    """Seams divided at their pairs."""

    def __init__(
        self,
        seams: Sequence[Seam],
        pair_seams: IntArray,
        pair_names: Sequence[tuple[str, str]],
        pair_sew: FloatArray,
        pair_to: FloatArray,
        sew: FloatArray,
        to: FloatArray,
    ) -> None:
        s, n = len(seams), len(pair_seams)
        # Bounds of a seam: its start (0), its pairs, its end; one row each.
        owner = np.concatenate((np.arange(s), pair_seams, np.arange(s)))
        rank = np.concatenate((np.zeros(s), np.arange(1, n + 1), np.full(s, n + 1)))
        order = np.lexsort((rank, owner))
        zero = np.where(np.isnan(sew), np.nan, 0.0)
        bounds_sew = np.concatenate((zero, pair_sew, sew))[order]
        bounds_to = np.concatenate((zero, pair_to, to))[order]
        names = [
            *[seam.sew.parts[0].marks[0] for seam in seams],
            *[pair[0] for pair in pair_names],
            *[seam.sew.parts[-1].marks[-1] for seam in seams],
        ]
        names = [names[i] for i in order]
        within = np.flatnonzero(np.diff(owner[order]) == 0)
        self.seams: IntArray = owner[order][within]
        self.names = tuple((names[i], names[i + 1]) for i in within)
        self.sew: FloatArray = np.diff(bounds_sew, axis=0)[within]
        self.to: FloatArray = np.diff(bounds_to, axis=0)[within]


def _misses(pair_seams: IntArray, taken: FloatArray, ease: FloatArray) -> FloatArray:
    """How far pairs miss however ease is spread: see `Walk.miss`. `taken` (N, Z) is the ease up
    to each pair, `ease` (S, Z) that of the whole seam."""
    if not pair_seams.size:
        return np.zeros_like(taken)
    whole = ease[pair_seams]
    beyond: FloatArray = taken - np.clip(taken, np.minimum(whole, 0.0), np.maximum(whole, 0.0))
    before = np.zeros_like(taken)
    same = np.flatnonzero(np.diff(pair_seams) == 0) + 1
    before[same] = taken[same - 1]
    stretch = np.where(np.isnan(before), 0.0, taken - before)
    # Only between two pairs: from the seam's start to the first pair it is `beyond` already.
    stretch[np.setdiff1d(np.arange(len(taken)), same)] = 0.0
    wrong = np.where(whole >= 0.0, np.minimum(stretch, 0.0), np.maximum(stretch, 0.0))
    out: FloatArray = np.where(np.abs(wrong) > np.abs(beyond), wrong, beyond)
    return out
