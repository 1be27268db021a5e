"""Files that hang, eat memory, kill their worker or are no patterns, in the midst of good ones."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from importlib.resources import files
from pathlib import Path
from typing import Any

import jsonschema
import pytest

GOOD = 12


def valid(document: Any, name: str) -> None:
    schema = json.loads(files("seamwright.cli").joinpath(f"schemas/{name}.json").read_text())
    jsonschema.Draft202012Validator.check_schema(schema)
    jsonschema.validate(document, schema)


def test_every_good_one_is_done_and_every_bad_one_has_its_reason(house: Any) -> None:
    for i in range(GOOD):
        house.style(f"styles/{i % 3}/good-{i:02}.sty", "fits shout" if i == 5 else "fits")
    mark = house.folder / "died"
    house.style("styles/0/aaa-hang.sty", "hang")
    house.style("styles/0/eat.sty", "eat")
    house.style("styles/1/die.sty", "die")
    house.style("styles/1/once.sty", "fits die-once", str(mark))
    house.style("styles/2/raise.sty", "raise")
    house.style("styles/2/bad.sty", "bad")
    below = house.folder / "styles"
    (below / "2" / "noise.sty").write_bytes(b"\x00\x01 nothing")
    (below / "2" / "empty.sty").write_bytes(b"")
    (below / "2" / "dangling.sty").symlink_to(below / "nowhere.sty")
    (below / "2" / "folder.sty").mkdir()
    os.mkfifo(below / "2" / "pipe.sty")
    (below / "1" / "loop").symlink_to(below, target_is_directory=True)
    (below / "1" / "again.sty").symlink_to(below / "1" / "good-01.sty")
    (below / "readme.txt").write_text("not a style")

    bounds = ("--timeout", "4", "--memory", "300MB", "--workers", "2")
    said = house("check", "styles", *bounds, "--json", "--log", "log.jsonl")
    document = said.json
    valid(document, "check")
    status = {Path(row["style"]).stem: row["status"] for row in document["styles"]}
    good = {f"good-{i:02}" for i in range(GOOD)} | {"once"}
    # good-01 is reached by two names, and looked at once.
    good = (good - {"good-01"}) | {"again"}
    assert {name for name, what in status.items() if what == "done"} == good
    assert {name: what for name, what in status.items() if what != "done"} == {
        "aaa-hang": "timed out",
        "eat": "out of memory",
        "die": "worker died",
        "raise": "failed",
        "bad": "failed",
        "noise": "failed",
        "empty": "failed",
        "dangling": "failed",
        "folder": "failed",
        "pipe": "failed",
    }
    assert all(row["reason"] for row in document["styles"] if row["status"] != "done")
    codes = {f["code"] for f in document["findings"]}
    assert codes >= {
        "batch.timed-out", "batch.out-of-memory", "batch.worker-died", "plugin.raised",
        "toy.broken", "format.unknown", "file.empty", "file.missing", "file.is-folder",
        "file.not-regular", "batch.link-loop", "batch.same-file", "batch.left-out",
    }  # fmt: skip
    assert said.status == 2
    assert f"{GOOD + 1} of {GOOD + 11} styles done" in said.err
    assert "a plugin that prints" in said.err  # and not in the document
    assert "Traceback" not in said.err and "\r" not in said.err and "\x1b" not in said.err

    events = house.log()
    assert events[0]["event"] == "begin" and events[-1]["event"] == "end"
    retried = sorted(Path(e["style"]).stem for e in events if e["event"] == "retry")
    assert retried == ["die", "once"]
    assert {Path(e["style"]).stem: e["tries"] for e in events if e["event"] == "done"}["once"] == 2

    # A second run touches what was not done, and nothing else.
    for name in ("0/aaa-hang", "0/eat", "1/die"):
        house.style(f"styles/{name}.sty")
    again = house("check", "styles", *bounds, "--json", "--log", "second.jsonl")
    events = house.log("second.jsonl")
    kept = {Path(e["style"]).stem for e in events if e["event"] == "kept"}
    assert kept == good
    assert {Path(e["style"]).stem for e in events if e["event"] == "done"} == set(status) - good
    assert sum(row["status"] == "done" for row in again.json["styles"]) == GOOD + 4


def test_the_first_failure_ends_it_where_that_was_asked_for(house: Any) -> None:
    house.style("a.sty", "bad")
    for i in range(5):
        house.style(f"b{i}.sty")
    said = house("check", ".", "--executor", "here", "--fail-fast", "--json")
    assert said.status == 2
    assert [row["style"] for row in said.json["styles"]] == ["a.sty"]
    assert said.json["summary"]["stopped"] == "fail-fast"
    assert "5 not begun" in said.err


@pytest.mark.parametrize(
    "env", [{}, {"CI": "1"}, {"FORCE_COLOR": "1", "CI": "1"}, {"TERM": "dumb"}]
)
def test_nothing_overwrites_itself_in_a_log(house: Any, env: dict[str, str]) -> None:
    for i in range(3):
        house.style(f"s{i}.sty", "slow fits")
    said = house("check", ".", "--executor", "here", "--json", **env)
    assert said.status == 0 and len(said.json["seams"]) == 9
    assert "\r" not in said.err and "\x1b" not in said.err


RECYCLED = """
import sys
from pathlib import Path
from seamwright.batch.engine import run_batch
from seamwright.batch.executors import pool
from seamwright.batch.executors.base import Bounds
from seamwright.batch.job import Job, Task

if __name__ == "__main__":
    pool._JOBS = 2
    begun = []
    start = pool._Lane._start
    pool._Lane._start = lambda lane: (begun.append(1), start(lane))[1]
    names = sorted(p.name for p in Path().glob("*.sty"))
    jobs = [Job(style=n, file=n, path=str(Path(n).absolute())) for n in names]
    batch = run_batch(Task(kind="check"), jobs, pool.Pool(2, Bounds(timeout=60)))
    print(len(begun), [head.status.value for head in batch.heads], batch.whole)
"""


def test_a_worker_that_did_its_share_makes_room_for_a_fresh_one(house: Any) -> None:
    for i in range(9):
        house.style(f"s{i}.sty")
    (house.folder / "recycled.py").write_text(RECYCLED)
    done = subprocess.run(
        [sys.executable, "recycled.py"], cwd=house.folder, env=house.env, capture_output=True,
        text=True, timeout=100, check=False,
    )  # fmt: skip
    begun, _, told = done.stdout.partition(" ")
    assert told == f"{['done'] * 9} True\n", done.stderr
    assert int(begun) >= 5  # nine styles, two to a worker
