"""The report page of 30 pieces in 20 sizes, all of them altered, and how soon it is seen.

Goals: the page under 3 MB, its first paint under 1 s (in a browser without a screen, if there is
one); writing it at most ten times what the standard library's `json.dumps` takes for the same seam
lines before and after as plain numbers, which are also what its data is weighed against.
Run: python benchmarks/bench_report.py [--steps 3] [--json]
"""

from __future__ import annotations

import argparse
import importlib.util
import json
import shutil
import sys
import tempfile
import time
from pathlib import Path
from statistics import median
from typing import Any

import numpy as np

from seamwright.geometry import Curve, Station
from seamwright.model import Notch, Pattern, Piece, Run, RunPart, Seam, build_shape
from seamwright.plugins.api import Context, Record, StepRecord
from seamwright.plugins.registry import Registry

PIECES, SIZES, EDGES, SEGMENTS = 30, 20, 6, 5


def outline(seed: int, scale: float, swell: float) -> Curve:
    """A rounded piece of EDGES edges, each a chain of SEGMENTS cubics; `swell` moves them."""
    rng = np.random.default_rng(seed)
    angles = np.linspace(0.0, 2 * np.pi, EDGES, endpoint=False) + rng.uniform(-0.2, 0.2, EDGES)
    radii = rng.uniform(160.0, 420.0, EDGES)
    corners = np.column_stack((np.cos(angles), np.sin(angles))) * radii[:, None]
    segments = []
    for i in range(EDGES):
        a, b = corners[i], corners[(i + 1) % EDGES]
        along = (b - a) / SEGMENTS
        side = np.array([along[1], -along[0]]) * (rng.uniform(-0.3, 0.3) + swell)
        bow = np.sin(np.linspace(0.0, np.pi, SEGMENTS + 1))[:, None] * side * 2.0
        joints = a + np.arange(SEGMENTS + 1)[:, None] * along + bow
        slope = along + np.cos(np.linspace(0.0, np.pi, SEGMENTS + 1))[:, None] * side
        for k in range(SEGMENTS):
            p, q = joints[k], joints[k + 1]
            segments.append([p, p + slope[k] / 3, q - slope[k + 1] / 3, q])
    return Curve.from_segments(scale * np.array(segments), closed=True)


def style(swell: float) -> Pattern:
    """Each piece's edges sewn to the next piece's, with notches on both."""
    sizes = tuple(f"{2 * z + 4}" for z in range(SIZES))
    pieces = []
    for number in range(PIECES):
        shapes = []
        for z, size in enumerate(sizes):
            # Growing a little faster in the larger sizes, as bodies do.
            scale = 1.0 + 0.02 * z + 0.0007 * z * z
            shapes.append(
                build_shape(
                    size=size,
                    outline=outline(number, scale, swell),
                    corners=[Station(i * SEGMENTS, 0.0) for i in range(EDGES)],
                    corner_names=[f"c{i}" for i in range(EDGES)],
                    notches=[
                        Notch(name=f"n{i}", station=Station(i * SEGMENTS + 2, 0.4))
                        for i in range(EDGES)
                    ],
                )
            )
        pieces.append(Piece(name=f"piece {number + 1}", shapes=tuple(shapes)))

    def run(piece: int, edge: int) -> Run:
        marks = (f"c{edge}", f"c{(edge + 1) % EDGES}")
        return Run(parts=(RunPart(piece=f"piece {piece % PIECES + 1}", marks=marks),))

    seams = tuple(
        Seam(
            name=f"piece {k + 1} to {(k + 1) % PIECES + 1}",
            sew=run(k, 0),
            to=run(k + 1, 3),
            meet=(("n0", "n3"),),
        )
        for k in range(PIECES)
    )
    return Pattern(
        name="thirty", pieces=tuple(pieces), sizes=sizes, base_size=sizes[7], seams=seams
    )


def record(steps: int) -> Record:
    """A run whose every step moves every piece in every size."""
    states = [style(0.02 * k) for k in range(steps + 1)]
    rows = tuple(
        StepRecord(
            use="bench/swell",
            kind="alteration",
            options={},
            changed=tuple((p.name, s.size) for p in states[0].pieces for s in p.shapes),
        )
        for _ in range(steps)
    )
    return Record(before=states[0], after=states[-1], steps=rows, snapshots=tuple(states[1:]))


def timed(work: Any, times: int = 5) -> tuple[float, Any]:
    """Median seconds, and what came out."""
    spent, out = [], None
    for _ in range(times):
        start = time.perf_counter()
        out = work()
        spent.append(time.perf_counter() - start)
    return median(spent), out


def first_paint(page: bytes) -> float | None:
    """Milliseconds from opening the file to its first paint; None without a browser."""
    program = shutil.which("chromium") or shutil.which("chromium-browser")
    client = Path(__file__).parents[1] / "tests" / "plugins" / "report" / "conftest.py"
    if program is None or not client.exists():
        return None
    spec = importlib.util.spec_from_file_location("report_browser", client)
    assert spec is not None and spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    sys.modules[spec.name] = module
    spec.loader.exec_module(module)
    with tempfile.TemporaryDirectory(ignore_cleanup_errors=True) as folder:
        file = Path(folder) / "page.html"
        file.write_bytes(page)
        browser = module.Browser(program, Path(folder) / "profile")
        paints = []
        for _ in range(3):
            opened = browser.open(file, width=1280)
            entry = "performance.getEntriesByName('first-contentful-paint')[0]"
            opened.until(entry)
            paints.append(float(opened.value(f"{entry}.startTime")))
            opened.close()
        browser.close()
    return median(paints)


def main() -> None:
    """Prints the figures."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--steps", type=int, default=1)
    parser.add_argument("--json", action="store_true")
    chosen = parser.parse_args()
    run = record(chosen.steps)
    report = Registry.discover(only=["report"]).reports.find("html").thing

    def write() -> bytes:
        (part,) = report.run(run, report.options(), Context()).parts
        return bytes(part.data)

    write()  # imports
    seconds, page = timed(write)
    lines = [
        [s.seam_line.segments.tolist() for p in pattern.pieces for s in p.shapes]
        for pattern in (run.before, *run.snapshots)
    ]
    plain_seconds, plain = timed(lambda: json.dumps(lines))
    data = page.split(b'id="data">')[1].split(b"</script>")[0]
    figures = {
        "page_kb": round(len(page) / 1000),
        "data_kb": round(len(data) / 1000),
        "plain_json_kb": round(len(plain) / 1000),
        "data_of_plain_json": round(len(data) / len(plain), 3),
        "seconds": round(seconds, 3),
        "json_dumps_seconds": round(plain_seconds, 3),
        "times_json_dumps": round(seconds / plain_seconds, 1),
        "first_paint_ms": first_paint(page),
    }
    if chosen.json:
        print(json.dumps(figures))
        return
    for name, value in figures.items():
        print(f"{name:<20} {value}")


if __name__ == "__main__":
    main()
