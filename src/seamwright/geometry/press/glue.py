"""The wedges' sides glued: a sheet whose triangles keep their rest shapes and share vertices."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from .energy import Elements, elements
from .kinds import BoolArray, FloatArray, IntArray
from .mesh import Mesh
from .outline import Outline

__all__ = ["Sheet", "glued"]


class Sheet(NamedTuple):
    """A glued sheet. `vertex` (V0,): for each vertex of the flat mesh its number in the sheet."""

    elements: Elements
    start: FloatArray  # (V, 2): the flat original, glued vertices half way between
    fixed: BoolArray  # (V,)
    vertex: IntArray


def glued(mesh: Mesh, outline: Outline) -> Sheet:
    """The mesh with both sides of every cut made one, vertex by vertex."""
    count = len(mesh.points)
    same = np.arange(count)
    for cut in outline.cuts:
        same[cut.second] = cut.first
    used, vertex = np.unique(same, return_inverse=True)
    vertex = vertex.astype(np.int64)
    shared = np.bincount(vertex)
    start = np.stack(
        [np.bincount(vertex, weights=mesh.points[:, axis]) / shared for axis in (0, 1)], axis=1
    )
    fixed = np.zeros(len(used), dtype=np.bool_)
    fixed[vertex[np.flatnonzero(outline.fixed)]] = True
    start[vertex[: len(outline.points)][outline.fixed]] = outline.points[outline.fixed]
    rest = mesh.points[mesh.triangles]
    return Sheet(elements(rest, vertex[mesh.triangles]), start, fixed, vertex)
