"""Reading and writing a big style as DXF, beside ezdxf in the same run: ratios, not seconds.

    python benchmarks/bench_dxf.py [--quick]

A style of 30 pieces in 20 sizes, R12, 600 blocks, about 100,000 vertices with their turn and curve
points, notches, inner lines and texts; about 16 MB. Goals: read into the model, all sizes, nothing
lost (the count of raw entities proves it), in at most 0.25 of `ezdxf.readfile`; read, checked and
reported in at most 0.5; written in at most 0.25 of ezdxf building and saving the same drawing.
200,000 loose lines of 400 outlines, joined, are measured for information. The exit status is 1
when a goal is missed.
"""

from __future__ import annotations

import argparse
import gc
import io
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import ezdxf
import numpy as np

from seamwright.model import Pattern
from seamwright.plugins.context import Context
from seamwright.plugins.descriptors import Source
from seamwright_dxf.options import DxfIn, DxfOut
from seamwright_dxf.read import read
from seamwright_dxf.write import write

READ, CHECKED, WRITTEN = 0.25, 0.5, 0.25


def outline(piece: int, size: int, n: int) -> tuple[np.ndarray, list[int]]:
    """Vertices of one piece in one size, a rounded and notched shape, and its corners."""
    t = 2 * np.pi * np.arange(n) / n
    radius = 200.0 + 5.0 * size + 30.0 * np.cos(4 * t) + 5.0 * np.sin(3 * t + piece)
    xy = np.stack((500.0 * piece + radius * np.cos(t), radius * np.sin(t)), axis=1)
    return np.round(xy, 4), list(range(0, n, n // 5))


def text_of(pieces: int, sizes: int, n: int) -> str:
    """The drawing, written as a sender would: one block a piece and size."""
    out: list[str] = ["  0\nSECTION\n  2\nHEADER\n  9\n$ACADVER\n  1\nAC1009\n  0\nENDSEC\n"]
    add = out.append

    def tags(*pairs: tuple[int, object]) -> None:
        add("".join(f"{code:3d}\n{value}\n" for code, value in pairs))

    def place(x: float, y: float) -> list[tuple[int, object]]:
        return [(10, f"{x:.6f}"), (20, f"{y:.6f}"), (30, "0.0")]

    def point(layer: int, x: float, y: float, *more: tuple[int, object]) -> None:
        tags((0, "POINT"), (8, layer), *place(x, y), *more)

    def text(x: float, y: float, words: str) -> None:
        tags((0, "TEXT"), (8, 1), *place(x, y), (40, 5.0), (1, words))

    def polyline(layer: int, xy: np.ndarray, closed: bool) -> None:
        tags((0, "POLYLINE"), (8, layer), (66, 1), *place(0.0, 0.0), (70, int(closed)))
        for x, y in xy.tolist():
            tags((0, "VERTEX"), (8, layer), *place(x, y))
        tags((0, "SEQEND"), (8, layer))

    add("  0\nSECTION\n  2\nBLOCKS\n")
    names = []
    for p in range(pieces):
        for z in range(sizes):
            names.append(f"PIECE{p}_{z}")
            tags((0, "BLOCK"), (8, 0), (2, names[-1]), (70, 0), *place(0.0, 0.0), (3, names[-1]))
            xy, corners = outline(p, z, n)
            polyline(1, xy, True)
            for k, (x, y) in enumerate(xy.tolist()):
                point(2 if k in corners else 3, x, y)
            for k in (n // 9, n // 3, 3 * n // 4):
                x, y = (xy[k] + xy[k + 1]) / 2
                point(4, x, y, (39, 6.0))
            middle = np.array([500.0 * p, 0.0])
            polyline(8, middle + np.stack((np.linspace(-60, 60, 30), np.zeros(30)), 1), False)
            x = 500.0 * p
            ends = [(11, f"{x:.6f}"), (21, "100.0"), (31, "0.0")]
            tags((0, "LINE"), (8, 7), *place(x, -100.0), *ends)
            point(13, 500.0 * p + 40.0, 30.0)
            for k, words in enumerate(
                (f"Piece Name: PIECE{p}", f"Size: {z}", "Quantity: 1,1", "Material: SHELL",
                 "Category: BODY", "Annotation: CUT ON GRAIN")
            ):  # fmt: skip
                text(500.0 * p, -8.0 * k, words)
            add("  0\nENDBLK\n  8\n0\n")
    add("  0\nENDSEC\n  0\nSECTION\n  2\nENTITIES\n")
    for name in names:
        tags((0, "INSERT"), (8, 1), (2, name), *place(0.0, 0.0))
    for k, words in enumerate(
        ("Style Name: CHORUS", f"Sample Size: {sizes // 2}", "Units: METRIC")
    ):
        text(0.0, -300.0 - 8 * k, words)
    add("  0\nENDSEC\n  0\nEOF\n")
    return "".join(out)


def built_by_ezdxf(pattern: Pattern) -> bytes:
    """The same drawing made with ezdxf: blocks, polylines, points, texts; and saved."""
    document = ezdxf.new("R12")  # type: ignore[attr-defined]
    space = document.modelspace()
    for piece in pattern.pieces:
        for shape in piece.shapes:
            block = document.blocks.new(f"{piece.name}_{shape.size}")
            points = shape.seam_line.joints.tolist()
            block.add_polyline2d(points, close=True, dxfattribs={"layer": "1"})
            for corner in shape.corners:
                block.add_point(points[corner.station.segment], dxfattribs={"layer": "2"})
            for place in shape.curve_points:
                block.add_point(points[place.segment], dxfattribs={"layer": "3"})
            for notch in shape.notches:
                at = shape.seam_line.point_of(notch.station).tolist()
                block.add_point(at, dxfattribs={"layer": "4", "thickness": notch.depth or 0.0})
            for line in shape.internal_lines:
                block.add_polyline2d(line.curve.joints.tolist(), dxfattribs={"layer": "8"})
            if shape.grain_line is not None:
                block.add_line(
                    shape.grain_line.start, shape.grain_line.end, dxfattribs={"layer": "7"}
                )
            for hole in shape.drill_holes:
                block.add_point(hole.at, dxfattribs={"layer": "13"})
            for words in (piece.name, shape.size, "1,1", piece.material, piece.category, "note"):
                block.add_text(words, dxfattribs={"layer": "1", "height": 5.0})
            space.add_blockref(f"{piece.name}_{shape.size}", (0, 0))
    stream = io.StringIO()
    document.write(stream)
    return stream.getvalue().encode()


def loose_lines(count: int, each: int) -> bytes:
    """Outlines in loose lines, shuffled, half of them reversed, ends moved by up to 0.002 mm."""
    rng = np.random.default_rng(2)
    t = 2 * np.pi * np.arange(each) / each
    ring = 100.0 * np.stack((np.cos(t), np.sin(t)), 1)
    shift = np.stack((np.arange(count) % 20, np.arange(count) // 20), 1) * 300.0
    a = (ring[None] + shift[:, None]).reshape(-1, 2)
    b = (np.roll(ring, -1, axis=0)[None] + shift[:, None]).reshape(-1, 2)
    a, b = (p + rng.uniform(-0.002, 0.002, p.shape) for p in (a, b))
    order = rng.permutation(len(a))
    flip = rng.random(len(a)) < 0.5
    p, q = np.where(flip[:, None], b, a)[order], np.where(flip[:, None], a, b)[order]
    body = "".join(
        f"  0\nLINE\n  8\ncut\n 10\n{x0:.5f}\n 20\n{y0:.5f}\n 11\n{x1:.5f}\n 21\n{y1:.5f}\n"
        for (x0, y0), (x1, y1) in zip(p.tolist(), q.tolist(), strict=True)
    )
    return f"  0\nSECTION\n  2\nENTITIES\n{body}  0\nENDSEC\n  0\nEOF\n".encode()


def timed(work: Callable[[], Any]) -> float:
    gc.collect()
    begin = time.perf_counter()
    result = work()
    seconds = time.perf_counter() - begin
    del result
    return seconds


def checked_and_reported(path: Path) -> None:
    """Through the public face: read, checked with every check of the nest, said as JSON."""
    import json

    import seamwright as sw

    pattern = sw.read(path)
    report = sw.check(pattern)
    json.dumps([f.to_json() for f in report.findings])


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--quick", action="store_true", help="a tenth of the size")
    quick = parser.parse_args().quick
    pieces, sizes, n, repeats = (6, 10, 130, 2) if quick else (30, 20, 130, 3)
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "style.dxf"
        path.write_text(text_of(pieces, sizes, n))
        size = path.stat().st_size / 1e6
        theirs, ours, whole = [], [], []
        for _ in range(repeats):
            theirs.append(timed(lambda: ezdxf.readfile(path)))  # type: ignore[attr-defined]
            ours.append(
                timed(lambda: read(Source(name="s", data=path.read_bytes()), DxfIn(), Context()))
            )
            whole.append(timed(lambda: checked_and_reported(path)))
        result = read(Source(name="s", data=path.read_bytes()), DxfIn(), Context())
        counts = result.facts["entities"]
        lost = sum(c.get("kept aside", 0) + c.get("left out", 0) for c in counts.values())
        entities = sum(c["read"] for c in counts.values())
        saved, written = [], []
        for _ in range(repeats):
            saved.append(timed(lambda: built_by_ezdxf(result.pattern)))
            written.append(timed(lambda: write(result.pattern, DxfOut(), Context())))
        base = float(np.median(theirs))
        print(f"{size:.1f} MB, {entities} records, {lost} lost; ezdxf.readfile {base:.2f} s")
        rows = [
            ("read into the model", float(np.median(ours)) / base, READ),
            ("read, checked, reported", float(np.median(whole)) / base, CHECKED),
            ("written", float(np.median(written)) / float(np.median(saved)), WRITTEN),
        ]
        failed = lost > 0
        for what, ratio, goal in rows:
            print(f"{what:28s} {ratio:6.3f} of ezdxf's (goal {goal})")
            failed |= ratio > goal
        data = loose_lines(40 if quick else 400, 500)
        seconds = timed(lambda: read(Source(name="l", data=data), DxfIn(unit="mm"), Context()))
        print(f"{len(data) / 1e6:.1f} MB of loose lines into outlines: {seconds:.2f} s")
    return int(failed)


if __name__ == "__main__":
    sys.exit(main())
