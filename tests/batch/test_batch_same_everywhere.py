"""In this process, in workers, on a cluster: the same document, byte for byte."""

from __future__ import annotations

from typing import Any

import pytest

CLUSTER = "a cluster needs the extra seamwright[cluster]; .ci/run has it"


def test_three_executors_one_result(house: Any) -> None:
    pytest.importorskip("distributed", reason=CLUSTER)
    for i in range(14):
        house.style(f"styles/s{i:02}.sty", ("fits", "", "bad", "raise")[i % 4])
    here = house("check", "styles", "--executor", "here", "--no-cache", "--json")
    pool = house("check", "styles", "--executor", "pool", "--no-cache", "--json")
    assert len(here.json["styles"]) == 14
    assert sum(row["status"] == "done" for row in here.json["styles"]) == 8
    assert (pool.status, pool.out) == (here.status, here.out) == (2, here.out)

    # A worker of the cluster that is lost in the middle costs time and nothing else.
    for i in (3, 9):
        mark = house.folder / f"mark-{i}"
        house.style(f"styles/s{i:02}.sty", "fits die-once", str(mark))
        mark.touch()
    sound = house("check", "styles", "--executor", "here", "--no-cache", "--json")
    for i in (3, 9):
        (house.folder / f"mark-{i}").unlink()
    lost = house(
        "check", "styles", "--executor", "dask", "--workers", "2", "--no-cache", "--json"
    )  # fmt: skip
    assert all((house.folder / f"mark-{i}").exists() for i in (3, 9))
    assert (lost.status, lost.out) == (sound.status, sound.out)


def test_what_hangs_on_a_cluster_is_ended(house: Any) -> None:
    pytest.importorskip("distributed", reason=CLUSTER)
    house.style("a.sty", "hang")
    for i in range(6):
        house.style(f"b{i}.sty")
    said = house(
        "check", ".", "--cluster", "local", "--workers", "2", "--timeout", "5", "--json"
    )  # fmt: skip
    rows = {row["style"]: row["status"] for row in said.json["styles"]}
    assert rows == {"a.sty": "timed out", **{f"b{i}.sty": "done" for i in range(6)}}


def test_a_cluster_that_is_not_there_is_one_clear_error(house: Any) -> None:
    pytest.importorskip("distributed", reason=CLUSTER)
    house.style("a.sty")
    said = house("check", ".", "--cluster", "nonsense:0", "--json")
    assert said.status == 2
    assert [f["code"] for f in said.json["findings"]] == ["batch.no-cluster"]
    assert "Traceback" not in said.err
