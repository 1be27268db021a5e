"""A full disk, and a process killed anywhere: the old file is whole, and nothing stray stays."""

from __future__ import annotations

import os
import resource
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

DRAWING = (
    '<svg xmlns="http://www.w3.org/2000/svg" width="600mm" height="600mm" viewBox="0 0 600 600">'
    '<g id="Front"><path class="cut line" d="M10,10h300v200c-80,40 -150,-30 -300,0z"/></g></svg>'
)
SUFFIXES = ("svg", "svgz", "dxf", "json", "pdf", "plt")


def child(folder: Path, code: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-c", code], cwd=folder, text=True, capture_output=True, check=False
    )


@pytest.mark.skipif(
    not hasattr(resource, "RLIMIT_FSIZE"), reason="this system knows no bound on the size of files"
)
def test_no_room_for_the_file(seamwright: Any) -> None:
    """A bound on the size of files stands for a full disk: every write fails after 100 bytes."""
    seamwright.put("a.svg", DRAWING)
    old = {s: seamwright.put(f"b.{s}", "the old file") for s in SUFFIXES}
    done = child(
        seamwright.folder,
        "import resource, signal, sys\n"
        "from seamwright.cli.main import status_of\n"
        "signal.signal(signal.SIGXFSZ, signal.SIG_IGN)\n"
        "resource.setrlimit(resource.RLIMIT_FSIZE, (100, 100))\n"
        "sys.exit(any(status_of(['convert', 'a.svg', 'b.' + s, '--overwrite']) != 2\n"
        f"             for s in {SUFFIXES!r}))",
    )
    assert done.returncode == 0, done.stderr
    assert done.stderr.count("cannot be written") == len(SUFFIXES)
    assert "Traceback" not in done.stderr
    for path in old.values():
        assert path.read_text() == "the old file"
    names = {p.name for p in seamwright.folder.iterdir()}
    assert names == {"a.svg", *(p.name for p in old.values())}


@pytest.fixture
def small_disk(tmp_path: Path) -> Iterator[Path]:
    """A file system of 64 KiB."""
    place = tmp_path / "disk"
    place.mkdir()
    mounted = subprocess.run(
        ["mount", "-t", "tmpfs", "-o", "size=64k", "tmpfs", str(place)],
        check=False, capture_output=True,
    )  # fmt: skip
    if mounted.returncode:
        pytest.skip("no right to mount a small disk here")
    yield place
    subprocess.run(["umount", str(place)], check=True)


def test_a_disk_that_is_full(seamwright: Any, small_disk: Path) -> None:
    seamwright.put("a.svg", DRAWING)
    assert seamwright("convert", "a.svg", small_disk / "b.dxf").status == 0
    before = (small_disk / "b.dxf").read_bytes()
    room = os.statvfs(small_disk)
    (small_disk / "ballast").write_bytes(b"x" * (room.f_bavail * room.f_bsize))
    told = seamwright("convert", "a.svg", small_disk / "b.dxf", "--overwrite", "--json")
    assert told.status == 2
    assert "room" in told.one("file.unwritable")["hint"]
    assert (small_disk / "b.dxf").read_bytes() == before
    assert {p.name for p in small_disk.iterdir()} == {"b.dxf", "ballast"}


@pytest.mark.parametrize("moment", ["write", "fsync", "replace"])
@pytest.mark.parametrize("suffix", ["dxf", "pdf", "plt"])
def test_killed_at_any_moment(seamwright: Any, moment: str, suffix: str) -> None:
    """Before the rename the old file stands whole; the next run clears the table."""
    seamwright.put("a.svg", DRAWING)
    old = seamwright.put(f"b.{suffix}", "the old file")
    kill = "lambda *_: os.kill(os.getpid(), signal.SIGKILL)"
    how = {
        "write": f"os.fdopen = {kill}",
        "fsync": f"os.fsync = {kill}",
        "replace": f"pathlib.Path.replace = {kill}",
    }[moment]
    done = child(
        seamwright.folder,
        "import os, pathlib, signal; from seamwright.cli.main import status_of\n"
        f"{how}\nstatus_of(['convert', 'a.svg', 'b.{suffix}', '--overwrite'])",
    )
    assert done.returncode == -9
    assert old.read_text() == "the old file"
    assert seamwright("convert", "a.svg", f"b.{suffix}", "--overwrite").status == 0
    assert {p.name for p in seamwright.folder.iterdir()} == {"a.svg", f"b.{suffix}"}
    assert old.read_bytes() != b"the old file"
