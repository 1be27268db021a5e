"""Every step once over a style of 20 pieces in 20 sizes: where the time goes.

    python benchmarks/bench_steps.py [--quick] [--only NAME ...] [--profile NAME]

Each step runs in a pipeline of its own behind a walk, on a copy that nobody has measured before
(a step that needs darts, a cut line or rules gets a style that has them, made beforehand). Time
is the processor's, as the record would say it: the step and what the core does about it (what
changed, seams walked,
promises verified). Goal: all together under 2 s, ease-cap apart, which has a goal of its own
(0.15 s a size, bench_cap.py). The exit status is 1 when the goal is missed.

Beside it, in the same run, general libraries on the same outlines: shapely's `buffer` at 0.005 mm
for an allowance, scipy's `splprep` within 0.1 mm for a run drawn anew.
"""

from __future__ import annotations

import argparse
import cProfile
import pickle
import pstats
import sys
import time
from collections.abc import Callable
from functools import cache
from types import SimpleNamespace
from typing import Any

from shapely import Polygon

from seamwright.model import Pattern
from seamwright.model.shape import SeamLineSource
from seamwright.pipeline import Pipeline, Use
from seamwright.pipeline import running as _running
from seamwright.plugins.registry import Registry
from style_of_twenty import SIZES, style  # type: ignore[import-not-found]  # beside this script

running: Any = _running  # its clock and its call are looked into
GOAL = 2.0
APART = ("ease-cap",)

BOTH_SIDES = ["Front: underarm > hem-side @ 40 %", "Back: underarm > hem-side @ 40 %"]
SIDE = "Bodice: hem-side > underarm @ 40 %"


def done(*uses: Use) -> Callable[[int], Pattern]:
    """A style on which those steps were done."""

    @cache
    def made(sizes: int) -> Pattern:
        return Pipeline(list(uses)).run(style(sizes))[0]

    return made


def only(*names: str, of: Callable[[int], Pattern] = style) -> Callable[[int], Pattern]:
    """A style of some pieces."""

    def made(sizes: int) -> Pattern:
        whole = of(sizes)
        kept = tuple(p for p in whole.pieces if p.name in names)
        return whole.but(pieces=kept, seams=tuple(
            s for s in whole.seams if set(s.pieces) <= set(names)
        ))  # fmt: skip

    return made


def cut_lines(sizes: int) -> Pattern:
    """A style whose outlines are cut lines, as files give them that have no seam line."""
    return style(sizes).map_shapes(lambda _, s: s.but(seam_line_source=SeamLineSource.CUT_LINE))


allowed = done(Use("add-allowance", width="1 cm"))
full = done(
    Use("full-bust", point="Bodice: bust", slash="Bodice: armhole", side=SIDE, amount="20 mm")
)
split_dart = done(Use("split-dart", dart="Bodice", to=SIDE))
split = done(
    Use("split-piece", start="Pocket: side", end="Pocket: waist-centre > hem-centre @ 50 %")
)
ruled = done(Use("derive-rules"))
folded = done(Use("fold-in-half", pieces=["Collar"], start="Collar: back",
                  end="Collar: point-right > point-left @ 50 %"))  # fmt: skip

# step -> (the style it runs on, its options)
STEPS: dict[str, tuple[Callable[[int], Pattern], dict[str, Any]]] = {
    "add-allowance": (style, {"width": "1 cm"}),
    "check-allowance": (allowed, {}),
    "seam-line": (cut_lines, {"width": "1 cm"}),
    "alter-armhole": (style, {"amount": "1 cm"}),
    "alter-back": (style, {"amount": "6 mm"}),
    "alter-bicep": (style, {"amount": "2 cm"}),
    "alter-cap-height": (style, {"amount": "-1 cm"}),
    "alter-shoulder-slope": (style, {"amount": "6 mm"}),
    "lengthen": (style, {"at": BOTH_SIDES, "amount": "2 cm"}),
    "move-seam": (style, {"seam": "side", "width": "1 cm"}),
    "ease-cap": (style, {"cloth": "firm woven"}),
    "check-darts": (style, {"pressed": "down"}),
    "cut-darts": (style, {}),
    "dart-to-ease": (style, {"dart": "Bodice"}),
    "dart-to-gathers": (style, {"dart": "Bodice"}),
    "fold-dart": (style, {"dart": "Bodice", "open": SIDE}),
    "mark-darts": (style, {}),
    "merge-darts": (split_dart, {"dart": "Bodice: waist-2", "into": "Bodice: waist"}),
    "move-dart": (style, {"dart": "Bodice", "to": SIDE}),
    "shift-dart-point": (style, {"dart": "Bodice", "back": "20 mm"}),
    "split-dart": (style, {"dart": "Bodice", "to": SIDE}),
    "true-dart": (style, {}),
    "add-fullness": (style, {"hinge": "Skirt front: waist-side > waist-centre",
                             "opens": "Skirt front: hem-side > hem-centre", "amount": "12 cm"}),
    "full-bust": (style, {"point": "Bodice: bust", "slash": "Bodice: armhole", "side": SIDE,
                          "amount": "20 mm"}),
    "small-bust": (full, {"point": "Bodice: bust", "slash": "Bodice: armhole",
                          "side": "Bodice: bust-dart", "amount": "10 mm"}),
    "check-grade": (ruled, {}),
    "check-nest": (style, {}),
    "derive-rules": (style, {}),
    "grade": (ruled, {"existing": "replace"}),
    "match-notches": (style, {}),
    "carry-notches": (allowed, {}),
    "place-notch": (style, {"at": ["Bodice: underarm > tip @ 30 %"]}),
    "remove-notches": (style, {"notch": ["Bodice: armhole"]}),
    "rename-notches": (style, {"names": {"Bodice: armhole": "front"}}),
    "draw-facing": (style, {"edge": "Bodice: neck > neck-centre", "depth": "5 cm"}),
    "draw-hem": (style, {"edge": "Skirt front: hem-centre > hem-side", "depth": "3 cm",
                         "width": "1 cm"}),
    "fold-in-half": (style, {"pieces": ["Collar"], "start": "Collar: back",
                             "end": "Collar: point-right > point-left @ 50 %"}),
    "join-pieces": (split, {"edge": "Pocket 1: split-start > split-end",
                            "to": "Pocket 2: split-start > split-end"}),
    "make-whole": (folded, {}),
    "mirror-piece": (style, {}),
    "scale-piece": (style, {"along": 1.02, "across": 1.01}),
    "shrinkage": (style, {"along": 3, "across": 2}),
    "split-piece": (style, {"start": "Pocket: side",
                            "end": "Pocket: waist-centre > hem-centre @ 50 %"}),
    "turn-to-grain": (style, {"angle": 30}),
    "check-smooth": (style, {}),
    "polyline-to-curves": (style, {}),
    "refit-run": (style, {"run": ["Bodice: underarm > tip", "Front: underarm > shoulder",
                                  "Back: underarm > shoulder"]}),
    "check-true": (style, {}),
    "true-jog": (style, {"run": ["Bodice: underarm > tip"]}),
    "true-seams": (style, {}),
    "walk": (style, {}),
}  # fmt: skip


