"""On a terminal a batch shows a bar: rate, time left, failures so far; and takes it away again."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from typing import Any

import pytest

pty = pytest.importorskip("pty", reason="a terminal can be played on Unix only")


def on_a_terminal(house: Any, *args: str, **env: str) -> str:
    """What a person sees of a command, escape signs and all."""
    ours, theirs = pty.openpty()
    child = subprocess.Popen(
        [sys.executable, "-m", "seamwright", *args],
        cwd=house.folder,
        env={**house.env, "TERM": "xterm-256color", "COLUMNS": "120", **env},
        stdout=subprocess.PIPE,
        stderr=theirs,
    )
    house.started.append(child)
    os.close(theirs)
    seen = b""
    while True:
        try:
            more = os.read(ours, 65536)
        except OSError:
            break
        if not more:
            break
        seen += more
    child.communicate(timeout=30)
    os.close(ours)
    return seen.decode(errors="replace")


def test_a_bar_with_rate_time_left_and_failures(house: Any) -> None:
    house.style("a.sty", "bad")
    for i in range(12):
        house.style(f"b{i:02}.sty", "slow fits")
    seen = on_a_terminal(house, "check", ".", "--executor", "here")
    assert re.search(r"1[0-3]/13", seen)
    assert re.search(r"[0-9.]+ a second", seen)
    assert re.search(r"[0-9]+ s left", seen)
    assert "1 not done" in seen
    assert seen.rstrip().endswith("12 of 13 styles done, 1 NOT DONE")
    quiet = on_a_terminal(house, "check", ".", "--executor", "here", "--no-cache", CI="1")
    assert "a second" not in quiet and "12 of 13 styles done" in quiet
