"""Notches carried from the seam line square out to the cut line, and back."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np

from seamwright.geometry import Curve, FloatArray, Station, evaluate, first_derivatives
from seamwright.model import LineRole, Notch, Pattern, Piece, Shape
from seamwright.model.numbering import number_notches
from seamwright.model.projection import project
from seamwright.plugins.api import Context, Finding, StepResult

from . import codes
from .options import CarryNotches

_REACH = 300.0  # mm; no allowance is wider than half of it
_TURNED = 1e-9  # degrees


def carry(pattern: Pattern, options: CarryNotches, ctx: Context) -> StepResult:
    """See the page carry-notches. Square from the seam line: common practice, no source."""
    findings: list[Finding] = []
    rows: list[dict[str, Any]] = []
    looked = 0

    def one(piece: Piece, shape: Shape) -> Shape:
        nonlocal looked
        if shape.cut_line is None or not shape.notches:
            return shape
        looked += 1
        if options.to == "seam line":
            notches = _back(shape)
        else:
            notches = _out(shape)
        kept = [n for n, m in zip(shape.notches, notches, strict=True) if m is None]
        for notch in kept:
            findings.append(
                Finding(
                    code=codes.NOT_CARRIED.code,
                    severity=codes.NOT_CARRIED.severity,
                    message=f'the cut line is not square across from notch "{notch.name}"',
                    piece=piece.name,
                    size=shape.size,
                    edge=notch.name,
                    hint=codes.NOT_CARRIED.remedy,
                )
            )
        made = [m or n for n, m in zip(shape.notches, notches, strict=True)]
        if options.depth is not None:
            made = [replace(n, depth=float(options.depth)) for n in made]
        if all(a is b for a, b in zip(made, shape.notches, strict=True)):
            return shape
        rows.append(
            {
                "piece": piece.name,
                "size": shape.size,
                "carried": sum(a.line is not b.line for a, b in zip(made, shape.notches,
                                                                    strict=True)),
            }
        )  # fmt: skip
        return shape.but(notches=number_notches(made, shape.seam_line, shape.cut_line))

    after = pattern.map_shapes(one)
    return StepResult(
        pattern=after,
        findings=tuple(findings),
        looked_at=looked,
        skipped="" if looked else "no shape has both a cut line and notches",
        figures={"notches": rows},
    )


def _out(shape: Shape) -> list[Notch | None]:
    """Each notch on the cut line, as it is where it lies there already, None where the line is
    not across from it."""
    cut, seam = shape.cut_line, shape.seam_line
    assert cut is not None
    rows = [j for j, n in enumerate(shape.notches) if n.line is LineRole.SEAM]
    stations = [shape.notches[j].station for j in rows]
    segments, ts = [k for k, _ in stations], [t for _, t in stations]
    places, ways = seam.points_of(segments, ts), seam.tangents_of(segments, ts)
    across = _across(cut, places, ways) if rows else []
    out: list[Notch | None] = list(shape.notches)
    for j, station, along in zip(rows, across, ways, strict=True):
        if station is None:
            out[j] = None
            continue
        notch = shape.notches[j]
        out[j] = replace(
            notch,
            station=station,
            line=LineRole.CUT,
            angle=_angle(cut, station, along, notch.angle),
            distance=0.0,
            offset=(0.0, 0.0),
        )
    return out


def _across(cut: Curve, places: FloatArray, ways: FloatArray) -> list[Station | None]:
    """Where the cut line is square across from places (N, 2) of the seam line that runs there in
    directions (N, 2); None where it is nowhere.

    Beside a parallel the nearest place is all but square across: Newton's method finds the rest
    of the way, for all at once. Where it does not (at a mitre), the line is cut by a ray.
    """
    near = cut.nearest(places)
    k, t = np.asarray(near.segments), np.asarray(near.ts, dtype=np.float64)
    line = cut.segments[k]
    for _ in range(8):
        slope = (first_derivatives(line, t) * ways).sum(axis=1)
        off = ((evaluate(line, t) - places) * ways).sum(axis=1)
        with np.errstate(divide="ignore", invalid="ignore"):
            t = np.where(np.abs(slope) > 1e-9, t - off / slope, np.inf)
        t = np.where(np.isfinite(t) & (np.abs(t - 0.5) <= 0.5), t, np.nan)
    outward = np.stack((ways[:, 1], -ways[:, 0]), axis=1)
    way = evaluate(line, np.nan_to_num(t)) - places
    good = ~np.isnan(t) & ((way * outward).sum(axis=1) >= -1e-6)
    good &= np.abs((way * ways).sum(axis=1)) < 1e-9
    out: list[Station | None] = []
    for i in range(len(places)):
        if good[i]:
            out.append(Station(int(k[i]), float(t[i])))
            continue
        ray = Curve.line(places[i] - 1e-6 * outward[i], places[i] + _REACH * outward[i])
        met = cut.intersections(ray)
        at = float(met.own[int(np.argmin(met.others))]) if len(met.own) else None
        out.append(None if at is None else cut.station_at(at))
    return out


def _angle(
    cut: Curve, station: Station, along: np.ndarray[Any, Any], angle: float | None
) -> float | None:
    """From the cut line's own normal, so that the notch still points as it did."""
    there = cut.tangents_of([station.segment], [station.t])[0]
    turn = complex(along[0], along[1]) / complex(there[0], there[1])
    degrees = (angle or 0.0) + float(np.degrees(np.angle(turn)))
    return angle if abs(degrees - (angle or 0.0)) < _TURNED else degrees


def _back(shape: Shape) -> list[Notch | None]:
    """Each notch on the seam line, at the place from which it is square to the cut line."""
    where = [(0, j) for j, n in enumerate(shape.notches) if n.line is LineRole.CUT]
    feet = project([shape], where)
    out: list[Notch | None] = list(shape.notches)
    for (_, j), foot in zip(where, feet, strict=True):
        out[j] = replace(
            shape.notches[j], station=foot.station, line=LineRole.SEAM, angle=None, distance=0.0,
            offset=(0.0, 0.0),
        )  # fmt: skip
    return out
