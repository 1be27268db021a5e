"""A run that is stopped, politely or not, goes on from what was done."""

from __future__ import annotations

import os
import random
import signal
import time
from pathlib import Path
from typing import Any

import pytest

STYLES = 10
PIPELINE = """\
seamwright = 1
[[step]]
use = "walk"
[[step]]
use = "nudge"
by = 2
[[step]]
use = "walk"
[[step]]
use = "write"
to = "{stem}-moved.toy"
read-back = false
[[step]]
use = "report"
to = "reports/{stem}.words"
"""


def files_of(folder: Path) -> dict[str, bytes]:
    return {
        str(p.relative_to(folder)): p.read_bytes() for p in sorted(folder.rglob("*")) if p.is_file()
    }


def test_killed_again_and_again_the_end_is_the_same(house: Any) -> None:
    (house.folder / "moved.toml").write_text(PIPELINE)
    for i in range(STYLES):
        house.style(f"styles/{i % 2}/s{i}.sty", "slow fits")
    run = ("run", "moved.toml", "styles", "--workers", "2", "--json", "--out")
    whole = house(*run, "whole", "--no-cache")
    assert whole.status == 0
    chance = random.Random(7)
    kills = 0
    for _ in range(4):
        child = house.start(*run, "out")
        time.sleep(chance.uniform(0.9, 2.0))
        if child.poll() is None:
            os.kill(child.pid, signal.SIGKILL)
            kills += 1
        child.wait()
        for path in (house.folder / "out").rglob("*.toy"):  # never half a file in its place
            if not path.is_relative_to(house.folder / "out") or ".seamwright" in str(path):
                continue
            assert (
                path.read_bytes()
                == (house.folder / "whole" / path.relative_to(house.folder / "out")).read_bytes()
            )
    assert kills
    last = house(*run, "out", "--log", "log.jsonl")
    assert (last.status, last.out) == (0, whole.out.replace("whole", "out"))
    assert files_of(house.folder / "out") == files_of(house.folder / "whole")
    again = house(*run, "out", "--log", "again.jsonl")
    assert again.out == last.out
    assert [e["event"] for e in house.log("again.jsonl")].count("kept") == STYLES


@pytest.mark.parametrize("sign", [signal.SIGINT, signal.SIGTERM])
def test_asked_to_stop_it_ends_soon_and_tells_what_was_done(house: Any, sign: int) -> None:
    for i in range(4):
        house.style(f"a{i}.sty", "fits")
    for i in range(4):
        house.style(f"b{i}.sty", "hang")
    child = house.start("check", ".", "--workers", "2", "--json", "--log", "log.jsonl")
    log = house.folder / "log.jsonl"
    for _ in range(300):
        if log.exists() and log.read_text().count('"event": "done"') >= 4:
            break
        time.sleep(0.05)
    start = time.monotonic()
    # A terminal sends it to all processes of the group at once.
    os.killpg(child.pid, sign)
    out, err = child.communicate(timeout=20)
    # Two seconds on a machine of one's own; workers that are busy with others answer later.
    assert time.monotonic() - start < 10.0
    assert child.returncode == 128 + sign
    assert "4 of 8 styles done" in err and "goes on from here" in err
    assert "Traceback" not in err
    import json

    assert [row["style"] for row in json.loads(out)["styles"]] == [f"a{i}.sty" for i in range(4)]
    for i in range(4):
        house.style(f"b{i}.sty", "fits")
    said = house("check", ".", "--executor", "here", "--log", "second.jsonl")
    assert said.status == 0
    assert "8 of 8 styles done, 4 of them as they were done before" in said.err


def test_workers_do_not_outlive_their_parent(house: Any) -> None:
    for i in range(3):
        house.style(f"b{i}.sty", "hang")
    child = house.start("check", ".", "--workers", "2", "--log", "log.jsonl")
    deadline = time.monotonic() + 20
    while len(in_group(child.pid)) < 3 and time.monotonic() < deadline:
        time.sleep(0.05)
    time.sleep(0.5)
    os.kill(child.pid, signal.SIGKILL)
    child.wait()
    deadline = time.monotonic() + 10
    while in_group(child.pid) and time.monotonic() < deadline:
        time.sleep(0.05)
    assert in_group(child.pid) == []


def in_group(group: int) -> list[int]:
    """Living processes of a group."""
    found = []
    for entry in Path("/proc").iterdir():
        try:
            if entry.name.isdecimal() and os.getpgid(int(entry.name)) == group:
                state = (entry / "stat").read_text().rpartition(")")[2].split()[0]
                found += [int(entry.name)] if state != "Z" else []
        except (OSError, ProcessLookupError):
            continue
    return found
