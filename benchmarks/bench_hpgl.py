"""HP-GL: how long reading takes against the interpreter of ezdxf, and writing against reading.

    python benchmarks/bench_hpgl.py [POINTS]

Both interpreters follow the same plot in the same run; ratios say more than seconds. Reading into
pieces is measured as well: it joins strokes, tells outlines from marks, and finds corners.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Callable
from typing import Any

import numpy as np
from ezdxf.addons.hpgl2 import backend, interpreter, plotter, tokenizer

from seamwright.geometry import Curve
from seamwright.model import Pattern, Piece, build_shape
from seamwright.plugins.api import Context, Source
from seamwright_hpgl.options import HpglIn, HpglOut
from seamwright_hpgl.read import read
from seamwright_hpgl.reading.machine import Machine
from seamwright_hpgl.reading.tokens import instructions
from seamwright_hpgl.writing.document import write


def pattern_of(points: int) -> Pattern:
    """Pieces of 500 vertices each, side by side, `points` vertices in all."""
    pieces = []
    for number in range(max(1, points // 500)):
        angle = np.linspace(0.0, 2.0 * np.pi, 500, endpoint=False)
        radius = 90.0 + 8.0 * np.sin(5.0 * angle + number)
        ring = radius[:, None] * np.stack((np.cos(angle), np.sin(angle)), axis=1)
        ring += [250.0 * (number % 40), 250.0 * (number // 40)]
        shape = build_shape(size="M", outline=Curve.polyline(ring, closed=True))
        pieces.append(Piece(name=f"Part {number}", shapes=(shape,)))
    return Pattern(name="bench", pieces=tuple(pieces), sizes=("M",), base_size="M")


def theirs(data: bytes) -> Any:
    recorder = backend.Recorder()
    device = plotter.Plotter(recorder)
    interpreter.Interpreter(device).run(tokenizer.hpgl2_commands(b"\x1b%1B" + data))
    return recorder


def ours(data: bytes) -> Any:
    machine = Machine(10_000_000)
    machine.run(instructions(data))
    return machine


def best(act: Callable[[], Any], rounds: int = 5) -> float:
    """The shortest of several runs, seconds of this process."""
    times = []
    for _ in range(rounds):
        start = time.process_time()
        act()
        times.append(time.process_time() - start)
    return min(times)


def main() -> None:
    points = int(sys.argv[1]) if len(sys.argv) > 1 else 100_000
    pattern = pattern_of(points)
    options = HpglOut(labels=False)
    data = write(pattern, options, Context()).parts[0].data
    judge = best(lambda: theirs(data))
    rows = [
        ("follow the pen: ours", best(lambda: ours(data))),
        ("follow the pen: ezdxf", judge),
        (
            "read into pieces",
            best(lambda: read(Source(name="x", data=data), HpglIn(), Context()), 3),
        ),
        ("write, sorted", best(lambda: write(pattern, options, Context()), 3)),
    ]
    print(f"{points:,} points, {len(pattern.pieces)} pieces, {len(data) / 1e6:.2f} MB")
    for name, seconds in rows:
        print(f"{name:24} {seconds:7.3f} s   {seconds / judge:5.2f} of ezdxf's interpreter")


if __name__ == "__main__":
    main()
