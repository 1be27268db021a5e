"""How well seams are proposed, on the garments that tuned the proposal and on those that judge it.

    .venv/bin/python benchmarks/judge_plan.py [--each]

Names are removed, pieces turned, mirrored and shuffled; in all sizes, in one, and read back from
SVG and DXF. Goals on the judging garments: of the seams called sure 98 in 100 right (95 with one
size), of all true seams 90 in 100 found as sure or likely (75). `--each` names what is wrong or
missed: whoever tunes by that makes a tuning garment of it, and owes another judge.
"""

from __future__ import annotations

import argparse
import sys
import tempfile
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "tests" / "plan" / "proposal"))

from disguise import disguised, only_base, through_file
from garments.tuning import tuning_garments
from judging import judging_garments
from truth import Garment, Score, score

from seamwright.plan import SeamPlan, apply_plan
from seamwright.plan.proposal import propose_seams

SEEDS = (100, 200)


def judged(garment: Garment) -> tuple[Score, float]:
    """Score and seconds of the proposal."""
    _, pattern, truth = garment
    start = time.perf_counter()
    found = propose_seams(pattern)
    took = time.perf_counter() - start
    seams = tuple(one.seam for one in found.seams)
    named, _ = apply_plan(pattern, SeamPlan(pieces=found.names, seams=seams))
    return score(named, truth, [(o.seam, str(o.level)) for o in found.seams]), took


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--each", action="store_true")
    each = parser.parse_args().each
    sets = {"tuning": tuning_garments.garments(), "judging": judging_garments.garments()}
    with tempfile.TemporaryDirectory() as folder:
        for which, garments in sets.items():
            for mode in ("all sizes", "one size", ".svg", ".dxf"):
                total, seconds = Score(), 0.0
                for seed in SEEDS:
                    for k, garment in enumerate(garments):
                        hidden = disguised(garment, seed + k)
                        if mode == "one size":
                            hidden = only_base(hidden)
                        elif mode.startswith("."):
                            hidden = through_file(hidden, Path(folder) / f"g{mode}")
                        found, took = judged(hidden)
                        total, seconds = total + found, seconds + took
                print(f"{which:8} {mode:10} {total}; {seconds:.1f} s")
                if each:
                    for line in [*total.wrong, *(f"missed {m}" for m in total.missed)]:
                        print("   ", line)


if __name__ == "__main__":
    main()
