"""ARC, CIRCLE, ELLIPSE and SPLINE as strokes."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from seamwright.geometry import CUBIC, LINE
from seamwright.plugins.api import Finding, Severity

from .arcs import arcs_to_cubics
from .records import Fate, Records
from .splines import SplineError, fitted, spline_cubics
from .strokes import Strokes, empty, joined

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]


def round_strokes(records: Records, tolerance: float) -> Strokes:
    """All ARCs, CIRCLEs and ELLIPSEs, within `tolerance` drawing units of the true ones."""
    parts = [_circles(records, tolerance), _ellipses(records, tolerance)]
    return joined(parts)


def _circles(records: Records, tolerance: float) -> Strokes:
    rows = records.rows_of("ARC", "CIRCLE")
    rows = rows[records.fate[rows] != Fate.DROPPED]
    if not rows.size:
        return empty()
    full = np.array([records.type_of(r) == "CIRCLE" for r in rows.tolist()])
    x, y = records.real(10, np.nan)[rows], records.real(20, np.nan)[rows]
    radius = records.real(40, np.nan)[rows]
    start, end = np.radians(records.real(50)[rows]), np.radians(records.real(51)[rows])
    whole = np.isfinite(x + y + radius) & (radius > 0)
    _say_bad(records, rows[~whole], "has no centre, or no radius above 0")
    rows, full, x, y, radius, start, end = (
        column[whole] for column in (rows, full, x, y, radius, start, end)
    )
    sweep = np.mod(end - start, 2 * math.pi)
    sweep[(sweep < 1e-12) | full] = 2 * math.pi
    start[full] = 0.0
    side = np.where(records.real(230, 1.0)[rows] < 0, -1.0, 1.0)
    zero = np.zeros(rows.size)
    centre = np.stack((side * x, y), axis=1)
    major, minor = np.stack((side * radius, zero), 1), np.stack((zero, radius), 1)
    segments, offsets = arcs_to_cubics(centre, major, minor, start, sweep, tolerance)
    return _strokes(records, rows, segments, offsets, np.abs(sweep - 2 * math.pi) < 1e-12)


def _ellipses(records: Records, tolerance: float) -> Strokes:
    rows = records.rows_of("ELLIPSE")
    rows = rows[records.fate[rows] != Fate.DROPPED]
    if not rows.size:
        return empty()
    centre = np.stack((records.real(10, np.nan)[rows], records.real(20, np.nan)[rows]), axis=1)
    major = np.stack((records.real(11, np.nan)[rows], records.real(21, np.nan)[rows]), axis=1)
    ratio = records.real(40, np.nan)[rows]
    start = records.real(41, 0.0)[rows]
    end = records.real(42, 2 * math.pi)[rows]
    whole = np.isfinite(centre.sum(1) + major.sum(1) + ratio) & (np.hypot(*major.T) > 0)
    _say_bad(records, rows[~whole], "has no centre or no axis")
    rows, centre, major, ratio, start, end = (
        column[whole] for column in (rows, centre, major, ratio, start, end)
    )
    side = np.where(records.real(230, 1.0)[rows] < 0, -1.0, 1.0) * ratio
    minor = side[:, None] * np.stack((-major[:, 1], major[:, 0]), axis=1)
    sweep = end - start
    sweep = np.where(np.abs(sweep) < 1e-12, 2 * math.pi, np.mod(sweep, 2 * math.pi))
    sweep[sweep < 1e-9] = 2 * math.pi
    segments, offsets = arcs_to_cubics(centre, major, minor, start, sweep, tolerance)
    return _strokes(records, rows, segments, offsets, np.abs(sweep - 2 * math.pi) < 1e-9)


def _strokes(
    records: Records,
    rows: IntArray,
    segments: FloatArray,
    offsets: IntArray,
    closed: NDArray[np.bool_],
) -> Strokes:
    if not rows.size:
        return empty()
    records.fate[rows] = Fate.CONVERTED
    last = offsets[1:][closed] - 1
    segments[last, 3] = segments[offsets[:-1][closed], 0]
    return Strokes(
        segments, np.full(len(segments), CUBIC, np.uint8), offsets, closed,
        records.layers[rows].astype(np.int64), rows, records.owner[rows].astype(np.int64),
    )  # fmt: skip


def _say_bad(records: Records, rows: IntArray, why: str) -> None:
    for row in rows.tolist():
        records.drop([row])
        records.findings.append(
            Finding(
                code="dxf.incomplete",
                severity=Severity.ERROR,
                message=f"a {records.type_of(row)} on layer {records.layer_of(row)} {why}; it is "
                "left out",
                line=records.line(row),
                hint="mend the entity, or ask for the file again",
            )
        )


def spline_strokes(records: Records, tolerance: float, mm: float) -> Strokes:
    """All SPLINEs. Up to degree 3 and not rational they are converted exactly; others within
    `tolerance` drawing units, with a finding that states the deviation (`mm` is mm a unit)."""
    parts = []
    for row in records.rows_of("SPLINE").tolist():
        if records.fate[row] == Fate.DROPPED:
            continue
        mask = np.zeros(records.n, dtype=bool)
        mask[row] = True
        try:
            segments, straight, deviation, how = _spline(records, row, mask, tolerance)
        except SplineError as error:
            _say_bad(records, np.array([row]), str(error))
            continue
        if how:
            records.findings.append(
                Finding(
                    code="dxf.spline",
                    severity=Severity.NOTE,
                    message=f"a {how} spline on layer {records.layer_of(row)} is read as cubics, "
                    f"at most {deviation * mm:.2g} mm from it",
                    line=records.line(row),
                    measured=deviation * mm,
                )
            )
        closed = bool(
            np.hypot(*(segments[-1, 3] - segments[0, 0])) <= 1e-9 * (1 + np.abs(segments).max())
        )
        closed = closed and len(segments) > 1
        segments = segments.copy()
        if closed:
            segments[-1, 3] = segments[0, 0]
        kinds = np.full(len(segments), LINE if straight else CUBIC, np.uint8)
        kinds[_on_thirds(segments)] = LINE
        records.fate[row] = Fate.CONVERTED
        parts.append(
            Strokes(
                segments,
                kinds,
                np.array([0, len(segments)]),
                np.array([closed]),
                np.array([records.layers[row]], np.int64),
                np.array([row]),
                np.array([records.owner[row]], np.int64),
            )
        )
    return joined(parts)


def _on_thirds(segments: FloatArray) -> NDArray[np.bool_]:
    """Cubics that are straight lines at even speed: a spline may hold those too."""
    step = (segments[:, 3] - segments[:, 0]) / 3.0
    off = np.abs(segments[:, 1] - segments[:, 0] - step)
    off = np.maximum(off, np.abs(segments[:, 3] - segments[:, 2] - step))
    # Two units in the sixth decimal: what a file's rounding makes of an exact third.
    return np.asarray(off.max(axis=1) <= 2e-6)


def _spline(
    records: Records, row: int, mask: NDArray[np.bool_], tolerance: float
) -> tuple[FloatArray, bool, float, str]:
    def numbers(code: int) -> FloatArray:
        return records.reals_of(mask, (code,))[2]

    degree = int(records.whole(71, 3)[row])
    knots, weights = numbers(40), numbers(41)
    x, y, fit_x, fit_y = numbers(10), numbers(20), numbers(11), numbers(21)
    if len(x) != len(y) or len(fit_x) != len(fit_y):
        raise SplineError("has points that lack a coordinate")
    if not len(x):
        if len(fit_x) < 2:
            raise SplineError("has no control points and fewer than two fit points")
        start, end = _tangent(records, row, 12), _tangent(records, row, 13)
        points = np.stack((fit_x, fit_y), axis=1)
        return fitted(points, start, end), False, 0.0, ""
    points = np.stack((x, y), axis=1)
    rational = bool(len(weights)) and bool(np.ptp(weights) > 0.0)
    if len(weights) and len(weights) != len(points):
        raise SplineError("has another number of weights than of control points")
    segments, deviation = spline_cubics(
        points, knots, degree, weights if rational else None, tolerance
    )
    how = ""
    if rational or degree > 3:
        how = f"{'rational ' if rational else ''}degree-{degree}"
    return segments, degree == 1 and not rational, deviation, how


def _tangent(records: Records, row: int, code: int) -> FloatArray | None:
    vector = np.array([records.real(code)[row], records.real(code + 10)[row]])
    return vector if vector.any() else None
