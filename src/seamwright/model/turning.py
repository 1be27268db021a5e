"""Turning an outline (joints added, reversed, started elsewhere) and carrying stations along.

Each function returns the new curve and the function that takes a station on the old curve to the
same place on the new one.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable

import numpy as np

from seamwright.geometry import Curve, Station

Move = Callable[[Station], Station]

JOINT = 1e-9  # mm; a mark nearer than this to a joint is that joint


def at_joint(curve: Curve, station: Station) -> Station:
    """The station, or the joint that it lies on within a hair."""
    if station.t <= 0.0:
        return Station(station.segment % curve.n, 0.0)
    if station.t >= 1.0:
        return Station((station.segment + 1) % curve.n, 0.0)
    along = curve.length_of(station) - float(curve.cumulative[station.segment])
    if along <= JOINT:
        return Station(station.segment, 0.0)
    if along >= float(curve.segment_lengths[station.segment]) - JOINT:
        return Station((station.segment + 1) % curve.n, 0.0)
    return station


def with_joints(curve: Curve, places: Iterable[Station]) -> tuple[Curve, Move]:
    """The closed curve with a joint at each of `places`."""
    cuts: dict[int, list[float]] = {}
    for place in places:
        s = at_joint(curve, place)
        if s.t > 0.0 and s.t not in cuts.setdefault(s.segment, []):
            cuts[s.segment].append(s.t)
    n = curve.n
    if not cuts:
        return curve, lambda s: at_joint(curve, s) if s.t >= 1.0 else s
    for ts in cuts.values():
        ts.sort()
    counts = np.zeros(n, dtype=int)
    for segment, ts in cuts.items():
        counts[segment] = len(ts)
    first = np.arange(n) + np.concatenate([[0], np.cumsum(counts)[:-1]])
    total = n + int(counts.sum())

    def move(station: Station) -> Station:
        segment, t = station.segment % n, station.t
        if t <= 0.0:
            return Station(int(first[segment]), 0.0)
        if t >= 1.0:
            return Station(int(first[(segment + 1) % n]) % total, 0.0)
        bounds = [0.0, *cuts.get(segment, ()), 1.0]
        k = int(np.searchsorted(bounds, t, side="right")) - 1
        local = (t - bounds[k]) / (bounds[k + 1] - bounds[k])
        return Station(int(first[segment]) + k, local)

    stations = [Station(i, t) for i, ts in sorted(cuts.items()) for t in ts]
    return curve.insert_joints(stations), move


def reversed_outline(curve: Curve) -> tuple[Curve, Move]:
    """The closed curve run the other way."""
    n = curve.n

    def move(station: Station) -> Station:
        if station.t <= 0.0:
            return Station((n - station.segment) % n, 0.0)
        back = 1.0 - station.t
        if back >= 1.0:  # a parameter too small to be told from 0 at the other end
            return Station((n - station.segment) % n, 0.0)
        return Station((n - 1 - station.segment) % n, back)

    return curve.reversed(), move


def started_at(curve: Curve, segment: int) -> tuple[Curve, Move]:
    """The closed curve counted from the start of `segment`."""
    n = curve.n

    def move(station: Station) -> Station:
        return Station((station.segment - segment) % n, station.t)

    return curve.started_at(segment) if segment else curve, move
