"""Lengths against an integration with mpmath at 30 digits, which shares no code with ours."""

from __future__ import annotations

from itertools import pairwise

import mpmath as mp
import numpy as np
import pytest

from seamwright.geometry import Curve, LengthTable, arc_lengths, partial_lengths


def high_precision_length(cubic: np.ndarray, end: float = 1.0) -> mp.mpf:
    """Integral of the speed from 0 to `end`, cut near the complex roots of the derivative."""
    with mp.workdps(30):
        p = [mp.mpc(float(x), float(y)) for x, y in cubic]
        d = [3 * (q - r) for r, q in pairwise(p)]
        a, b, c = d[0] - 2 * d[1] + d[2], 2 * (d[1] - d[0]), d[0]
        if abs(a) > mp.mpf(10) ** -22 * (abs(b) + abs(c)):
            root = mp.sqrt(b * b - 4 * a * c)
            roots = [(-b + root) / (2 * a), (-b - root) / (2 * a)]
        else:
            roots = [-c / b] if abs(b) > 0 else []
        cuts = {mp.mpf(0), mp.mpf(float(end))}
        for r in roots:
            reach = max(abs(mp.im(r)), mp.mpf(10) ** -7)
            for k in range(-1, 12):
                for sign in (-1, 0, 1):
                    place = mp.re(r) + sign * reach * mp.mpf(4) ** k
                    if 0 < place < end:
                        cuts.add(place)
        return mp.quad(
            lambda t: abs((a * t + b) * t + c), sorted(cuts), method="gauss-legendre", maxdegree=6
        )


def error(cubic: np.ndarray, found: float, end: float = 1.0) -> float:
    return abs(float(high_precision_length(cubic, end) - mp.mpf(float(found))))


def pattern_like(count: int) -> np.ndarray:
    """Armholes, hips, necklines: chords of 10 to 400 mm, handles of 0.15 to 0.55 of the chord,
    directions off the chord by some 30 degrees."""
    rng = np.random.default_rng(11)
    chord = np.exp(rng.uniform(np.log(10), np.log(400), count))
    along = np.exp(1j * rng.uniform(0, 2 * np.pi, count))
    first = chord * rng.uniform(0.15, 0.55, count) * np.exp(1j * rng.normal(0, 0.5, count))
    last = chord * rng.uniform(0.15, 0.55, count) * np.exp(1j * rng.normal(0, 0.5, count))
    start = rng.uniform(-500, 500, count) + 1j * rng.uniform(-500, 500, count)
    z = np.stack(
        (start, start + first * along, start + (chord - last) * along, start + chord * along),
        axis=1,
    )
    return np.stack((z.real, z.imag), axis=2)


def near_cusps(count: int) -> np.ndarray:
    """Cubics with a root of the derivative 1e-9 to 1 beside a place inside."""
    rng = np.random.default_rng(12)
    out = []
    for _ in range(count):
        r1 = rng.uniform(0.02, 0.98) + 1j * 10.0 ** rng.uniform(-9, 0)
        r2 = rng.normal() + 1j * rng.normal() * 10.0 ** rng.uniform(-6, 0)
        a = (rng.normal() + 1j * rng.normal()) * 10.0 ** rng.uniform(1, 3)
        b, c = -a * (r1 + r2), a * r1 * r2
        z = np.cumsum([0, c / 3, (c + b / 2) / 3, (a + b + c) / 3])
        out.append(np.stack((z.real, z.imag), axis=1))
    return np.array(out)


def collapsed_and_looped() -> np.ndarray:
    rng = np.random.default_rng(13)
    out = []
    for size in (3.0, 70.0, 900.0):
        p = rng.normal(size=(6, 4, 2)) * size
        p[0, 1] = p[0, 0]
        p[1, 2] = p[1, 3]
        p[2, 1], p[2, 2] = p[2, 0], p[2, 3]
        p[3, 3] = p[3, 0]
        p[4] = rng.normal(size=4)[:, None] * [size, size / 3]
        p[5] = size * np.array([(0, 0), (2, 1), (-1, 1), (1, 0)])
        out.append(p)
        s = size
        out.append(
            np.array(
                [
                    [(0, 0), (s, s), (0, s), (s, 0)],  # a cusp
                    [(0, 0), (s, s), (1e-7 * s, s), (s, 0)],  # nearly one
                    [(0, 0), (3 * s, 0), (-2 * s, 0), (s, 0)],  # a stroke to and fro
                    [(0, 0), (0, 0), (0, 0), (s, 2 * s)],
                ]
            )
        )
    return np.concatenate(out)


def test_pattern_like_curves_to_a_billionth() -> None:
    curves = pattern_like(60)
    found = arc_lengths(curves)
    assert max(error(c, s) for c, s in zip(curves, found, strict=True)) <= 1e-11


def test_near_cusps_collapsed_handles_and_loops() -> None:
    """The promise is 1e-6 mm; what is found is far better."""
    curves = np.concatenate((near_cusps(40), collapsed_and_looped()))
    found = arc_lengths(curves)
    assert max(error(c, s) for c, s in zip(curves, found, strict=True)) <= 1e-9


@pytest.mark.parametrize("share", [0.1, 0.5, 0.93])
def test_lengths_of_parts_and_back(share: float) -> None:
    curves = np.concatenate((pattern_like(8), near_cusps(6), collapsed_and_looped()[-4:]))
    index = np.arange(len(curves))
    table = LengthTable(curves)
    t = table.at(index, share * table.totals)
    goal = share * table.totals
    for i in range(len(curves)):
        assert error(curves[i], goal[i], t[i]) <= 1e-9
        assert error(curves[i], partial_lengths(curves[i : i + 1], t[i])[0], t[i]) <= 1e-9
        assert error(curves[i], table.lengths([i], [t[i]])[0], t[i]) <= 1e-9


def test_through_the_public_curve() -> None:
    curves = pattern_like(5)
    for cubic in curves:
        curve = Curve.from_segments([cubic])
        parts = curve.split([curve.length * 0.3, curve.length * 0.61])
        assert error(cubic, sum(part.length for part in parts)) <= 1e-9
