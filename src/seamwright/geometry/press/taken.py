"""What was taken out of an edge, and how lengths along it carry over."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from .kinds import FloatArray, PressError
from .wedge import Wedge

__all__ = ["Taken"]


@dataclass(frozen=True, slots=True, eq=False)
class Taken:
    """Stretches cut out of an edge: starts (M,), ends (M,), lengths along it, in order."""

    starts: FloatArray
    ends: FloatArray

    @classmethod
    def of(cls, stretches: Iterable[Wedge | tuple[float, float]]) -> Taken:
        """From wedges or pairs (start, end), in any order. Raises PressError (`overlap`)."""
        pairs = [(w.start, w.end) if isinstance(w, Wedge) else w for w in stretches]
        table = np.array(sorted(pairs), dtype=np.float64).reshape(-1, 2)
        if (table[:, 1] < table[:, 0]).any() or (table[1:, 0] < table[:-1, 1]).any():
            raise PressError("overlap", "stretches that are taken out overlap")
        return cls(table[:, 0], table[:, 1])

    @property
    def total(self) -> float:
        """How much shorter the edge is, mm."""
        return float((self.ends - self.starts).sum())

    @property
    def places(self) -> FloatArray:
        """Where along the new edge (M,) each stretch was."""
        before = np.cumsum(self.ends - self.starts)[:-1]
        places: FloatArray = self.starts - np.concatenate([np.zeros(1), before])[: self.starts.size]
        return places

    def after(self, s: ArrayLike) -> Any:
        """Lengths along the new edge, of lengths s () or (N,) along the old; within a stretch
        taken out, that of the place where it was."""
        old = np.asarray(s, dtype=np.float64)
        gone = np.clip(old[..., None], self.starts, self.ends) - self.starts
        new = old - gone.sum(axis=-1)
        return float(new) if new.ndim == 0 else new

    def before(self, s: ArrayLike) -> Any:
        """Lengths along the old edge, of lengths s () or (N,) along the new; at the very place
        of a stretch taken out, its start."""
        new = np.asarray(s, dtype=np.float64)
        past = new[..., None] > self.places
        old = new + (past * (self.ends - self.starts)).sum(axis=-1)
        return float(old) if old.ndim == 0 else old
