"""What is kept: by key, whole or not at all, within its cap, by several at once."""

from __future__ import annotations

import sqlite3
import threading
import zlib
from pathlib import Path
from typing import Any

import pytest

from seamwright.batch.job import Job, Task
from seamwright.batch.keys import Keys
from seamwright.batch.rows import (
    COLUMNS,
    Head,
    JobResult,
    SeamRow,
    Status,
    head_of,
    packed,
    packed_head,
    table,
    unpacked,
)
from seamwright.batch.spool import Spool
from seamwright.batch.store import Store
from seamwright.findings import Finding, Severity
from seamwright.house import load_house


def result(name: str = "a", size: int = 1) -> JobResult:
    row = {"name": "side", "size": "M", "sew_length": 10.5, "to_length": 10.0, "ease": 0.5,
           "at_least": 0.0, "at_most": 0.25, "verdict": "over"}  # fmt: skip
    finding = Finding(
        code="seam.over", severity=Severity.ERROR, message="x" * size, related=((1.0, 2.0),)
    )
    return JobResult(
        style=name, file=name, status=Status.DONE, findings=(finding,),
        seams=(SeamRow.of(name, name, row),), sizes=("M",), looked_at=1, worst="error",
    )  # fmt: skip


def parts(result: JobResult) -> tuple[bytes, bytes]:
    return packed_head(head_of(result)), zlib.compress(packed(result))


def test_results_are_plain_rows() -> None:
    one = result()
    assert unpacked(packed(one)) == one
    head = head_of(one)
    assert (head.errors, head.out_of_range, head.beyond, head.seams) == (1, 1, 0.25, 1)
    assert [tuple(getattr(row, c) for c in COLUMNS) for row in table([one])] == [
        ("a", "a", "side", "M", 10.5, 10.0, 0.5, 0.0, 0.25, 0.25, "over")
    ]
    unjudged = SeamRow.of("a", "a", {"name": "s", "size": "M", "sew_length": 1, "to_length": 2,
                                     "ease": -1})  # fmt: skip
    assert (unjudged.verdict, unjudged.beyond, unjudged.at_most) == ("not judged", 0.0, None)


def test_worst_styles_come_first() -> None:
    heads = [
        Head(style="ok", file="", status=Status.DONE, looked_at=1),
        Head(style="out", file="", status=Status.DONE, looked_at=1, errors=1, beyond=2.0),
        Head(style="far", file="", status=Status.DONE, looked_at=1, errors=1, beyond=3.0),
        Head(style="unseen", file="", status=Status.DONE),
        Head(style="lost", file="", status=Status.FAILED),
    ]
    assert [h.style for h in sorted(heads, key=lambda h: h.badness)] == [
        "lost", "unseen", "far", "out", "ok",
    ]  # fmt: skip


def test_what_was_put_is_there_for_the_next(tmp_path: Path) -> None:
    store = Store(tmp_path / "deep" / "cache")
    assert store.get("k") is None
    store.put("k", *parts(result()))
    store.writes({"/out/a": "1234"})
    store.close()
    again = Store(tmp_path / "deep" / "cache")
    found = again.get("k")
    assert found is not None
    assert found[0] == head_of(result()) and unpacked(zlib.decompress(found[1])) == result()
    assert again.written_at("/out/a") == "1234" and again.written_at("/out/b") is None
    assert again.findings == []


def test_the_longest_unused_goes_first(tmp_path: Path) -> None:
    import random

    noise = [random.Random(i).randbytes(1000).hex() for i in range(10)]
    store = Store(tmp_path, cap=8000)
    for i in range(10):
        one = result(noise[i])
        store.put(f"k{i}", *parts(one))
    assert store.get("k0") is not None  # used again
    store.close()
    again = Store(tmp_path, cap=8000)
    left = [i for i in range(10) if again.get(f"k{i}") is not None]
    assert again.size() <= 8000 and left[0] == 0 and left[1:] == list(range(11 - len(left), 10))


def test_a_damaged_store_is_put_aside(tmp_path: Path) -> None:
    (tmp_path / "results.sqlite").write_bytes(b"this is no database, " * 1000)
    store = Store(tmp_path)
    assert [f.code for f in store.findings] == ["cache.damaged"]
    store.put("k", *parts(result()))
    assert store.get("k") is not None
    assert len(list(tmp_path.glob("results.damaged-*"))) == 1


