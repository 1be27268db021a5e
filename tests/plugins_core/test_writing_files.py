"""Bytes on disk: all or nothing, never over the input, the same every time."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from pathlib import Path
from typing import Any

import pytest

from seamwright.findings import SeamwrightError
from seamwright.plugins.api import Part, WriteResult
from seamwright.plugins.sink import put, same_file
from seamwright.plugins.writing import report_for, write, writer_for


def code_of(work: Any) -> str:
    with pytest.raises(SeamwrightError) as caught:
        work()
    assert caught.value.finding.hint
    return caught.value.finding.code


def names(folder: Path) -> list[str]:
    return sorted(p.name for p in folder.iterdir())


def test_bytes_land_where_they_belong(tmp_path: Path) -> None:
    put({tmp_path / "a.txt": b"one", tmp_path / "a.rul": b"two"})
    assert (tmp_path / "a.txt").read_bytes() == b"one"
    assert names(tmp_path) == ["a.rul", "a.txt"]


def test_what_is_there_stays_unless_told(tmp_path: Path) -> None:
    out = tmp_path / "a.txt"
    out.write_bytes(b"old")
    out.chmod(0o640)
    assert code_of(lambda: put({out: b"new"})) == "file.exists"
    assert out.read_bytes() == b"old"
    put({out: b"new"}, overwrite=True)
    assert out.read_bytes() == b"new"
    assert out.stat().st_mode & 0o777 == 0o640
    assert code_of(lambda: put({tmp_path: b"x"}, overwrite=True)) == "file.exists"
    assert code_of(lambda: put({tmp_path / "no" / "a": b"x"})) == "file.no-folder"


def test_one_refused_file_holds_back_all(tmp_path: Path) -> None:
    (tmp_path / "b").write_bytes(b"old")
    files = {tmp_path / "a": b"new", tmp_path / "b": b"new"}
    assert code_of(lambda: put(files)) == "file.exists"
    assert names(tmp_path) == ["b"]


@pytest.mark.parametrize("way", ["itself", "link", "hard link", "case", "roundabout"])
def test_the_input_is_never_written_over(tmp_path: Path, way: str) -> None:
    source = tmp_path / "Blouse.toy"
    source.write_bytes(b"precious")
    out = tmp_path / "other.toy"
    if way == "itself":
        out = source
    elif way == "link":
        out.symlink_to(source)
    elif way == "hard link":
        os.link(source, out)
    elif way == "case":
        out = tmp_path / "bLOUSE.TOY"
    else:
        (tmp_path / "sub").mkdir()
        out = tmp_path / "sub" / ".." / "Blouse.toy"
    assert same_file(out, source)
    assert code_of(lambda: put({out: b"x"}, overwrite=True, inputs=[source])) == "file.is-input"
    assert source.read_bytes() == b"precious"


def test_a_link_stays_a_link(tmp_path: Path) -> None:
    (tmp_path / "real").write_bytes(b"old")
    (tmp_path / "link").symlink_to(tmp_path / "real")
    put({tmp_path / "link": b"new"}, overwrite=True)
    assert (tmp_path / "link").is_symlink()
    assert (tmp_path / "real").read_bytes() == b"new"


def test_a_full_disk_leaves_everything_as_it_was(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "a").write_bytes(b"old")
    monkeypatch.setattr(os, "fsync", lambda _: (_ for _ in ()).throw(OSError(28, "no space")))
    assert code_of(lambda: put({tmp_path / "a": b"new"}, overwrite=True)) == "file.unwritable"
    assert (tmp_path / "a").read_bytes() == b"old"
    assert names(tmp_path) == ["a"]


KILLED = """
import os, sys, time
from pathlib import Path
from seamwright.plugins import sink
real = os.fsync
def slow(number):
    print("half way", flush=True)
    time.sleep(60)
