"""POLYLINE, LWPOLYLINE, LINE, SOLID and their kin as strokes."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from seamwright.geometry import LINE, line_segments
from seamwright.plugins.api import Finding, Severity

from .arcs import bulge_arcs
from .records import Fate, Records
from .strokes import Strokes, empty

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]
BoolArray = NDArray[np.bool_]

FLAT_BULGE = 1e-10
"""Below this a bulge is a straight line: the sagitta of a 10 m chord would be 5e-7 mm."""
_CLOSED, _SPLINE_FIT, _MESHES = 1, 4, 16 | 64
_FRAME_POINT = 16


@dataclass(slots=True)
class Vertices:
    """Vertices (V, 2) of many strokes with the bulge of the stretch that follows each."""

    points: FloatArray
    bulge: FloatArray
    offsets: IntArray
    closed: BoolArray
    rows: IntArray


def polylines(records: Records) -> Vertices:
    """All POLYLINEs. A missing SEQEND is mended and said; lone VERTEX records are dropped."""
    is_vertex = np.zeros(records.n, dtype=bool)
    vertex_rows = records.rows_of("VERTEX")
    is_vertex[vertex_rows] = True
    heads = records.rows_of("POLYLINE")
    seqends = records.rows_of("SEQEND")
    records.fate[seqends] = Fate.PART
    if not heads.size:
        _drop_lone(records, vertex_rows)
        return _none()
    # A vertex belongs to the POLYLINE before it if nothing but vertices stands between.
    owner = np.searchsorted(heads, vertex_rows, side="right") - 1
    run = np.flatnonzero(np.diff(vertex_rows, prepend=-2) != 1)
    run_of = np.cumsum(np.diff(vertex_rows, prepend=-2) != 1) - 1
    first_rows = vertex_rows[run] if run.size else vertex_rows[:0]
    led = np.zeros(run.size, dtype=bool)
    if run.size:
        before = first_rows - 1
        led = (before >= 0) & np.isin(before, heads)
    lone = ~led[run_of] if vertex_rows.size else np.zeros(0, bool)
    _drop_lone(records, vertex_rows[lone])
    rows, owner = vertex_rows[~lone], owner[~lone]
    _mend_seqends(records, heads, rows, owner, seqends)
    records.fate[rows[records.fate[rows] == Fate.UNSEEN]] = Fate.PART

    flags = records.whole(70)
    head_flags = flags[heads]
    dropped = records.fate[heads] == Fate.DROPPED
    meshes = ((head_flags & _MESHES) != 0) & ~dropped
    if meshes.any():
        records.fate[heads[meshes]] = Fate.KEPT
    frame_points = (flags[rows] & _FRAME_POINT != 0) & (head_flags[owner] & _SPLINE_FIT != 0)
    bad = np.zeros(heads.size, dtype=bool)
    hurt = records.fate[rows] == Fate.DROPPED
    if hurt.any():
        # A polyline that lost a vertex would be another shape: all of it is left out.
        bad[owner[hurt]] = True
        records.drop(heads[bad])
    use = ~(frame_points | (bad | meshes | dropped)[owner])
    rows, owner = rows[use], owner[use]
    counts = np.bincount(owner, minlength=heads.size)
    wanted = ~(bad | meshes | dropped)
    offsets = np.zeros(int(wanted.sum()) + 1, dtype=np.int64)
    np.cumsum(counts[wanted], out=offsets[1:])
    points = np.stack((records.real(10)[rows], records.real(20)[rows]), axis=1)
    bulge = records.real(42)[rows].copy()
    mirrored = (records.real(230, 1.0)[heads] < 0) & (head_flags & 8 == 0)
    flip = mirrored[owner]
    if flip.any():
        points[flip, 0] *= -1.0
        bulge[flip] *= -1.0
    return Vertices(points, bulge, offsets, (head_flags[wanted] & _CLOSED) != 0, heads[wanted])


def _none() -> Vertices:
    return Vertices(
        np.empty((0, 2)),
        np.empty(0),
        np.zeros(1, np.int64),
        np.empty(0, bool),
        np.empty(0, np.int64),
    )


def _drop_lone(records: Records, rows: IntArray) -> None:
    rows = rows[records.fate[rows] != Fate.DROPPED]
    if not rows.size:
        return
    records.drop(rows)
    records.findings.append(
        Finding(
            code="dxf.lone-vertex",
            severity=Severity.ERROR,
            message=f"{rows.size} VERTEX records belong to no POLYLINE; they are left out",
            line=records.line(int(rows[0])),
            hint="the file is damaged here: ask for it again",
        )
    )


def _mend_seqends(
    records: Records, heads: IntArray, rows: IntArray, owner: IntArray, seqends: IntArray
) -> None:
    """Say how many polylines lack their SEQEND."""
    last = heads.copy()
    if rows.size:
        np.maximum.at(last, owner, rows)
    missing = ~np.isin(last + 1, seqends)
    if records.frame.cut is not None and missing.size and last[-1] + 1 >= records.n:
        # The polyline in which the file breaks off is not whole.
        missing[-1] = False
        records.drop(heads[-1:])
    if missing.any():
        records.findings.append(
            Finding(
                code="dxf.no-seqend",
                severity=Severity.WARNING,
                message=f"{int(missing.sum())} polylines lack their SEQEND; they are taken to "
                "end with their last vertex",
                line=records.line(int(heads[np.flatnonzero(missing)[0]])),
                repaired=True,
            )
        )


def light_polylines(records: Records) -> Vertices:
    """All LWPOLYLINEs: vertices and bulges stand in the entity itself."""
    rows = records.rows_of("LWPOLYLINE")
    rows = rows[records.fate[rows] != Fate.DROPPED]
    if not rows.size:
        return _none()
    mask = np.zeros(records.n, dtype=bool)
    mask[rows] = True
    at, codes, values = records.reals_of(mask, (10, 20, 42))
    xs = codes == 10
    index = np.cumsum(xs) - 1
    points = np.zeros((int(xs.sum()), 2))
    bulge = np.zeros(len(points))
    points[:, 0] = values[xs]
    own = at[xs]
    for code, target in ((20, points[:, 1]), (42, bulge)):
        chosen = (codes == code) & (index >= 0)
        target[index[chosen]] = values[chosen]
    number = np.searchsorted(rows, own)
    offsets = np.zeros(rows.size + 1, dtype=np.int64)
    np.cumsum(np.bincount(number, minlength=rows.size), out=offsets[1:])
    flip = (records.real(230, 1.0)[rows] < 0)[number]
    points[flip, 0] *= -1.0
    bulge[flip] *= -1.0
    stated = records.whole(90, -1)[rows]
    wrong = (stated >= 0) & (stated != np.diff(offsets))
    for row, said, got in zip(
        rows[wrong].tolist(), stated[wrong].tolist(), np.diff(offsets)[wrong].tolist(), strict=True
    ):
        records.findings.append(
            Finding(
                code="dxf.vertex-count",
                severity=Severity.WARNING,
                message=f"an LWPOLYLINE on layer {records.layer_of(row)} states {said} vertices "
                f"and has {got}",
                line=records.line(row),
                hint="compare the line with the sender's drawing",
            )
        )
    return Vertices(points, bulge, offsets, (records.whole(70)[rows] & _CLOSED) != 0, rows)


def lines(records: Records) -> Vertices:
    """All LINEs. An end without coordinates is damage, not the origin."""
    rows = records.rows_of("LINE")
    rows = rows[records.fate[rows] != Fate.DROPPED]
    nan = np.nan
    x0, y0 = records.real(10, nan)[rows], records.real(20, nan)[rows]
    x1, y1 = records.real(11, nan)[rows], records.real(21, nan)[rows]
    whole = np.isfinite(x0 + y0 + x1 + y1)
    _drop_endless(records, rows[~whole])
    rows = rows[whole]
    points = np.stack((x0, y0, x1, y1), axis=1)[whole].reshape(-1, 2)
    n = rows.size
    return Vertices(points, np.zeros(2 * n), np.arange(n + 1) * 2, np.zeros(n, bool), rows)


def _drop_endless(records: Records, rows: IntArray) -> None:
    for row in rows.tolist():
        records.drop([row])
        records.findings.append(
            Finding(
                code="dxf.incomplete",
                severity=Severity.ERROR,
                message=f"a {records.type_of(row)} on layer {records.layer_of(row)} lacks a "
                "coordinate; it is left out",
                line=records.line(row),
                hint="mend the entity, or ask for the file again",
            )
        )


def faces(records: Records) -> Vertices:
    """SOLID, TRACE and 3DFACE as closed outlines of three or four points."""
    rows = records.rows_of("SOLID", "TRACE", "3DFACE")
    rows = rows[records.fate[rows] != Fate.DROPPED]
    if not rows.size:
        return _none()
    crossed = np.array([records.type_of(r) != "3DFACE" for r in rows.tolist()])
    corners = np.stack(
        [np.stack((records.real(10 + i)[rows], records.real(20 + i)[rows]), 1) for i in range(4)], 1
    )
    # SOLID and TRACE give their corners in the order 1 2 4 3 (DXF reference).
    corners[crossed] = corners[crossed][:, [0, 1, 3, 2]]
    triangle = (corners[:, 2] == corners[:, 3]).all(axis=1)
    keep = np.ones((rows.size, 4), dtype=bool)
    keep[triangle, 3] = False
    flip = (records.real(230, 1.0)[rows] < 0) & crossed
    corners[flip, :, 0] *= -1.0
    offsets = np.zeros(rows.size + 1, dtype=np.int64)
    np.cumsum(keep.sum(axis=1), out=offsets[1:])
    points = corners[keep]
    return Vertices(points, np.zeros(len(points)), offsets, np.ones(rows.size, bool), rows)


def strokes_of(records: Records, vertices: Vertices, tolerance: float, touch: float) -> Strokes:
    """Vertices as strokes. A repeated closing vertex within `touch` is dropped: "closed" has one
    form from here on. Strokes of fewer than two points are degenerate and said so."""
    v = vertices
    counts = np.diff(v.offsets)
    n = counts.size
    if not n:
        return empty()
    live = np.flatnonzero(counts >= 1)
    keep = np.ones(len(v.points), dtype=bool)
    closed = v.closed.copy()
    first, last = v.points[v.offsets[live]], v.points[v.offsets[live + 1] - 1]
    gap = np.hypot(*(last - first).T)
    # A last point on the first one is a repeat, flag or not.
    repeat = (counts[live] > 2) & (gap <= touch)
    _say_nearly(records, gap[repeat & ~closed[live]])
    keep[v.offsets[live[repeat] + 1] - 1] = False
    closed[live[repeat]] = True
    counts = counts.copy()
    counts[live[repeat]] -= 1
    poor = counts < 2
    if poor.any():
        _degenerate(records, v.rows[poor])
        keep &= ~np.repeat(poor, np.diff(v.offsets))
    points, bulge = v.points[keep], v.bulge[keep]
    counts, closed, rows = counts[~poor], closed[~poor], v.rows[~poor]
    if not rows.size:
        return empty()
    offsets = np.zeros(rows.size + 1, dtype=np.int64)
    np.cumsum(counts, out=offsets[1:])
    after = np.arange(1, len(points) + 1)
    after[offsets[1:] - 1] = offsets[:-1]
    is_segment = np.ones(len(points), dtype=bool)
    is_segment[offsets[1:] - 1] = closed
    a = points[is_segment]
    b = points[after[is_segment]]
    bulges = bulge[is_segment]
    segment_counts = counts - ~closed
    straight = np.abs(bulges) < FLAT_BULGE
    if straight.all():
        segments = line_segments(a, b)
        kinds = np.full(len(a), LINE, dtype=np.uint8)
    else:
        segments, kinds, segment_counts = _with_arcs(
            a, b, bulges, straight, segment_counts, tolerance
        )
    out = np.zeros(rows.size + 1, dtype=np.int64)
    np.cumsum(segment_counts, out=out[1:])
    records.fate[rows] = Fate.CONVERTED
    return Strokes(
        segments, kinds, out, closed, records.layers[rows].astype(np.int64), rows,
        records.owner[rows].astype(np.int64),
    )  # fmt: skip


def _say_nearly(records: Records, gaps: FloatArray) -> None:
    """Note outlines that return to their start within rounding, without saying that they close."""
    apart = gaps[gaps > 0.0]
    if apart.size:
        records.findings.append(
            Finding(
                code="outline.joined",
                severity=Severity.NOTE,
                message=f"{apart.size} lines end within {apart.max():.4f} units of their start; "
                "they are taken to close there",
                measured=float(apart.max()),
                repaired=True,
            )
        )


def _with_arcs(
    a: FloatArray, b: FloatArray, bulges: FloatArray, straight: BoolArray, counts: IntArray,
    tolerance: float,
) -> tuple[FloatArray, NDArray[np.uint8], IntArray]:  # fmt: skip
    bent = np.flatnonzero(~straight & (a != b).any(axis=1))
    arcs, arc_offsets = bulge_arcs(a[bent], b[bent], bulges[bent], tolerance)
    pieces = np.ones(len(a), dtype=np.int64)
    pieces[bent] = np.diff(arc_offsets)
    starts = np.zeros(len(a) + 1, dtype=np.int64)
    np.cumsum(pieces, out=starts[1:])
    segments = np.empty((int(starts[-1]), 4, 2))
    kinds = np.full(len(segments), LINE, dtype=np.uint8)
    plain = np.ones(len(a), dtype=bool)
    plain[bent] = False
    segments[starts[:-1][plain]] = line_segments(a[plain], b[plain])
    index = np.repeat(starts[bent] - arc_offsets[:-1], np.diff(arc_offsets)) + np.arange(len(arcs))
    segments[index] = arcs
    kinds[index] = 1
    own = np.repeat(np.arange(counts.size), counts)
    return segments, kinds, np.bincount(own, weights=pieces, minlength=counts.size).astype(np.int64)


def _degenerate(records: Records, rows: IntArray) -> None:
    records.drop(rows)
    for row in rows[:20].tolist():
        records.findings.append(
            Finding(
                code="dxf.degenerate",
                severity=Severity.WARNING,
                message=f"a {records.type_of(row)} on layer {records.layer_of(row)} has fewer "
                "than two points; it draws nothing",
                line=records.line(row),
            )
        )
    if rows.size > 20:
        records.findings.append(
            Finding(
                code="dxf.degenerate",
                severity=Severity.WARNING,
                message=f"{rows.size - 20} more entities have fewer than two points",
            )
        )