def test_a_row_that_was_spoilt_is_made_anew(tmp_path: Path) -> None:
    store = Store(tmp_path)
    head, body = parts(result())
    store.put("k", head, body[:-3])
    store.put("l", head[:-3], body)
    assert store.get("k") is None and store.get("l") is None


def test_without_a_folder_it_goes_on_without(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("in the way")
    store = Store(tmp_path / "file" / "cache")
    store.put("k", *parts(result()))
    assert store.get("k") is None
    assert [f.code for f in store.findings] == ["cache.unusable"]
    store.close()


def test_several_write_at_once(tmp_path: Path) -> None:
    stores: list[Store] = []

    def write(who: int) -> None:
        store = Store(tmp_path)
        stores.append(store)
        for i in range(40):
            store.put(f"{who}-{i}", *parts(result(f"{who}-{i}")))
        store.close()

    threads = [threading.Thread(target=write, args=(i,)) for i in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert [f for s in stores for f in s.findings] == []
    with sqlite3.connect(tmp_path / "results.sqlite") as db:
        assert db.execute("SELECT count(*) FROM results").fetchone() == (160,)
        assert db.execute("PRAGMA journal_mode").fetchone() == ("wal",)


def test_several_open_a_new_store_at_once(tmp_path: Path) -> None:
    """Two that turn a new file to WAL in the same moment: SQLite tells one of them at once that it
    is locked, whatever its patience. It takes chance to meet (one round in twenty), so many
    rounds."""
    lost: list[Any] = []
    for number in range(80):
        gate = threading.Barrier(8)

        def begin(folder: Path, gate: threading.Barrier) -> None:
            gate.wait()
            store = Store(folder)
            lost.extend(store.findings)
            store.close()

        about = (tmp_path / str(number), gate)
        threads = [threading.Thread(target=begin, args=about) for _ in range(8)]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()
    assert lost == []


def test_a_spool_gives_results_in_order_whenever_they_came() -> None:
    spool = Spool()
    for i in (3, 0, 2):
        spool.put(i, zlib.compress(packed(result(f"s{i}"))))
    spool.put(2, zlib.compress(packed(result("better"))))
    assert [r.style for r in spool] == ["s0", "better", "s3"]
    assert len(spool) == 3
    spool.close()


@pytest.fixture
def keyed(tmp_path: Path, toys: Any) -> Any:
    """Makes the key of a job over a.toy, with changes."""
    (tmp_path / "a.toy").write_text("content")
    (tmp_path / "p.toml").write_text("plan")
    made = toys.registry(toys.toy_format(beside=(".rul",)))

    def key(task: dict[str, Any] | None = None, **job: Any) -> str | None:
        keys = Keys(Task(kind="check", **(task or {})), made)
        about = {"style": "a", "file": "a.toy", "path": str(tmp_path / "a.toy"), **job}
        found = keys.of(Job(**about))
        return None if found is None else found[0]

    return key


def test_a_key_changes_with_all_that_a_result_depends_on(keyed: Any, tmp_path: Path) -> None:
    plan = str(tmp_path / "p.toml")
    keys = [
        keyed(),
        keyed(plan=plan),
        keyed(task={"units": "in"}),
        keyed(task={"step": {"a": "1"}}),
    ]
    keys.append(keyed(pipeline="x", pipeline_name="y"))
    assert keyed() == keys[0]
    assert keyed(stage="elsewhere") == keys[0]  # where it is done is no matter
    (tmp_path / "p.toml").write_text("plan, changed")
    keys.append(keyed(plan=plan))
    keys.append(keyed(task={"house": load_house("seamwright-house = 1", "h")}))
    for name in ("a.rul", "A.RUL.gz", "a.plan.toml", "a.house.toml"):
        (tmp_path / name).write_text("beside")
        keys.append(keyed())
    (tmp_path / "a.rul").write_text("beside, changed")
    keys.append(keyed())
    (tmp_path / "a.toy").write_text("content, changed")
    keys.append(keyed())
    (tmp_path / "other.rul").write_text("of no concern")
    assert keyed() == keys[-1]
    keys.remove(keys[8])  # A.RUL.gz is beside no a.toy
    assert len(set(keys)) == len(keys)


def test_what_cannot_be_read_has_no_key(keyed: Any, tmp_path: Path) -> None:
    assert keyed(path=str(tmp_path / "nothing.toy")) is None
    assert keyed(path=str(tmp_path)) is None
