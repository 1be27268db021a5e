"""What a step changed, found by the core: shapes compared by identity, then measured."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

import numpy as np

from seamwright.geometry import Curve
from seamwright.geometry.apart import curves_apart
from seamwright.model import Pattern, Shape
from seamwright.plan import walk
from seamwright.plugins.record import SeamMeasure

Key = tuple[str, str]  # piece, size


def shapes_of(pattern: Pattern) -> dict[Key, Shape]:
    """(piece, size) -> shape."""
    return {(piece.name, shape.size): shape for piece in pattern.pieces for shape in piece.shapes}


def changed(before: Pattern, after: Pattern) -> tuple[Key, ...]:
    """(piece, size) of every shape that is another object than before, or new, or gone."""
    if before is after:
        return ()
    was, now = shapes_of(before), shapes_of(after)
    return tuple(key for key in dict.fromkeys((*was, *now)) if was.get(key) is not now.get(key))


class Moved(Mapping[Key, float]):
    """(piece, size) -> greatest distance (mm) between old and new seam line of each shape that
    was there before and is there still.

    Measured when somebody looks, all shapes together: the shapes are kept by the record anyway,
    and most runs are never asked.
    """

    def __init__(self, pairs: Mapping[Key, tuple[Curve, Curve]]) -> None:
        self._pairs = pairs
        self._found: dict[Key, float] | None = None

    def _measured(self) -> dict[Key, float]:
        if self._found is None:
            other = [key for key, (a, b) in self._pairs.items() if a is not b]
            far = curves_apart([self._pairs[key] for key in other]).tolist()
            self._found = {**dict.fromkeys(self._pairs, 0.0), **dict(zip(other, far, strict=True))}
        return self._found

    def __getitem__(self, key: Key) -> float:
        return self._measured()[key]

    def __iter__(self) -> Iterator[Key]:
        return iter(self._pairs)

    def __len__(self) -> int:
        return len(self._pairs)

    def __reduce__(self) -> tuple[Any, ...]:
        return dict, (self._measured(),)


def moved(before: Pattern, after: Pattern, keys: tuple[Key, ...]) -> Mapping[Key, float]:
    """How far the seam line of each of those shapes moved."""
    was, now = shapes_of(before), shapes_of(after)
    return Moved({k: (was[k].seam_line, now[k].seam_line) for k in keys if k in was and k in now})


def seams_of(pattern: Pattern) -> tuple[SeamMeasure, ...]:
    """Every seam in every size in which both its sides could be measured."""
    if not pattern.seams:
        return ()
    return tuple(_measures(pattern))


def _measures(pattern: Pattern) -> Iterator[SeamMeasure]:
    found = walk(pattern)
    sew, to = found.sew_lengths.tolist(), found.to_lengths.tolist()
    for s, z in np.argwhere(np.isfinite(found.ease)).tolist():
        yield SeamMeasure(
            seam=found.seams[s].name,
            size=found.sizes[z],
            sew_length=sew[s][z],
            to_length=to[s][z],
        )