def measure(name: str, sizes: int, *, profile: bool = False) -> tuple[float, float, int, int]:
    """Seconds of the step, of the core about it, shapes changed or looked at, and errors."""
    make, options = STEPS[name]
    fresh = pickle.loads(pickle.dumps(make(sizes)))
    uses = [Use("walk"), Use(name, **options)]
    inside = [0.0]
    plain = running.call

    def timed(*args: Any, **more: Any) -> Any:
        start = time.process_time()
        try:
            return plain(*args, **more)
        finally:
            inside[0] = time.process_time() - start

    running.call = timed
    running.time = SimpleNamespace(perf_counter=time.process_time)
    profiler = cProfile.Profile() if profile else None
    try:
        if profiler is not None:
            profiler.enable()
        record = Pipeline(uses).run(fresh)[1]
    finally:
        if profiler is not None:
            profiler.disable()
            stats = pstats.Stats(profiler)
            stats.sort_stats("cumulative").print_stats(45)
            stats.sort_stats("tottime").print_stats(25)
        running.call = plain
        running.time = time
    row = record.steps[1]
    errors = sum(f.severity.value == "error" for f in row.findings)
    shapes = len(row.changed) or row.looked_at
    return inside[0], row.seconds - inside[0], shapes, errors


def beside(sizes: int) -> dict[str, float]:
    """ms a shape of general libraries doing the like."""
    from scipy.interpolate import splprep

    shapes = [s for p in style(sizes).pieces for s in p.shapes]
    start = time.process_time()
    for shape in shapes:
        Polygon(shape.seam_line.flatten(0.005)).buffer(10.0, join_style="mitre", mitre_limit=2.0)
    buffer = time.process_time() - start
    curves = [s for p in style(sizes).pieces if p.name in ("Bodice", "Front", "Back")
              for s in p.shapes]  # fmt: skip
    edges = [s.edge_curve([c.name for c in s.corners].index("underarm")) for s in curves]
    start = time.process_time()
    for edge in edges:
        splprep(edge.flatten(0.01).T, s=len(edge.flatten(0.01)) * 0.05**2)
    spline = time.process_time() - start
    return {
        "add-allowance": 1e3 * buffer / len(shapes),
        "refit-run": 1e3 * spline / len(edges),
    }


def main() -> int:
    """Prints the table."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--quick", action="store_true", help="two sizes, no goal")
    parser.add_argument("--only", nargs="*", default=[])
    parser.add_argument("--profile", default="")
    parser.add_argument("--rounds", type=int, default=2)
    asked = parser.parse_args()
    sizes = 2 if asked.quick else SIZES
    if asked.profile:
        measure(asked.profile, 2)
        measure(asked.profile, sizes, profile=True)
        return 0
    known = {e.thing.name for e in Registry.discover().steps}
    left_out = sorted(known - set(STEPS))
    libraries = beside(sizes)
    rows = []
    for name in asked.only or STEPS:
        measure(name, 2)  # imports
        best = min((measure(name, sizes) for _ in range(asked.rounds)), key=lambda r: r[0] + r[1])
        rows.append((name, *best))
        step, core, shapes, errors = best
        each = 1e3 * (step + core) / max(shapes, 1)
        ratio = f"  {libraries[name] / each:6.2f} of the library" if name in libraries else ""
        print(
            f"{name:22} {1e3 * step:8.1f} ms {1e3 * core:7.1f} core {shapes:5} shapes "
            f"{each:8.3f} ms each{ratio}" + (f"  {errors} refused" if errors else ""),
            flush=True,
        )
    counted = [r for r in rows if r[0] not in APART]
    total = sum(r[1] + r[2] for r in counted)
    core = sum(r[2] for r in counted)
    print(f"all but {', '.join(APART)}: {total:.2f} s, of them {core:.2f} s in the core")
    if left_out:
        print("not run:", ", ".join(left_out))
    return int(total > GOAL and not asked.quick and not asked.only)


if __name__ == "__main__":
    sys.exit(main())
