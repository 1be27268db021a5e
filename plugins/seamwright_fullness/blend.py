"""Openings bridged by curves that run on smoothly."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy.interpolate import CubicSpline

from seamwright.geometry import CUBIC, Curve, FloatArray
from seamwright.model import Shape
from seamwright.model.edit.replace_run import Replacement, replace_runs

_ON = 1e-6  # mm


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class OpenedEdge:
    """An edge whose strips were moved apart, in outline order, mm along the seam lines.

    old, new  where it begins and ends, before and after
    cuts      where the slashes meet it before (n,)
    spans     its bridges after (n, 2)
    """

    old: tuple[float, float]
    new: tuple[float, float]
    cuts: FloatArray
    spans: FloatArray


def blended(before: Shape, shape: Shape, edges: Sequence[OpenedEdge]) -> tuple[Shape, float]:
    """The shape with its opened edges drawn anew: as they were before, each place shifted by a
    smooth share of what the strips were moved.

    The shift is a cubic spline over the old edge's length. It has the strips' own shifts in the
    middle of every strip, at the edge's ends and at corners inside the edge, and turns with the
    outer strips at the ends; so the edge is as smooth as it was, also where it lies aslant to the
    slashes and the strips stand in steps. Returns the shape and how far the edge moved from the
    strips' own edges and the straight bridges, mm.
    """
    replacements: list[Replacement] = []
    moved = 0.0
    for edge in edges:
        for made in _edge(before, shape, edge):
            old = shape.seam_line.part(
                shape.seam_line.length_of(made.start), shape.seam_line.length_of(made.end)
            )
            moved = max(moved, float(made.curve.nearest(old.flatten(0.1)).distances.max()))
            replacements.append(made)
    if not replacements:
        return shape, moved
    return replace_runs(shape, replacements).shape, moved


def _edge(before: Shape, shape: Shape, edge: OpenedEdge) -> list[Replacement]:
    was, now = before.seam_line, shape.seam_line
    length = (edge.old[1] - edge.old[0]) % was.length or was.length
    cuts = np.sort(np.mod(edge.cuts - edge.old[0], was.length))
    low = np.mod(edge.spans[:, 0] - edge.new[0], now.length)
    order = np.argsort(low)
    high = low[order] + np.mod(edge.spans[order, 1] - edge.spans[order, 0], now.length)
    begins = np.concatenate(([0.0], cuts))  # of the strips, before
    moved_to = np.concatenate(([0.0], high))  # and after

    knots = _knots(before, edge.old[0], length, cuts)
    strip = np.clip(np.searchsorted(cuts, knots, side="right"), 0, len(cuts))
    places = moved_to[strip] + knots - begins[strip]
    places[-1] = (edge.new[1] - edge.new[0]) % now.length or now.length
    old_at, new_at = (
        np.mod(edge.old[0] + knots, was.length),
        np.mod(edge.new[0] + places, now.length),
    )
    targets = now.point_at(new_at)
    shifts = targets - was.point_at(old_at)
    spline = CubicSpline(
        knots, shifts, bc_type=((1, _turned(was, now, edge, 0)), (1, _turned(was, now, edge, 1)))
    )
    made = []
    for k in range(len(knots) - 1):
        curve = _shifted(was.part(old_at[k], old_at[k + 1]), spline, float(knots[k]))
        made.append(
            Replacement(
                start=now.station_at(float(new_at[k])),
                end=now.station_at(float(new_at[k + 1])),
                curve=curve,
            )
        )
    return made


def _knots(before: Shape, start: float, length: float, cuts: FloatArray) -> FloatArray:
    """The edge's ends, the middles of the strips between two slashes, and corners inside."""
    seam = before.seam_line
    corners = np.array([float(seam.cumulative[c.station.segment]) for c in before.corners])
    inner = np.mod(corners - start, seam.length)
    inner = inner[(inner > _ON) & (inner < length - _ON)]
    middles = 0.5 * (cuts[:-1] + cuts[1:])
    near = np.abs(middles[:, None] - inner[None, :]).min(axis=1, initial=np.inf)
    return np.unique(np.concatenate(([0.0], middles[near > _ON], inner, [length])))


def _turned(was: Curve, now: Curve, edge: OpenedEdge, end: int) -> FloatArray:
    """How the shift changes by length at an end, where the outer strip only turned: the
    difference of the directions on the edge's side."""

    def inward(curve: Curve, span: tuple[float, float]) -> FloatArray:
        part = curve.part(span[0] % curve.length, span[1] % curve.length)
        return np.asarray(
            part.tangents_of([0], [0.0])[0]
            if end == 0
            else part.tangents_of([part.n - 1], [1.0])[0]
        )

    return inward(now, edge.new) - inward(was, edge.old)


def _shifted(part: Curve, spline: CubicSpline, start: float) -> Curve:
    """A part of the old edge, each control point with its share of the shift: Hermite's cubics
    with the shifted ends and derivatives."""
    old = np.array(part.segments, dtype=np.float64)
    at = start + np.asarray(part.cumulative, dtype=np.float64)[: part.n + 1]
    shift, slope = spline(at), spline(at, 1)
    first = np.hypot(*(old[:, 1] - old[:, 0]).T)[:, None]
    last = np.hypot(*(old[:, 3] - old[:, 2]).T)[:, None]
    old[:, 0] += shift[:-1]
    old[:, 1] += shift[:-1] + slope[:-1] * first
    old[:, 2] += shift[1:] - slope[1:] * last
    old[:, 3] += shift[1:]
    return Curve.from_segments(old, [CUBIC] * len(old))
