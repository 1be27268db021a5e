"""Curves as arcs: polyline vertices with bulges, within a tolerance."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from seamwright.geometry import LINE, Curve, evaluate, first_derivatives, subdivide

FloatArray = NDArray[np.float64]

_SEARCHES = 8
_RATIOS = (1.0, 0.65, 1.55, 0.45, 2.2)
"""Handle of the first arc in handles of the second; 1 is right where curvature is even."""
_SHORTEST = 1.0 / 4096.0
_SAMPLES = 16
_Arc = tuple[FloatArray, FloatArray, float]


def arcs_of(curve: Curve, tolerance: float) -> tuple[FloatArray, list[float]]:
    """Vertices (V, 2) and the bulge after each (0: straight); of a closed curve the first vertex
    is not repeated.

    Every cubic becomes biarcs (two arcs with a common tangent where they meet; Bolton 1975), each
    as long as it may be while 33 places of its stretch lie within `tolerance`. Neighbouring arcs
    of one circle become one. Corners and straight segments stay as they are.
    """
    arcs: list[_Arc] = []
    for segment, kind in zip(curve.segments, curve.kinds.tolist(), strict=True):
        if kind == LINE:
            arcs.append((segment[0], segment[3], 0.0))
        else:
            arcs += _biarcs(segment, tolerance)
    arcs = _merged(arcs, tolerance / 10.0)
    points = [a for a, _, _ in arcs]
    bulges = [bulge for _, _, bulge in arcs]
    if not curve.closed:
        points.append(curve.end)
        bulges.append(0.0)
    return np.array(points), bulges


def _biarcs(cubic: FloatArray, tolerance: float) -> list[_Arc]:
    """The arcs of one cubic, greedily: each biarc reaches as far as it may."""
    out: list[_Arc] = []
    start = 0.0
    while start < 1.0:
        found, end = _tried(cubic, start, 1.0, tolerance), 1.0
        if found is None:
            low, high = start, 1.0
            for _ in range(_SEARCHES):
                middle = (low + high) / 2.0
                better = _tried(cubic, start, middle, tolerance)
                if better is None:
                    high = middle
                else:
                    low, found = middle, better
            end = low
        if found is None or end - start < _SHORTEST:
            # At a cusp no arc fits: a chord over the shortest stretch.
            end = min(1.0, start + _SHORTEST)
            piece = subdivide(cubic[None], start, end)[0]
            found = [(piece[0], piece[3], 0.0)]
        if out:
            found[0] = (out[-1][1], *found[0][1:])
        out += found
        start = end
    a, _, bulge = out[-1]
    out[-1] = (a, cubic[3], bulge)
    return out


def _tried(cubic: FloatArray, start: float, end: float, tolerance: float) -> list[_Arc] | None:
    piece = subdivide(cubic[None], start, end)[0]
    for ratio in _RATIOS:
        found = _biarc(piece, ratio)
        if found is not None and _off(piece, found) <= 0.99 * tolerance:
            return found
    return None


def _merged(arcs: list[_Arc], slack: float) -> list[_Arc]:
    """Neighbours on one circle (centres and radii within `slack` mm) as one arc."""
    out: list[_Arc] = []
    for a, b, bulge in arcs:
        if out and bulge and out[-1][2]:
            before = out[-1]
            one, other = _circle(*before), _circle(a, b, bulge)
            same = bool(np.hypot(*(one[0] - other[0])) <= slack and abs(one[1] - other[1]) <= slack)
            angle = 4.0 * (np.arctan(before[2]) + np.arctan(bulge))
            if same and before[2] * bulge > 0 and abs(angle) < 6.0:
                out[-1] = (before[0], b, float(np.tan(angle / 4.0)))
                continue
        out.append((a, b, bulge))
    return out


def _circle(a: FloatArray, b: FloatArray, bulge: float) -> tuple[FloatArray, float]:
    chord = b - a
    left = np.array([-chord[1], chord[0]])
    centre = (a + b) / 2.0 + 0.5 / np.tan(2.0 * np.arctan(bulge)) * left
    return centre, float(np.hypot(*(a - centre)))


def _biarc(cubic: FloatArray, ratio: float) -> list[_Arc] | None:
    """Two arcs (start, end, bulge) with the cubic's ends and end tangents."""
    a, b = cubic[0], cubic[3]
    ta, tb = first_derivatives(np.stack((cubic, cubic)), np.array([0.0, 1.0]))
    la, lb = float(np.hypot(*ta)), float(np.hypot(*tb))
    chord = b - a
    if la <= 1e-12 or lb <= 1e-12 or float(np.hypot(*chord)) <= 1e-9:
        return None
    ta, tb = ta / la, tb / lb
    # Handles r d and d: |chord|^2 - 2 d chord.(r ta + tb) + 2 r d^2 (ta.tb - 1) = 0.
    across = float(chord @ (ratio * ta + tb))
    bend = 2.0 * ratio * (float(ta @ tb) - 1.0)
    square = float(chord @ chord)
    if abs(bend) < 1e-12:
        if abs(across) < 1e-12:
            return None
        d = square / (2.0 * across)
    else:
        d = (across - np.sqrt(max(across * across - bend * square, 0.0))) / bend
    if not d > 0:
        return None
    share = 1.0 / (1.0 + ratio)
    middle = share * (a + ratio * d * ta) + (1.0 - share) * (b - d * tb)
    # Seen from its end the second arc runs backwards, and bends the other way.
    return [(a, middle, _bulge(a, middle, ta)), (middle, b, -_bulge(b, middle, -tb))]


def _bulge(a: FloatArray, b: FloatArray, tangent: FloatArray) -> float:
    """The bulge of the arc from a to b that leaves a along `tangent`."""
    chord = b - a
    cross = float(tangent[0] * chord[1] - tangent[1] * chord[0])
    dot = float(tangent @ chord)
    # The angle between tangent and chord is half the included angle, a quarter of it the bulge's.
    return float(np.tan(np.arctan2(cross, dot) / 2.0))


def _off(cubic: FloatArray, arcs: list[_Arc]) -> float:
    """Largest distance of places on a cubic from its two arcs."""
    t = np.linspace(0.0, 1.0, 2 * _SAMPLES + 1)
    on = evaluate(cubic[None], t[None])[0]
    best = np.full(len(on), np.inf)
    for start, end, bulge in arcs:
        best = np.minimum(best, _distance(on, start, end, bulge))
    return float(best.max())


def _distance(on: FloatArray, a: FloatArray, b: FloatArray, bulge: float) -> FloatArray:
    chord = b - a
    length = float(np.hypot(*chord))
    if abs(bulge) < 1e-9:
        unit = chord / length
        along = np.clip((on - a) @ unit, 0.0, length)
        return np.asarray(np.hypot(*(on - a - along[:, None] * unit).T))
    angle = 4.0 * np.arctan(bulge)
    centre, radius = _circle(a, b, bulge)
    off = np.abs(np.hypot(*(on - centre).T) - radius)
    start = np.arctan2(a[1] - centre[1], a[0] - centre[0])
    turn = np.arctan2(on[:, 1] - centre[1], on[:, 0] - centre[0]) - start
    turn = np.mod(turn * np.sign(angle), 2 * np.pi)
    inside = turn <= abs(angle)
    ends = np.minimum(np.hypot(*(on - a).T), np.hypot(*(on - b).T))
    return np.asarray(np.where(inside, off, ends))
