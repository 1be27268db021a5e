"""Notches that wander along their seam from size to size."""

from __future__ import annotations

import numpy as np

from seamwright.geometry import FloatArray, IntArray
from seamwright.model import Pattern, Piece
from seamwright.model.measure import Measures, measure
from seamwright.plugins.api import Context, Finding, Severity

from .options import CheckNest


def notches_wander(
    pattern: Pattern, options: CheckNest, ctx: Context, findings: list[Finding]
) -> int:
    """Findings nest.wander; how many notches were looked at.

    A notch may keep its distance from either end of its edge, or its share of it: in each case
    its distance from the start of the edge grows evenly with the edge's length. A size that lies
    off that line by more than the tolerance, or on another edge, is reported.
    """
    shapes = [s for p in pattern.pieces for s in p.shapes]
    known = dict(zip(map(id, shapes), measure(shapes), strict=True))
    looked = 0
    for piece in pattern.pieces:
        if len(piece.shapes) < 3:
            continue
        if len({(len(s.corners), len(s.notches)) for s in piece.shapes}) != 1:
            continue
        if not piece.shapes[0].notches or not piece.shapes[0].corners:
            continue
        rows = [_on_edges(known[id(s)]) for s in piece.shapes]
        edge = np.stack([r[0] for r in rows], axis=1)
        at, length = (np.stack([r[k] for r in rows], axis=1) for k in (1, 2))
        looked += edge.shape[0]
        for n in range(edge.shape[0]):
            _judge(piece, n, edge[n], at[n], length[n], options, ctx, findings)
    return looked


def _on_edges(measures: Measures) -> tuple[IntArray, FloatArray, FloatArray]:
    """For each notch its edge, its way from the edge's start, and the edge's length."""
    corners, notches, whole = measures.corners, measures.notches, measures.length
    edge = np.searchsorted(corners, notches + 1e-6, side="right") - 1
    lengths = np.diff(np.append(corners, corners[0] + whole))
    at = np.mod(notches - corners[edge], whole)
    return edge % len(corners), at, lengths[edge]


def _judge(
    piece: Piece, number: int, edge: IntArray, at: FloatArray, length: FloatArray,
    options: CheckNest, ctx: Context, findings: list[Finding],
) -> None:  # fmt: skip
    usual = int(np.bincount(edge).argmax())
    for z in np.flatnonzero(edge != usual).tolist():
        _say(piece, number, z, "the notch lies on another edge than in the other sizes, "
             f"{ctx.length(float(at[z]))} along it",
             float(at[z]), float(options.wander), findings)  # fmt: skip
    here = np.flatnonzero(edge == usual)
    if here.size < 3:
        return
    off = off_line(length[here], at[here])
    k = int(np.abs(off).argmax())
    if abs(float(off[k])) > float(options.wander):
        z = int(here[k])
        _say(piece, number, z, f"the notch lies {ctx.length(abs(float(off[k])))} "
             f"{'past' if off[k] > 0 else 'before'} the place that the other sizes give it",
             float(off[k]), float(options.wander), findings)  # fmt: skip


def off_line(length: FloatArray, at: FloatArray) -> FloatArray:
    """How far each size's notch lies from the line through all others' (length, at)."""
    out = np.empty(at.size)
    for i in range(at.size):
        others = np.arange(at.size) != i
        x, y = length[others], at[others]
        spread = float(np.ptp(x))
        if spread <= 1e-6 or x.size < 2:
            expected = float(np.median(y))
        else:
            slope, start = np.polyfit(x, y, 1)
            expected = float(start + slope * length[i])
        out[i] = at[i] - expected
    return out


def _say(
    piece: Piece, number: int, z: int, message: str, measured: float, limit: float,
    findings: list[Finding],
) -> None:  # fmt: skip
    shape = piece.shapes[z]
    notch = shape.notches[number]
    curve = shape.seam_line
    if notch.line.value == "cut" and shape.cut_line is not None:
        curve = shape.cut_line
    x, y = curve.point_of(notch.station)
    findings.append(
        Finding(
            code="nest.wander",
            severity=Severity.WARNING,
            message=f"{notch.name}: {message}",
            piece=piece.name,
            size=shape.size,
            x=float(x),
            y=float(y),
            measured=measured,
            limit=limit,
            hint="look at the notch in that size",
        )
    )
