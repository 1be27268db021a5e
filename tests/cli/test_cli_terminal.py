"""On a terminal: drawn tables, and a bar for what lasts. Not on one: neither."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

pty = pytest.importorskip("pty", reason="a terminal can be played on Unix only")

SLOW = """
import sys, time
sys.path.insert(0, sys.argv[1])
import toys
from seamwright.plugins import registry as registries
from seamwright.plugins.api import ReadResult
def slow(source, options, ctx):
    time.sleep(float(sys.argv[2]))
    return ReadResult(pattern=toys.pattern())
made = toys.full_registry(read=slow)
registries.default = lambda: made
from seamwright.cli.main import main
main(sys.argv[3:])
"""


def command(seconds: float, *args: str) -> list[str]:
    return [sys.executable, "-c", SLOW, str(Path(__file__).parents[1]), str(seconds), *args]


def on_a_terminal(seconds: float, *args: str, **env: str) -> str:
    """What a person sees of a command, escape signs and all."""
    child, number = pty.fork()
    if child == 0:
        for name in ("CI", "NO_COLOR"):
            os.environ.pop(name, None)
        os.environ.update({"TERM": "xterm-256color", "COLUMNS": "100", **env})
        argv = command(seconds, *args)
        os.execv(argv[0], argv)
    seen = b""
    while True:
        try:
            more = os.read(number, 65536)
        except OSError:
            break
        if not more:
            break
        seen += more
    os.waitpid(child, 0)
    os.close(number)
    return seen.decode(errors="replace")


@pytest.fixture
def file(toys: Any, tmp_path: Path) -> str:
    return str(toys.save(tmp_path / "b.toy", toys.pattern()))


def test_a_long_job_shows_a_bar_and_a_short_one_none(file: str) -> None:
    assert "walking" in on_a_terminal(1.6, "check", file)
    quick = on_a_terminal(0, "check", file)
    assert "walking" not in quick
    assert "─" in quick  # the table is drawn
    assert "under" in quick
    assert "walking" not in on_a_terminal(1.6, "check", file, CI="1")


def test_without_a_terminal_all_is_plain(file: str) -> None:
    done = subprocess.run(command(1.2, "check", file), capture_output=True, text=True, check=False)
    assert done.returncode == 1
    assert "\x1b" not in done.stdout + done.stderr
    assert "─" not in done.stdout
    assert "walking" not in done.stderr


def test_json_on_a_terminal_is_one_document(file: str) -> None:
    import json

    document = json.loads(on_a_terminal(0, "check", file, "--json"))
    assert set(document) == {"seams", "findings", "summary"}


def test_a_reader_that_went_away_is_no_error(file: str) -> None:
    child = subprocess.Popen(
        command(0, "info", file, "--json"), stdout=subprocess.PIPE, stderr=subprocess.PIPE
    )
    assert child.stdout is not None and child.stderr is not None
    child.stdout.close()
    said = child.stderr.read().decode()
    child.stderr.close()
    child.wait()
    assert "Traceback" not in said
