"""What a record says, measured before and after: the figures that every report shows.

Lengths in mm, one entry a size in the pattern's order, NaN where a size lacks something.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from seamwright.geometry import FloatArray
from seamwright.model import Pattern, Seam, Shape
from seamwright.plan import DEFAULT_TOLERANCE, Walk, walk
from seamwright.plugins.api import Record

#: A seam brought to its limit may lie over it by this much, mm: what the alterations hold to.
SLACK = 0.05


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Stretch:
    """A seam between two neighbouring pairs of notches."""

    start: str
    end: str
    sew_before: FloatArray
    to_before: FloatArray
    sew_after: FloatArray
    to_after: FloatArray

    @property
    def before(self) -> FloatArray:
        """Ease before."""
        return self.sew_before - self.to_before

    @property
    def after(self) -> FloatArray:
        """Ease after."""
        return self.sew_after - self.to_after


@dataclass(frozen=True, eq=False, kw_only=True)
class SeamFacts:
    """One seam: its allowed ease, its lengths before and after in all sizes."""

    seam: Seam
    at_least: float
    at_most: float
    sew_before: FloatArray
    to_before: FloatArray
    sew_after: FloatArray
    to_after: FloatArray
    stretches: tuple[Stretch, ...]

    @property
    def name(self) -> str:
        """The seam's name."""
        return self.seam.name

    @property
    def stated(self) -> bool:
        """Whether the plan names the range itself."""
        return self.seam.ease is not None

    @property
    def before(self) -> FloatArray:
        """Ease before."""
        return self.sew_before - self.to_before

    @property
    def after(self) -> FloatArray:
        """Ease after."""
        return self.sew_after - self.to_after

    def beyond(self, ease: FloatArray) -> FloatArray:
        """How far an ease lies over its range (under it: negative; within: 0; NaN unknown)."""
        over = np.where(ease > self.at_most + SLACK, ease - self.at_most, 0.0)
        under = np.where(ease < self.at_least - SLACK, ease - self.at_least, 0.0)
        return np.where(np.isnan(ease), np.nan, over + under)

    @cached_property
    def out_before(self) -> FloatArray:
        """How far out of its range before."""
        return self.beyond(self.before)

    @cached_property
    def out_after(self) -> FloatArray:
        """How far out of its range after."""
        return self.beyond(self.after)

    @property
    def moved(self) -> bool:
        """Whether any of its lengths changed by more than 0.005 mm."""
        moves = (self.sew_after - self.sew_before, self.to_after - self.to_before)
        return any(bool((np.nan_to_num(np.abs(m)) > 0.005).any()) for m in moves)

    @property
    def worst(self) -> tuple[float, float]:
        """What to sort by: how far out after, then before."""
        return (_most(self.out_after), _most(self.out_before))


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Pair:
    """Two notches that must meet, and how far they miss in each size."""

    seam: str
    names: tuple[str, str]
    before: FloatArray
    after: FloatArray


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class PieceFacts:
    """One piece: its shapes before and after, by size."""

    name: str
    before: dict[str, Shape]
    after: dict[str, Shape]

    @property
    def changed(self) -> tuple[str, ...]:
        """Sizes in which the shape is another object than before, in which it is new or gone."""
        sizes = dict.fromkeys((*self.before, *self.after))
        return tuple(s for s in sizes if self.before.get(s) is not self.after.get(s))


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Facts:
    """Everything that the reports say in figures."""

    record: Record
    sizes: tuple[str, ...]
    seams: tuple[SeamFacts, ...]
    pairs: tuple[Pair, ...]
    pieces: tuple[PieceFacts, ...]

    @property
    def style(self) -> str:
        """The style's name."""
        return self.record.after.name or self.record.before.name or "Pattern"

    @property
    def worst_first(self) -> list[SeamFacts]:
        """Seams, those furthest out of their range after (then before) in front."""
        return sorted(self.seams, key=lambda s: tuple(-w for w in s.worst))

    @property
    def changed(self) -> list[PieceFacts]:
        """Pieces that are not what they were."""
        return [piece for piece in self.pieces if piece.changed]

    @property
    def base(self) -> int:
        """Number of the base size."""
        base = self.record.after.base_size
        return self.sizes.index(base) if base in self.sizes else 0


