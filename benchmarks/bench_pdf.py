"""Writing a full nest as a tiled PDF beside reportlab drawing as many segments on one page,
medians in one run: a ratio, and the seconds that it takes.

    python benchmarks/bench_pdf.py [--quick] [--keep FILE]

30 pieces in 20 sizes, cut line and seam line, notches, grain lines and names: chosen, packed,
lettered, tiled on A4, layered and finished. Goal: under 3 seconds. The exit status is 1 when it
is missed.
"""

from __future__ import annotations

import argparse
import sys
import time
from collections.abc import Callable
from io import BytesIO
from pathlib import Path

import numpy as np
from reportlab.pdfgen.canvas import Canvas

from seamwright.geometry import Curve, Station
from seamwright.model import GrainLine, Notch, Pattern, Piece, build_shape
from seamwright.plugins.api import Context
from seamwright_pdf.options import PdfOut
from seamwright_pdf.writing.document import write

GOAL = 3.0  # seconds


def outline(number: int, size: int, grow: float) -> Curve:
    """A piece-like outline of straight sides and curves: 4 corners, 24 segments."""
    wide = 90 + 23 * (number % 6) + 3.5 * size + grow
    tall = 120 + 61 * (number % 8) + 5.0 * size + grow
    corners = np.array([(-wide, -tall), (wide, -tall), (0.8 * wide, tall), (-0.9 * wide, tall)])
    segments, kinds = [], []
    for i in range(4):
        a, b = corners[i], corners[(i + 1) % 4]
        bend = np.array([-(b - a)[1], (b - a)[0]]) * (0.06 if i % 2 else 0.0)
        for k in range(6):
            t = np.array([k, k + 1 / 3, k + 2 / 3, k + 1]) / 6
            segments.append(a + t[:, None] * (b - a) + (4 * t * (1 - t))[:, None] * bend)
            kinds.append(1 if i % 2 else 0)
    points = np.array(segments)
    points[:-1, 3] = points[1:, 0]
    points[-1, 3] = points[0, 0]
    return Curve.from_segments(points, kinds, closed=True)


def nest(pieces: int, sizes: int) -> Pattern:
    """A pattern of that many pieces and sizes."""
    names = tuple(str(2 * k + 30) for k in range(sizes))
    made = []
    for number in range(pieces):
        shapes = []
        for size, name in enumerate(names):
            seam = outline(number, size, 0.0)
            shape = build_shape(size=name, outline=seam)
            notches = tuple(Notch(name=f"n{k}", station=Station(6 * k + 3, 0.25)) for k in range(4))
            shapes.append(
                shape.but(
                    cut_line=outline(number, size, 10.0),
                    notches=notches,
                    grain_line=GrainLine(start=(0.0, -80.0), end=(0.0, 90.0)),
                )
            )
        made.append(Piece(name=f"Piece {number + 1}", shapes=tuple(shapes), quantity=(2, 0)))
    return Pattern(name="Nest", pieces=tuple(made), sizes=names, base_size=names[len(names) // 2])


def plain(pattern: Pattern) -> bytes:
    """The same segments drawn by reportlab's own paths on one page."""
    out = BytesIO()
    canvas = Canvas(out, pagesize=(4000, 4000))
    for piece in pattern.pieces:
        for shape in piece.shapes:
            for curve in (shape.seam_line, shape.cut_line):
                if curve is None:
                    continue
                path = canvas.beginPath()
                rows = (curve.segments.reshape(-1, 8) * (72 / 25.4)).tolist()
                path.moveTo(*rows[0][:2])
                for kind, row in zip(curve.kinds.tolist(), rows, strict=True):
                    if kind:
                        path.curveTo(*row[2:])
                    else:
                        path.lineTo(*row[6:])
                path.close()
                canvas.drawPath(path)
    canvas.showPage()
    canvas.save()
    return out.getvalue()


def median(work: Callable[[], object], repeats: int) -> float:
    times = []
    for _ in range(repeats):
        begin = time.perf_counter()
        work()
        times.append(time.perf_counter() - begin)
    return sorted(times)[len(times) // 2]


def main() -> int:
    parser = argparse.ArgumentParser()
    parser.add_argument("--quick", action="store_true", help="one run, fewer sizes")
    parser.add_argument("--keep", type=Path, help="write the PDF there")
    given = parser.parse_args()
    sizes, repeats = (5, 1) if given.quick else (20, 3)
    pattern = nest(30, sizes)
    result = write(pattern, PdfOut(), Context())
    data = result.parts[0].data
    if given.keep:
        given.keep.write_bytes(data)
    ours = median(lambda: write(pattern, PdfOut(), Context()), repeats)
    theirs = median(lambda: plain(pattern), repeats)
    print(f"{result.findings[0].message}; {len(data) / 1e6:.2f} MB")
    print(f"30 pieces in {sizes} sizes: {ours:.2f} s; reportlab, untiled: {theirs:.2f} s")
    print(f"ratio {ours / theirs:.1f}; goal: under {GOAL:g} s")
    return 0 if ours < GOAL else 1


if __name__ == "__main__":
    sys.exit(main())
