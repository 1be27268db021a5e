"""The geometry kernel beside general libraries, medians in one run: ratios, not seconds.

    python benchmarks/bench_geometry.py [--quick]

Goals: arc length of 100,000 pattern-like cubics, certified, at least 80 times as fast as
svgelements; point at a length at least 1,000 times as fast as svgpathtools; flattening 1,000
curves at least 5 times as fast as ezdxf. fontTools and scipy are measured for information.
The exit status is 1 when a goal is missed.
"""

from __future__ import annotations

import argparse
import sys
import time
from collections.abc import Callable
from functools import partial
from typing import Any

import numpy as np

from seamwright.geometry import (
    Curve,
    FloatArray,
    LengthTable,
    arc_lengths,
    fit_cubics,
    flatten_many,
    flatten_ragged,
    partial_lengths,
)


def pattern_like(count: int, seed: int = 1) -> FloatArray:
    """Armholes, hips, necklines: chords of 10 to 400 mm, handles of 0.15 to 0.55 of the chord,
    directions off the chord by some 30 degrees."""
    rng = np.random.default_rng(seed)
    chord = np.exp(rng.uniform(np.log(10), np.log(400), count))
    along = np.exp(1j * rng.uniform(0, 2 * np.pi, count))
    first = chord * rng.uniform(0.15, 0.55, count) * np.exp(1j * rng.normal(0, 0.5, count))
    last = chord * rng.uniform(0.15, 0.55, count) * np.exp(1j * rng.normal(0, 0.5, count))
    start = rng.uniform(-500, 500, count) + 1j * rng.uniform(-500, 500, count)
    steps = np.stack((0 * chord, first, chord - last, chord), axis=1)
    z = start[:, None] + steps * along[:, None]
    return np.ascontiguousarray(np.stack((z.real, z.imag), axis=2))


def median(work: Callable[[], Any], repeats: int) -> float:
    times = []
    for _ in range(repeats):
        begin = time.perf_counter()
        work()
        times.append(time.perf_counter() - begin)
    return float(np.median(times))


def side_by_side(
    ours: Callable[[], Any], theirs: Callable[[], Any], repeats: int
) -> tuple[float, float]:
    """Medians taken turn by turn, so that a noisy moment hits both."""
    times = np.empty((repeats, 2))
    for i in range(repeats):
        times[i] = median(ours, 3), median(theirs, 1)
    mine, other = np.median(times, axis=0)
    return float(mine), float(other)


class Table:
    """Rows of a ratio table, and whether all goals were met."""

    def __init__(self) -> None:
        self.met = True
        print(f"{'what':46}{'ours':>12}{'theirs':>12}{'ratio':>9}{'goal':>8}")

    def row(self, what: str, ours: float, theirs: float, goal: float | None = None) -> None:
        ratio = theirs / ours
        verdict = ""
        if goal is not None:
            verdict = f"{goal:>7.0f}" + ("" if ratio >= goal else " MISSED")
            self.met &= ratio >= goal
        print(f"{what:46}{_unit(ours):>12}{_unit(theirs):>12}{ratio:>9.1f}{verdict:>8}")


def _unit(seconds: float) -> str:
    for size, name in ((1.0, "s"), (1e-3, "ms"), (1e-6, "us")):
        if seconds >= size:
            return f"{seconds / size:.3g} {name}"
    return f"{seconds * 1e9:.3g} ns"


