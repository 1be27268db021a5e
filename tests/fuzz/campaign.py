"""The long form of the fuzzing, by hand: many damaged files for one reader, in a child process.

    nice -n 15 python tests/fuzz/campaign.py svg --files 100000

Each file is timed by processor time and its peak memory taken (where the system tells: Linux).
A fault, more than 5 s, more than 500 MB, or a touch outside the folder ends in a file in --out and
a line in the log. The child is begun anew after a hang. The same seed gives the same files.
"""

from __future__ import annotations

import argparse
import contextlib
import hashlib
import json
import multiprocessing as mp
import os
import random
import signal
import sys
import tempfile
import time
from collections import Counter
from pathlib import Path
from typing import Any, Final

sys.path.insert(0, str(Path(__file__).parent))

import fuzz_targets
from fuzz_judge import Guard, Touched, Verdict, judged
from fuzz_mutators import mutated
from fuzz_targets import TARGETS, drawn, onward

SECONDS: Final = 5.0
MEGABYTES: Final = 500.0


class Slow(BaseException):
    """More processor time than a file may take."""


def _slow(*_: Any) -> None:
    raise Slow


def _peak() -> float:
    """Peak resident memory since `_reset`, in MB; 0 where the system does not tell."""
    try:
        text = Path("/proc/self/status").read_text()
    except OSError:
        return 0.0
    return int(text.split("VmHWM:")[1].split()[0]) / 1024


def _reset() -> None:
    with contextlib.suppress(OSError):
        Path("/proc/self/clear_refs").write_text("5")


def chance_of(seed: int, number: int) -> random.Random:
    """The chance of one file, whatever came before it."""
    return random.Random(seed * 1_000_003 + number)


def child(name: str, seed: int, numbers: range, pipe: Any, onward_too: bool) -> None:
    """Reads files one by one, telling before each its number and after it what came of it."""
    os.nice(15)
    fuzz_targets.GOES_ON = onward_too
    target = TARGETS[name]
    seeds = target.seeds()
    signal.signal(signal.SIGPROF, _slow)
    with tempfile.TemporaryDirectory(dir="/dev/shm" if Path("/dev/shm").is_dir() else None) as at:
        folder = Path(at)
        guard = Guard(folder)
        for data in seeds:  # imports and caches are not counted
            judged(lambda d: target.run(d, folder), data)
        onward(drawn(), folder)
        for number in numbers:
            data = mutated(chance_of(seed, number), seeds, target.words)
            pipe.send((number, None))
            _reset()
            before = time.process_time()
            signal.setitimer(signal.ITIMER_PROF, SECONDS)
            try:
                guard.on = True
                verdict = judged(lambda d: target.run(d, folder), data)
            except Touched as error:
                verdict = Verdict("fault", "touched", str(error))
            except Slow:
                verdict = Verdict("fault", "slow", f"more than {SECONDS} s")
            except (SystemExit, KeyboardInterrupt) as error:
                verdict = Verdict("fault", "exit", repr(error))
            finally:
                guard.on = False
                signal.setitimer(signal.ITIMER_PROF, 0)
            taken, peak = time.process_time() - before, _peak()
            if not verdict.fault and peak > MEGABYTES:
                verdict = Verdict("fault", "memory", f"{peak:.0f} MB")
            pipe.send((number, (verdict, taken, peak, data if verdict.fault else b"")))


def campaign(
    name: str, files: int, seed: int, out: Path, start: int = 0, onward_too: bool = False
) -> dict[str, Any]:
    """Runs it; gives the figures."""
    outcomes: Counter[str] = Counter()
    codes: Counter[str] = Counter()
    faults: Counter[str] = Counter()
    slowest = peak = total = 0.0
    number, end = start, start + files
    began = time.perf_counter()
    context = mp.get_context("spawn")
    while number < end:
        mine, theirs = context.Pipe(duplex=False)
        worker = context.Process(
            target=child, args=(name, seed, range(number, end), theirs, onward_too)
        )
        worker.start()
        theirs.close()
        running = None
        while True:
            try:
                if not mine.poll(90.0 if running is not None else 300.0):
                    raise TimeoutError
                at, result = mine.recv()
            except (EOFError, TimeoutError, OSError):
                worker.kill()
                worker.join()
                break
            if result is None:
                running = at
                continue
            verdict, taken, megabytes, data = result
            running, number = None, at + 1
            outcomes[verdict.outcome] += 1
            if verdict.code:
                codes[verdict.code] += 1
            slowest, peak, total = max(slowest, taken), max(peak, megabytes), total + taken
            if verdict.fault:
                _keep(out, name, verdict, data, faults)
            if number == end:
                break
        if running is not None:  # it died or hung in this file
            data = mutated(chance_of(seed, running), TARGETS[name].seeds(), TARGETS[name].words)
            _keep(out, name, Verdict("fault", "hung", "killed, or no end"), data, faults)
            outcomes["fault"] += 1
            number = running + 1
        worker.join()
    return {
        "reader": name, "files": files, "seed": seed, "start": start, **outcomes,
        "slowest s": round(slowest, 2), "peak MB": round(peak), "cpu s": round(total),
        "wall s": round(time.perf_counter() - began), "faults by place": dict(faults),
        "refused for": dict(codes.most_common(12)),
    }  # fmt: skip


def _keep(out: Path, name: str, verdict: Verdict, data: bytes, faults: Counter[str]) -> None:
    """One file for each place of a fault, the smallest."""
    place = verdict.detail.strip().splitlines()[-1][:100] if verdict.detail else verdict.code
    lines = [x for x in verdict.detail.splitlines() if x.lstrip().startswith("File ")]
    key = hashlib.sha256(((lines[-1] if lines else place) + verdict.code).encode()).hexdigest()[:8]
    faults[f"{key} {verdict.code}: {place}"] += 1
    path = out / f"{name}-{key}{TARGETS[name].suffix}"
    if path.exists() and path.stat().st_size <= len(data):
        return
    out.mkdir(parents=True, exist_ok=True)
    path.write_bytes(data)
    path.with_suffix(".txt").write_text(f"{verdict.code}\n{verdict.detail}\n")


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("readers", nargs="+", choices=[*TARGETS, "all"])
    parser.add_argument("--files", type=int, default=100_000)
    parser.add_argument("--start", type=int, default=0)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument(
        "--onward", action="store_true", help="write and read back a share of what could be read"
    )
    parser.add_argument("--out", type=Path, default=Path("fuzz-out"))
    given = parser.parse_args()
    names = list(TARGETS) if "all" in given.readers else given.readers
    for name in names:
        figures = campaign(name, given.files, given.seed, given.out, given.start, given.onward)
        print(json.dumps(figures), flush=True)


if __name__ == "__main__":
    main()