def facts_of(record: Record) -> Facts:
    """Walks the record's patterns before and after and sets their figures side by side."""
    before, after = record.before, record.after
    sizes = tuple(dict.fromkeys((*after.sizes, *before.sizes)))
    # A plan that was applied within the run stands in the pattern after only.
    if after.seams and not before.seams:
        before = before.but(seams=after.seams)
    old, new = walk(before), walk(after)
    return Facts(
        record=record,
        sizes=sizes,
        seams=tuple(_seam(seam, old, new, sizes) for seam in after.seams or before.seams),
        pairs=tuple(_pairs(old, new, sizes)),
        pieces=tuple(_pieces(before, after)),
    )


def _seam(seam: Seam, old: Walk, new: Walk, sizes: tuple[str, ...]) -> SeamFacts:
    limits = (seam.ease.at_least, seam.ease.at_most) if seam.ease else None
    at_least, at_most = limits or (-DEFAULT_TOLERANCE, DEFAULT_TOLERANCE)
    s_old, s_new = _row(seam.name, old), _row(seam.name, new)
    stretches = []
    if s_new is not None and s_old is not None:
        rows_old = np.flatnonzero(old.stretch_seams == s_old)
        rows_new = np.flatnonzero(new.stretch_seams == s_new)
        names = [new.stretch_names[t] for t in rows_new]
        if [old.stretch_names[t] for t in rows_old] == names:
            stretches = [
                Stretch(
                    start=name[0],
                    end=name[1],
                    sew_before=_spread(old.stretch_sew[a], old, sizes),
                    to_before=_spread(old.stretch_to[a], old, sizes),
                    sew_after=_spread(new.stretch_sew[b], new, sizes),
                    to_after=_spread(new.stretch_to[b], new, sizes),
                )
                for name, a, b in zip(names, rows_old, rows_new, strict=True)
            ]
    return SeamFacts(
        seam=seam,
        at_least=at_least,
        at_most=at_most,
        sew_before=_spread(None if s_old is None else old.sew_lengths[s_old], old, sizes),
        to_before=_spread(None if s_old is None else old.to_lengths[s_old], old, sizes),
        sew_after=_spread(None if s_new is None else new.sew_lengths[s_new], new, sizes),
        to_after=_spread(None if s_new is None else new.to_lengths[s_new], new, sizes),
        stretches=tuple(stretches),
    )


def _pairs(old: Walk, new: Walk, sizes: tuple[str, ...]) -> list[Pair]:
    known = {
        (old.seams[s].name, names): row
        for s, names, row in zip(old.pair_seams, old.pair_names, old.miss, strict=True)
    }
    out = []
    for s, names, row in zip(new.pair_seams, new.pair_names, new.miss, strict=True):
        seam = new.seams[s].name
        out.append(
            Pair(
                seam=seam,
                names=names,
                before=_spread(known.get((seam, names)), old, sizes),
                after=_spread(row, new, sizes),
            )
        )
    return out


def _pieces(before: Pattern, after: Pattern) -> list[PieceFacts]:
    old = {piece.name: {s.size: s for s in piece.shapes} for piece in before.pieces}
    new = {piece.name: {s.size: s for s in piece.shapes} for piece in after.pieces}
    return [
        PieceFacts(name=name, before=old.get(name, {}), after=new.get(name, {}))
        for name in dict.fromkeys((*new, *old))
    ]


def _row(seam: str, of: Walk) -> int | None:
    try:
        return of.number(seam)
    except KeyError:
        return None


def _spread(row: FloatArray | None, of: Walk, sizes: Sequence[str]) -> FloatArray:
    """The row's figures in the order of `sizes`."""
    out = np.full(len(sizes), np.nan)
    if row is not None:
        for size, value in zip(of.sizes, row, strict=True):
            out[sizes.index(size)] = value
    return out


def _most(values: FloatArray) -> float:
    known = np.abs(values[np.isfinite(values)])
    return float(known.max()) if known.size else 0.0