os.fsync = slow
sink.put({Path(sys.argv[1]): b"new" * 1000}, overwrite=True)
"""


def test_a_kill_in_the_middle_leaves_the_old_file_and_the_next_run_sweeps(tmp_path: Path) -> None:
    out = tmp_path / "a"
    out.write_bytes(b"old")
    child = subprocess.Popen([sys.executable, "-c", KILLED, str(out)], stdout=subprocess.PIPE)
    assert child.stdout is not None
    assert child.stdout.readline() == b"half way\n"
    child.send_signal(signal.SIGKILL)
    child.wait()
    assert out.read_bytes() == b"old"
    assert len(names(tmp_path)) == 2
    put({tmp_path / "b": b"other"})
    assert names(tmp_path) == ["a", "b"]


def test_what_a_living_process_writes_is_not_swept(tmp_path: Path) -> None:
    child = subprocess.Popen(
        [sys.executable, "-c", KILLED, str(tmp_path / "a")], stdout=subprocess.PIPE
    )
    try:
        assert child.stdout is not None
        child.stdout.readline()
        put({tmp_path / "b": b"other"})
        assert len(names(tmp_path)) == 2
    finally:
        child.kill()
        child.wait()


def test_writing_and_reading_back(toys: Any, tmp_path: Path) -> None:
    pattern = toys.pattern()
    done = write(pattern, tmp_path / "x.toy", registry=toys.registry(toys.toy_format()))
    assert done.paths == (tmp_path / "x.toy",)
    assert [(f.code, f.measured) for f in done.findings] == [("readback.deviation", 0.0)]
    quiet = write(
        pattern,
        tmp_path / "y.toy",
        registry=toys.registry(toys.toy_format()),
        read_back=False,
    )
    assert quiet.findings == ()


def test_several_parts_go_side_by_side(toys: Any, tmp_path: Path) -> None:
    def two(pattern: Any, options: Any, ctx: Any) -> WriteResult:
        return WriteResult(parts=(Part(data=b"main"), Part(data=b"rules", suffix=".rul")))

    registry = toys.registry(toys.toy_format(run=two, reads=False))
    done = write(toys.pattern(), tmp_path / "x.toy", registry=registry)
    assert names(tmp_path) == ["x.rul", "x.toy"]
    assert [f.code for f in done.findings] == ["readback.none"]
    (tmp_path / "x.toy").unlink()
    assert code_of(lambda: write(toys.pattern(), tmp_path / "x.toy", registry=registry)) == (
        "file.exists"
    )
    assert names(tmp_path) == ["x.rul"]


def test_an_error_leaves_no_file(toys: Any, tmp_path: Path) -> None:
    def broken(*_: Any) -> WriteResult:
        raise ValueError("nan is not a number that a file can hold")

    registry = toys.registry(toys.toy_format(run=broken))
    assert code_of(lambda: write(toys.pattern(), tmp_path / "x.toy", registry=registry)) == (
        "plugin.raised"
    )
    assert names(tmp_path) == []


def test_which_format_is_written(toys: Any, tmp_path: Path) -> None:
    registry = toys.registry(
        toys.toy_format(),
        toys.toy_format("other", suffixes=(".oth",), can_write=False),
        toys.toy_format("twin", suffixes=(".two",)),
        toys.toy_format("twain", suffixes=(".two",)),
        toys.toy_report(),
    )
    assert writer_for(Path("x.TOY"), registry).full == "toys/toy"
    assert writer_for(Path("x.two"), registry, format="twin").full == "toys/twin"
    assert report_for(Path("x.words"), registry).full == "toys/words"
    assert code_of(lambda: writer_for(Path("x.two"), registry)) == "format.ambiguous"
    assert code_of(lambda: writer_for(Path("x.oth"), registry)) == "format.no-suffix"
    assert code_of(lambda: writer_for(Path("x"), registry)) == "format.no-suffix"
    assert code_of(lambda: writer_for(Path("x"), registry, format="other")) == "format.not-written"
    assert code_of(lambda: writer_for(Path("x"), registry, format="tyo")) == "name.unknown"


WRITE = """
import sys
from pathlib import Path
sys.path.insert(0, sys.argv[1])
import toys
from seamwright.plugins.api import Feature, Options, Part, WriteResult
from seamwright.plugins.writing import write
import json
from seamwright.plugins.features import used
def run(pattern, options, ctx):
    text = json.dumps({f: u.count for f, u in used(pattern).items()})
    return WriteResult(parts=(Part(data=text.encode()),))
registry = toys.registry(toys.toy_format(run=run, reads=False, carries={}))
done = write(toys.pattern(), Path(sys.argv[2]), registry=registry)
print([f.to_json() for f in done.findings])
"""


def test_hash_seed_and_clock_show_nowhere(tmp_path: Path) -> None:
    outs = []
    for seed, zone in (("1", "UTC"), ("4711", "Pacific/Auckland")):
        folder = tmp_path / seed
        folder.mkdir()
        done = subprocess.run(
            [sys.executable, "-c", WRITE, str(Path(__file__).parents[1]), "x.toy"],
            env={**os.environ, "PYTHONHASHSEED": seed, "TZ": zone},
            cwd=folder,
            capture_output=True,
            text=True,
            check=True,
        )
        outs.append((done.stdout, (folder / "x.toy").read_bytes()))
        time.sleep(0.01)
    assert outs[0] == outs[1]
    assert "loss.dropped" in outs[0][0]
