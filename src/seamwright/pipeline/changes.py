"""What a step changed, found by the core: shapes compared by identity, then measured."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

import numpy as np

from seamwright.model import Pattern, Shape
from seamwright.plan import walk
from seamwright.plugins.readback import distance_between
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


def moved(before: Pattern, after: Pattern, keys: tuple[Key, ...]) -> Mapping[Key, float]:
    """Greatest distance (mm) between old and new seam line of each shape that was there before
    and is there still."""
    was, now = shapes_of(before), shapes_of(after)
    out = {}
    for key in keys:
        a, b = was.get(key), now.get(key)
        if a is not None and b is not None:
            same = a.seam_line is b.seam_line
            out[key] = 0.0 if same else distance_between(a.seam_line, b.seam_line)
    return out


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
