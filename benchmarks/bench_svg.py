"""Reading SVG beside svgelements' own parse, medians in one run: ratios, not seconds.

    python benchmarks/bench_svg.py [--quick]

Ours reads the whole drawing into pieces (XML, limits, style, outlines, corners); theirs only
parses it. Goal: a drawing of 100,000 segments, in one outline or in up to a thousand, in at most
1.2 times their time. The exit status is 1 when a goal is missed.
"""

from __future__ import annotations

import argparse
import io
import math
import random
import sys
import time
from collections.abc import Callable
from functools import partial

import svgelements

from seamwright.plugins.api import Context, Source
from seamwright_svg.options import SvgIn, SvgOut
from seamwright_svg.reading import read
from seamwright_svg.writing.document import write

GOAL = 1.2
ROOT = 'xmlns="http://www.w3.org/2000/svg" width="2000mm" height="2000mm" viewBox="0 0 2000 2000"'


def ring(count: int, kind: str, cx: float, cy: float, radius: float, rng: random.Random) -> str:
    """Path data of a wavy ring of `count` segments."""
    points = []
    for k in range(3 * count):
        a = 2 * math.pi * k / (3 * count)
        r = radius * (1 + 0.05 * math.sin(7 * a) + 0.0005 * rng.random())
        points.append((round(cx + r * math.cos(a), 3), round(cy + r * math.sin(a), 3)))
    words = [f"M{points[0][0]},{points[0][1]}"]
    x, y = points[0]
    for k in range(count):
        p, q, e = (points[(3 * k + j) % (3 * count)] for j in (1, 2, 3))
        if kind == "absolute":
            words.append(f"C{p[0]},{p[1]} {q[0]},{q[1]} {e[0]},{e[1]}")
        elif kind == "relative":
            steps = " ".join(f"{u - x:.3f},{v - y:.3f}" for u, v in (p, q, e))
            words.append(("c" if k == 0 else " ") + steps)
            x, y = e
        elif kind == "lines":
            words.append(f"L{e[0]} {e[1]}")
        else:
            words.append(
                f"L{e[0]} {e[1]}" if k % 2 else f"C{p[0]} {p[1]} {q[0]} {q[1]} {e[0]} {e[1]}"
            )
    return "".join(words) + "z"


def drawing(outlines: int, each: int, kind: str) -> bytes:
    """A drawing of many rings beside one another."""
    rng = random.Random(1)
    side = math.ceil(math.sqrt(outlines))
    step = 2000 / side
    paths = [
        f'<path id="Part {i}x" d="'
        + ring(each, kind, step * (i % side + 0.5), step * (i // side + 0.5), 0.42 * step, rng)
        + '"/>'
        for i in range(outlines)
    ]
    return (f"<svg {ROOT}>" + "".join(paths) + "</svg>").encode()


def median(work: Callable[[], object], repeats: int) -> float:
    times = []
    for _ in range(repeats):
        begin = time.perf_counter()
        work()
        times.append(time.perf_counter() - begin)
    return sorted(times)[len(times) // 2]


def parse(data: bytes) -> object:
    return svgelements.SVG.parse(io.BytesIO(data))


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--quick", action="store_true", help="fewer segments, one repeat")
    quick = parser.parse_args().quick
    total, repeats = (10_000, 1) if quick else (100_000, 3)
    missed = 0
    print(f"{total:,} segments          ours   svgelements   ratio")
    for outlines in (1, 10, 100, 1000):
        for kind in ("absolute", "relative", "lines", "mixed"):
            data = drawing(outlines, total // outlines, kind)
            source = Source(name="bench.svg", data=data)
            ours = median(partial(read, source, SvgIn(), Context()), repeats)
            theirs = median(partial(parse, data), repeats)
            ratio = ours / theirs
            missed += ratio > GOAL
            mark = "" if ratio <= GOAL else "   missed"
            print(f"{outlines:5} x {kind:9} {ours:9.3f} s {theirs:9.3f} s {ratio:9.2f}{mark}")
    pattern = read(source, SvgIn(), Context()).pattern
    seconds = median(lambda: write(pattern, SvgOut(), Context()), repeats)
    print(f"writing the last one {seconds:9.3f} s")
    return 1 if missed and not quick else 0


if __name__ == "__main__":
    sys.exit(main())
