"""The walk check of a style of 25 seams in 100 sizes, against the same written with svgpathtools.

Goals: one kernel call; at most 20 us a seam and size in all; at most a hundredth of the time that
svgpathtools takes for the same figures (both lengths of every seam, and how far along the two
notches of every seam lie on both sides). Run: python benchmarks/bench_walk.py
"""

from __future__ import annotations

import argparse
import json
import time
from collections.abc import Callable
from functools import partial
from statistics import median
from unittest.mock import patch

import numpy as np

import seamwright.model.measure as measuring
from seamwright.geometry import Curve, Station, arc_lengths
from seamwright.model import Notch, Pattern, Piece, Run, RunPart, Seam, Shape, build_shape
from seamwright.plan import walk

SEAMS, SIZES, EDGES, SEGMENTS = 25, 100, 4, 5  # edges a piece, segments an edge


def outline(rng: np.random.Generator, scale: float) -> Curve:
    """A rounded piece of EDGES edges, each a smooth chain of SEGMENTS cubics."""
    corners = np.array([(-150.0, 300.0), (-200.0, -300.0), (200.0, -280.0), (160.0, 310.0)])
    segments = []
    for i in range(EDGES):
        a, b = corners[i], corners[(i + 1) % EDGES]
        along = (b - a) / SEGMENTS
        side = np.array([along[1], -along[0]]) * rng.uniform(-0.4, 0.4)
        bow = np.sin(np.linspace(0.0, np.pi, SEGMENTS + 1))[:, None] * side * 2.0
        joints = a + np.arange(SEGMENTS + 1)[:, None] * along + bow
        slope = along + np.cos(np.linspace(0.0, np.pi, SEGMENTS + 1))[:, None] * side
        for k in range(SEGMENTS):
            p, q = joints[k], joints[k + 1]
            segments.append([p, p + slope[k] / 3, q - slope[k + 1] / 3, q])
    return Curve.from_segments(scale * np.array(segments), closed=True)


def style() -> Pattern:
    """Pieces enough that every seam joins two edges of its own."""
    rng = np.random.default_rng(7)
    count = -(-2 * SEAMS // EDGES)
    sizes = tuple(f"{n}" for n in range(SIZES))
    pieces = []
    for number in range(count):
        seed = int(rng.integers(1 << 30))
        shapes = []
        for z, size in enumerate(sizes):
            curve = outline(np.random.default_rng(seed), 1.0 + 0.004 * z)
            notches = [
                Notch(name=f"n{i}-{k}", station=Station(i * SEGMENTS + 1 + 2 * k, 0.4))
                for i in range(EDGES)
                for k in range(2)
            ]
            corners = [Station(i * SEGMENTS, 0.0) for i in range(EDGES)]
            shapes.append(
                build_shape(
                    size=size,
                    outline=curve,
                    corners=corners,
                    corner_names=[f"c{i}" for i in range(EDGES)],
                    notches=notches,
                )
            )
        pieces.append(Piece(name=f"piece {number}", shapes=tuple(shapes)))
    sides = [(p, i) for p in range(count) for i in range(EDGES)][: 2 * SEAMS]

    def run(side: tuple[int, int]) -> Run:
        p, i = side
        marks = (f"c{i}", f"c{(i + 1) % EDGES}")
        return Run(parts=(RunPart(piece=f"piece {p}", marks=marks),))

    seams = tuple(
        Seam(
            name=f"seam {s}",
            sew=run(sides[2 * s]),
            to=run(sides[2 * s + 1]),
            meet=tuple((f"n{sides[2 * s][1]}-{k}", f"n{sides[2 * s + 1][1]}-{k}") for k in (0, 1)),
        )
        for s in range(SEAMS)
    )
    return Pattern(
        name="style", pieces=tuple(pieces), sizes=sizes, base_size=sizes[SIZES // 2], seams=seams
    )


def fresh(pattern: Pattern) -> Pattern:
    """The same pattern of new objects, so that nothing about it is known yet."""

    def again(shape: Shape) -> Shape:
        line = shape.seam_line
        return shape.but(seam_line=Curve(line.segments.copy(), line.kinds.copy(), True))

    return pattern.map_shapes(lambda _piece, shape: again(shape))


def by_svgpathtools(pattern: Pattern, sizes: int) -> np.ndarray:
    """Both lengths and the places of the notches with svgpathtools, for the first sizes."""
    from svgpathtools import CubicBezier, Path

    out = []
    for z in range(sizes):
        for seam in pattern.seams:
            for run, names in ((seam.sew, [a for a, _ in seam.meet]),
                               (seam.to, [b for _, b in seam.meet])):  # fmt: skip
                part = run.parts[0]
                shape = pattern.piece(part.piece).shapes[z]
                start = shape.corner(part.marks[0]).station.segment
                rows = shape.seam_line.segments[start : start + SEGMENTS]
                path = Path(*[CubicBezier(*(complex(x, y) for x, y in row)) for row in rows])
                lengths = [segment.length() for segment in path]
                row = [sum(lengths)]
                for name in names:
                    segment, t = shape.notch(name).station
                    k = segment - start
                    row.append(sum(lengths[:k]) + path[k].length(0.0, t))
                out.append(row)
    return np.array(out)


def timed(work: Callable[[], object]) -> float:
    start = time.perf_counter()
    work()
    return time.perf_counter() - start


def run(rounds: int = 7, other_sizes: int = 4) -> dict[str, float]:
    """Medians of `rounds` rounds, both ways side by side; seconds."""
    pattern = style()
    calls = 0
    kernel = arc_lengths

    def counted(segments: np.ndarray) -> np.ndarray:
        nonlocal calls
        calls += 1
        return kernel(segments)

    walk(fresh(pattern))
    own, other, again = [], [], []
    for _ in range(rounds):
        new = fresh(pattern)
        own.append(timed(partial(walk, new)))
        again.append(timed(partial(walk, new)))
        theirs = timed(partial(by_svgpathtools, pattern, other_sizes))
        other.append(theirs * SIZES / other_sizes)
    with patch.object(measuring, "arc_lengths", counted):
        found = walk(fresh(pattern))
    lengths = by_svgpathtools(pattern, other_sizes)
    ours = found.sew_lengths[:, :other_sizes].T.reshape(-1)
    assert np.abs(lengths[0::2, 0] - ours).max() < 1e-6
    assert np.isfinite(found.ease).all() and not found.findings
    whole = median(own)
    return {
        "seconds": whole,
        "us_a_seam_and_size": whole * 1e6 / (SEAMS * SIZES),
        "known_already_seconds": median(again),
        "svgpathtools_seconds": median(other),
        "ratio": median(other) / whole,
        "kernel_calls": calls,
        "segments": sum(s.seam_line.n for p in pattern.pieces for s in p.shapes),
    }


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--json", action="store_true")
    args = parser.parse_args()
    found = run()
    if args.json:
        print(json.dumps(found, indent=2))
        return
    print(f"25 seams in 100 sizes, {found['segments']:.0f} segments")
    print(f"  walk              {found['seconds'] * 1e3:8.1f} ms, "
          f"{found['us_a_seam_and_size']:.1f} us a seam and size (goal 20)")  # fmt: skip
    print(f"  walked again      {found['known_already_seconds'] * 1e3:8.1f} ms")
    print(f"  svgpathtools      {found['svgpathtools_seconds'] * 1e3:8.1f} ms")
    print(f"  ratio             {found['ratio']:8.0f} (goal 100)")
    print(f"  kernel calls      {found['kernel_calls']:8.0f} (goal 1)")


if __name__ == "__main__":
    main()
