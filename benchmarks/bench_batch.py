"""Hundreds of styles in a batch: speed, memory, resuming, faults, executors; ratios in one run.

Styles of ten pieces in ten sizes are generated as DXF with plans (see styles.py). What is shown:

- throughput of the pool against cores x the rate of one process (goal: at least 0.85);
- a second run with nothing changed (goal: at least 50 times faster);
- the parent's peak memory (goal: under 300 MB), and its growth from a tenth of the styles on;
- killed at random 20 times in a run, the end equals an undisturbed run's;
- a Dask cluster on loopback gives the same document, also when a worker is killed in the middle;
- damaged, huge, unreadable and hanging files in the midst of good ones: every good one is done.

Run: python benchmarks/bench_batch.py [--styles 1000] [--folder DIR]. A run of 1,000 takes some
minutes; --styles 60 shows the same in about one. --only NAME,... picks parts.
"""

from __future__ import annotations

import argparse
import json
import os
import random
import resource
import shutil
import signal
import subprocess
import sys
import tempfile
import threading
import time
from pathlib import Path
from statistics import median
from typing import Any

from seamwright.batch import machine
from styles import write_styles  # type: ignore[import-not-found]  # beside this script

PARTS = ("speed", "whole", "again", "kills", "cluster", "faults")


class Bench:
    """A folder of styles, and commands run over it."""

    def __init__(self, folder: Path, count: int) -> None:
        self.folder, self.count = folder, count
        self.styles = folder / "styles"
        self.said: dict[str, Any] = {"styles": count, "cores": machine.cpus()}

    def make(self) -> None:
        """Generates the styles."""
        start = time.perf_counter()
        write_styles(self.styles, self.count)
        self.said["generating, s"] = round(time.perf_counter() - start, 1)
        size = sum(p.stat().st_size for p in self.styles.rglob("*.dxf"))
        self.said["MB of DXF"] = round(size / 1e6, 1)

    def start(
        self, *args: object, cache: str = "cache", env: dict[str, str] | None = None
    ) -> tuple[subprocess.Popen[bytes], Path]:
        """Begins `seamwright check --json`; its document goes to a file."""
        out = self.folder / f"out-{cache}.json"
        with out.open("wb") as file:
            child = subprocess.Popen(
                [sys.executable, "-m", "seamwright", "check", "--json", *map(str, args)],
                cwd=self.folder,
                env={**os.environ, "XDG_CACHE_HOME": str(self.folder / cache), **(env or {})},
                stdout=file,
                stderr=subprocess.DEVNULL,
                process_group=0,  # not a session: the system shares its cores out among those
            )
        return child, out

    def run(self, *args: object, cache: str = "cache") -> tuple[float, bytes, list[float]]:
        """Seconds, the document, and the parent's memory in MB over time."""
        start = time.perf_counter()
        child, out = self.start(*args, cache=cache)
        memory: list[float] = []
        while child.poll() is None:
            held = machine.resident(child.pid)
            memory += [held / 1e6] if held else []
            time.sleep(0.05)
        if child.returncode not in (0, 1, 2):
            raise RuntimeError(f"the run ended with {child.returncode}")
        return time.perf_counter() - start, out.read_bytes(), memory

    def speed(self) -> None:
        """The pool against as many lone processes as there are cores, each with its share of the
        same styles, all at once: what cores x the rate of one process comes to on this machine at
        that moment. One after the other, three times: medians."""
        cores = machine.cpus()
        share = min(self.count, max(40, self.count // 5))
        names = [str(p) for p in sorted(self.styles.rglob("*.dxf"))[:share]]
        lists = [f"share-{i}.txt" for i in range(cores)]
        for i, name in enumerate(lists):
            (self.folder / name).write_text("\n".join(names[i::cores]))
        (self.folder / "share.txt").write_text("\n".join(names))
        lone, pool, cpu = [], [], []
        for _ in range(3):
            start, before = time.perf_counter(), _cpu()
            alone = ("--executor", "here", "--no-cache")
            children = [
                self.start("--list", name, *alone, cache=f"lone-{i}")[0]
                for i, name in enumerate(lists)
            ]
            for child in children:
                child.wait()
            lone.append(share / (time.perf_counter() - start))
            between = _cpu()
            seconds, _document, _memory = self.run(
                "--list", "share.txt", "--executor", "pool", "--no-cache", cache="share"
            )
            pool.append(share / seconds)
            cpu.append((between - before) / (_cpu() - between))
        self.said |= {
            "single process, styles a second": round(median(lone) / cores, 2),
            "cores x single, styles a second": round(median(lone), 2),
            "pool, styles a second": round(median(pool), 2),
            "pool / (cores x single)": round(
                median(b / a for a, b in zip(lone, pool, strict=True)), 3
            ),
            "CPU time of these / of the pool": round(median(cpu), 3),
            "each time": [round(b / a, 3) for a, b in zip(lone, pool, strict=True)],
        }

    def whole(self) -> None:
        """All styles in the pool, with the parent's memory looked at."""
        seconds, document, memory = self.run("styles", "--executor", "pool")
        told = json.loads(document)
        if told["summary"]["done"] != told["summary"]["files"]:
            raise RuntimeError(f"not all were done: {told['summary']}")
        tenth = len(memory) // 10
        self.said |= {
            "seams in sizes walked": len(told["seams"]),
            "parent's peak, MB": round(max(memory), 1),
            "parent's growth from a tenth on, MB": round(
                max(memory[tenth:]) - max(memory[: tenth + 1]), 1
            ),
            "first run, s": round(seconds, 2),
        }
        self.document, self.first = document, seconds

    def again(self) -> None:
        """Nothing changed, then one style changed."""
        seconds, document, _ = self.run("styles")
        self.said["second run, s"] = round(seconds, 2)
        self.said["first / second"] = round(self.first / seconds, 1)
        self.said["second run the same"] = document == self.document
        one = sorted(self.styles.rglob("*.dxf"))[0]
        before = one.read_bytes()
        one.write_bytes(before + b"\n")
        log = self.folder / "changed.jsonl"
        self.run("styles", "--log", log)
        events = [json.loads(line) for line in log.read_text().splitlines()]
        one.write_bytes(before)
        log.unlink()
        self.said["done anew after one change"] = sum(e["event"] == "done" for e in events)

    def kills(self, times: int = 20) -> None:
        """Killed at random, begun again each time."""
        chance = random.Random(20)
        start = time.perf_counter()
        killed = 0
        for _ in range(times):
            child, _out = self.start("styles", cache="killed")
            try:
                child.wait(chance.uniform(0.5, 2 * self.first / times + 1.0))
            except subprocess.TimeoutExpired:
                os.kill(child.pid, signal.SIGKILL)
                killed += 1
                child.wait()
        _, document, _ = self.run("styles", cache="killed")
        self.said["killed"] = killed
        self.said["after kills the same"] = document == self.document
        self.said["with kills / without"] = round((time.perf_counter() - start) / self.first, 2)

    def cluster(self) -> None:
        """Dask on loopback; once more with a worker killed in the middle."""
        start, document, _ = self.run("styles", "--executor", "dask", "--no-cache")
        self.said["dask the same"] = document == self.document
        self.said["pool / dask, time"] = round(self.first / start, 2)
        child, out = self.start("styles", "--executor", "dask", cache="dask")
        killer = threading.Timer(max(5.0, start / 2), _kill_a_worker, (child.pid, self.said))
        killer.start()
        child.wait()
        killer.join()
        self.said["dask less a worker the same"] = out.read_bytes() == self.document

    def faults(self) -> None:
        """Bad files in the midst of good ones."""
        good = sorted(self.styles.rglob("*.dxf"))[:40]
        bad = self.folder / "bad"
        shutil.rmtree(bad, ignore_errors=True)
        for i, path in enumerate(good):
            below = bad / f"{i % 4}"
            below.mkdir(parents=True, exist_ok=True)
            plan = path.with_name(path.stem + ".plan.toml")
            shutil.copy(path, below)
            shutil.copy(plan, below)
        whole = good[0].read_bytes()
        (bad / "0" / "cut.dxf").write_bytes(whole[: len(whole) // 3])
        (bad / "0" / "empty.dxf").write_bytes(b"")
        (bad / "1" / "page.dxf").write_bytes(b"<html><body>not found</body></html>")
        (bad / "1" / "noise.svg").write_bytes(random.Random(1).randbytes(100_000))
        (bad / "2" / "gone.dxf").symlink_to(bad / "nowhere.dxf")
        (bad / "2" / "folder.dxf").mkdir()
        os.mkfifo(bad / "3" / "pipe.dxf")
        (bad / "3" / "loop").symlink_to(bad, target_is_directory=True)
        lines = "".join(
            f"0\nLINE\n8\n1\n10\n{i % 997}\n20\n{i % 991}\n11\n{i % 983}\n21\n{i % 977}\n"
            for i in range(600_000)
        )
        (bad / "3" / "huge.dxf").write_text(f"0\nSECTION\n2\nENTITIES\n{lines}0\nENDSEC\n0\nEOF\n")
        seconds, document, _ = self.run(
            "bad", "--timeout", "10", "--memory", "1GB", "--workers", "2", "--no-cache"
        )
        rows = {Path(r["style"]).name: r for r in json.loads(document)["styles"]}
        names = {path.name for path in good}
        self.said["good ones done among bad"] = (
            f"{sum(rows[n]['status'] == 'done' for n in names)} of {len(names)}"
        )
        self.said["bad ones"] = {
            name: f"{row['status']}: {row['reason'][:60]}"
            for name, row in rows.items()
            if name not in names
        }
        self.said["faults, s"] = round(seconds, 1)


def _cpu() -> float:
    """CPU seconds of all processes that were begun here and have ended."""
    used = resource.getrusage(resource.RUSAGE_CHILDREN)
    return used.ru_utime + used.ru_stime


def _kill_a_worker(group: int, said: dict[str, Any]) -> None:
    """Kills the worker of a cluster that takes most memory (it has work)."""
    found = []
    for entry in Path("/proc").iterdir():
        try:
            if entry.name.isdecimal() and os.getpgid(int(entry.name)) == group:
                line = (entry / "cmdline").read_bytes()
                if b"spawn_main" in line:
                    found.append((machine.resident(int(entry.name)) or 0, int(entry.name)))
        except (OSError, ProcessLookupError):
            continue
    if found:
        os.kill(max(found)[1], signal.SIGKILL)
    said["dask workers killed"] = int(bool(found))


def main() -> None:
    """Prints one JSON document."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("--styles", type=int, default=1000)
    parser.add_argument("--folder", type=Path)
    parser.add_argument("--only", default=",".join(PARTS), help=", ".join(PARTS))
    asked = parser.parse_args()
    with tempfile.TemporaryDirectory() as temporary:
        folder = asked.folder or Path(temporary)
        folder.mkdir(parents=True, exist_ok=True)
        for cache in ("cache", "killed", "dask"):
            shutil.rmtree(folder / cache, ignore_errors=True)
        bench = Bench(folder.absolute(), asked.styles)
        bench.make()
        for part in asked.only.split(","):
            getattr(bench, part)()
            print(part, "done", file=sys.stderr, flush=True)
    print(json.dumps(bench.said, indent=2))


if __name__ == "__main__":
    main()
