"""Edge lengths over the sizes: a size that breaks their sequence."""

from __future__ import annotations

import numpy as np

from seamwright.geometry import FloatArray
from seamwright.model import Pattern, Piece
from seamwright.model.measure import Measures, measure
from seamwright.plugins.api import Context, Finding, Severity

from .options import CheckNest


def lengths_in_sequence(
    pattern: Pattern, options: CheckNest, ctx: Context, findings: list[Finding]
) -> int:
    """Findings nest.sequence, the worst edge of a piece in a size; how many edges were looked at.

    A size breaks the sequence of an edge where its length turns back (longer than the sizes on
    both sides, or shorter) or stands out: farther than the tolerance from the middle between its
    neighbours, while those stand out the other way. A grade that goes by larger steps from some
    size on does neither.
    """
    shapes = [s for p in pattern.pieces for s in p.shapes]
    known = dict(zip(map(id, shapes), measure(shapes), strict=True))
    looked = 0
    for piece in pattern.pieces:
        lengths = _edges(piece, known)
        if lengths is None or lengths.shape[1] < 3:
            continue
        looked += lengths.shape[0]
        off = stands_out(lengths, float(options.sequence))
        for z in np.flatnonzero(off.any(axis=0)).tolist():
            e = int(np.abs(off[:, z]).argmax())
            shape = piece.shapes[z]
            edge = shape.edges[e]
            findings.append(
                Finding(
                    code="nest.sequence",
                    severity=Severity.WARNING,
                    message=f"the edge is {ctx.length(float(lengths[e, z]))} long, "
                    f"{ctx.length(abs(float(off[e, z])))} "
                    f"{'more' if off[e, z] > 0 else 'less'} than the sizes beside it let expect",
                    piece=piece.name,
                    size=shape.size,
                    edge=edge.name,
                    measured=float(off[e, z]),
                    limit=float(options.sequence),
                    hint="look at that size",
                )
            )
    return looked


def _edges(piece: Piece, known: dict[int, Measures]) -> FloatArray | None:
    """Lengths (E, Z) of the edges, None where sizes have other corners."""
    counts = {len(s.corners) for s in piece.shapes}
    if len(counts) != 1:
        return None
    rows = []
    for shape in piece.shapes:
        measures = known[id(shape)]
        corners, whole = measures.corners, measures.length
        if not len(corners):
            rows.append(np.array([whole]))
        else:
            rows.append(np.diff(np.append(corners, corners[0] + whole)))
    return np.stack(rows, axis=1)


def stands_out(lengths: FloatArray, tolerance: float) -> FloatArray:
    """How far (E, Z) each length lies off its neighbours' middle, 0 where that is in order."""
    out = np.zeros_like(lengths)
    step = np.diff(lengths, axis=1)
    off = lengths[:, 1:-1] - (lengths[:, :-2] + lengths[:, 2:]) / 2.0
    back = (step[:, :-1] * step[:, 1:] < 0) & (
        np.minimum(np.abs(step[:, :-1]), np.abs(step[:, 1:])) > tolerance
    )
    beyond = np.abs(off) > tolerance
    # A lone size that is off by d pulls the middles of both neighbours by d / 2 the other way.
    padded = np.pad(off, ((0, 0), (1, 1)))
    left, right = padded[:, :-2], padded[:, 2:]
    edge_left = np.arange(off.shape[1]) == 0
    edge_right = np.arange(off.shape[1]) == off.shape[1] - 1
    opposed = ((left * off < 0) & (np.abs(left) > 0.3 * np.abs(off))) | edge_left
    opposed &= ((right * off < 0) & (np.abs(right) > 0.3 * np.abs(off))) | edge_right
    # With a neighbour at one end only, that one must say so.
    opposed &= ~(edge_left & edge_right) | back
    largest = np.abs(off) >= np.maximum(np.abs(left), np.abs(right))
    chosen = beyond & largest & (opposed | back)
    out[:, 1:-1] = np.where(chosen, off, 0.0)
    return out
