"""How long the program takes to start, over a bare interpreter in the same run.

    .venv/bin/python benchmarks/bench_start.py

Goals: `--version` and `--help` within 60 ms of a bare interpreter; fifty installed plugins within
50 ms of none, on a command that asks them. Best of many, in turns, so that a busy machine weighs on
all alike.
"""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
import time
from pathlib import Path

ROUNDS = 15
PLUGIN = """
from seamwright.plugins.api import hookimpl, Step, StepResult, Options
API = 1
@hookimpl
def seamwright_steps():
    return [Step(name="NAME", help="h", options=Options, kind="check",
                 run=lambda p, o, c: StepResult(pattern=p))]
"""


def fifty(site: Path) -> None:
    """Fifty installed distributions with a light plugin each."""
    for i in range(50):
        name = f"light_{i:02}"
        (site / name).mkdir()
        (site / name / "__init__.py").write_text("")
        (site / name / "plugin.py").write_text(PLUGIN.replace("NAME", f"light-{i}"))
        info = site / f"{name}-1.dist-info"
        info.mkdir()
        (info / "METADATA").write_text(f"Metadata-Version: 2.1\nName: {name}\nVersion: 1\n")
        (info / "entry_points.txt").write_text(f"[seamwright.plugins]\n{name} = {name}.plugin\n")


def seconds(args: list[str], **env: str) -> float:
    start = time.perf_counter()
    subprocess.run(args, env={**os.environ, **env}, capture_output=True, check=True)
    return time.perf_counter() - start


def main() -> None:
    with tempfile.TemporaryDirectory() as folder:
        fifty(Path(folder))
        program = [sys.executable, "-m", "seamwright"]
        runs = {
            "bare interpreter": ([sys.executable, "-c", "pass"], {}),
            "--version": ([*program, "--version"], {}),
            "--help": ([*program, "--help"], {}),
            "plugins walk": ([*program, "plugins", "walk"], {}),
            "plugins walk, 50 more": ([*program, "plugins", "walk"], {"PYTHONPATH": folder}),
        }
        best = dict.fromkeys(runs, 1e9)
        for _ in range(ROUNDS):
            for name, (args, env) in runs.items():
                best[name] = min(best[name], seconds(args, **env))
    bare = best["bare interpreter"]
    for name, found in best.items():
        print(f"{name:24} {found * 1000:6.0f} ms  {found / bare:5.1f} times a bare interpreter")
    more = best["plugins walk, 50 more"] - best["plugins walk"]
    print(f"fifty plugins cost {more * 1000:.0f} ms")


if __name__ == "__main__":
    main()