def arc_length(table: Table, quick: bool) -> None:
    from fontTools.misc.bezierTools import approximateCubicArcLength, calcCubicArcLength
    from scipy.integrate import quad
    from svgelements import CubicBezier
    from svgpathtools import CubicBezier as SvgPathToolsCubic

    count, some, repeats = 100_000, 200 if quick else 1000, 3 if quick else 7
    curves = pattern_like(count)
    arc_lengths(curves[:5000])
    z = curves[..., 0] + 1j * curves[..., 1]
    theirs_curves = [CubicBezier(*p) for p in z[:some]]
    ours, theirs = side_by_side(
        lambda: arc_lengths(curves), lambda: [c.length() for c in theirs_curves], repeats
    )
    table.row("arc length, 100,000 cubics / svgelements", ours / count, theirs / some, 80.0)
    # Made afresh each time (some 5 % of the time): they remember a length once asked.
    ours, theirs = side_by_side(
        lambda: arc_lengths(curves),
        lambda: [SvgPathToolsCubic(*p).length() for p in z[:some]],
        repeats,
    )
    table.row("  / svgpathtools", ours / count, theirs / some)
    points = [[tuple(q) for q in p] for p in curves[:some].tolist()]
    ours, theirs = side_by_side(
        lambda: arc_lengths(curves), lambda: [calcCubicArcLength(*p) for p in points], repeats
    )
    table.row("  / fontTools, its default tolerance", ours / count, theirs / some)
    worst = max(
        abs(calcCubicArcLength(*p) - s)
        for p, s in zip(points, arc_lengths(curves[:some]), strict=True)
    )
    rough = max(
        abs(approximateCubicArcLength(*p) - s)
        for p, s in zip(points, arc_lengths(curves[:some]), strict=True)
    )

    def bare(p: Any) -> float:
        a, b, c = (
            (p[3] - p[0] + 3 * (p[1] - p[2])) * 3,
            (p[2] - 2 * p[1] + p[0]) * 6,
            3 * (p[1] - p[0]),
        )
        return float(quad(lambda t: abs((a * t + b) * t + c), 0.0, 1.0)[0])

    few = [[complex(q) for q in p] for p in z[: some // 4]]
    ours, theirs = side_by_side(
        lambda: arc_lengths(curves), lambda: [bare(p) for p in few], repeats
    )
    table.row("  / scipy quad on the bare speed", ours / count, theirs / len(few))
    print(f"  (fontTools is up to {worst:.2g} mm off, its approximation up to {rough:.2g} mm)")
    for n in (1, 10, 100, 1000):
        took = median(partial(arc_lengths, curves[:n].copy()), 300)
        print(f"  {n} curves in one call: {_unit(took)}")


def point_at_length(table: Table, quick: bool) -> None:
    from svgpathtools import CubicBezier as SvgPathToolsCubic

    curves = pattern_like(2000, 2)
    rng = np.random.default_rng(3)
    index = np.repeat(np.arange(2000), 50)
    lengths = LengthTable(curves)
    s = rng.random(100_000) * lengths.totals[index]
    some = 40 if quick else 150
    theirs_curves = [SvgPathToolsCubic(*p) for p in (curves[..., 0] + 1j * curves[..., 1])]
    pick = rng.integers(0, 100_000, some).tolist()
    ours, theirs = side_by_side(
        lambda: lengths.at(index, s),
        lambda: [theirs_curves[index[i]].ilength(s[i], s_tol=1e-12) for i in pick],
        3 if quick else 5,
    )
    table.row("point at a length / svgpathtools (1e-12)", ours / 1e5, theirs / some, 1000.0)
    built = median(lambda: LengthTable(curves), 5) / 2000
    missed = np.abs(partial_lengths(curves[index], lengths.at(index, s)) - s).max()
    print(f"  (table {_unit(built)} a curve; largest miss {missed:.1e} mm)")


def flatten(table: Table, quick: bool) -> None:
    from ezdxf.math import Bezier4P, Vec3

    curves = pattern_like(1000, 4)
    theirs_curves = [Bezier4P([Vec3(*q) for q in p]) for p in curves.tolist()]
    repeats = 5 if quick else 21
    for what, work, goal in (
        ("flatten 1,000 curves / ezdxf", lambda: flatten_many(curves, 0.05), 5.0),
        ("  the same as one array", lambda: flatten_ragged(curves, 0.05), None),
    ):
        ours, theirs = side_by_side(
            work, lambda: [list(c.flattening(0.05)) for c in theirs_curves], repeats
        )
        table.row(what, ours / 1000, theirs / 1000, goal)
    mine = len(flatten_ragged(curves, 0.05)[0])
    other = sum(len(list(c.flattening(0.05))) for c in theirs_curves)
    print(f"  ({mine} points, theirs {other}, at 0.05 mm)")


def for_information() -> None:
    outline = Curve.ellipse((0, 0), 300.0, 200.0)
    rng = np.random.default_rng(5)
    ask = outline.point_at(rng.random(1000) * outline.length) + rng.normal(size=(1000, 2))
    sampled = outline.point_at(np.arange(0.0, outline.length, 2.0))
    other = outline.translated(30.0, 12.0)
    for what, work in (
        ("nearest place, 1,000 points", lambda: outline.nearest(ask)),
        ("meetings of two ellipses", lambda: outline.intersections(other)),
        ("fit an ellipse sampled every 2 mm", lambda: fit_cubics(sampled, 0.05, closed=True)),
    ):
        print(f"  {what}: {_unit(median(work, 9))}")


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else "")
    parser.add_argument("--quick", action="store_true", help="fewer repetitions")
    quick = parser.parse_args().quick
    table = Table()
    arc_length(table, quick)
    point_at_length(table, quick)
    flatten(table, quick)
    for_information()
    return 0 if table.met else 1


if __name__ == "__main__":
    sys.exit(main())
