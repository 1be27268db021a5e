"""`--watch`: a save is answered, what the command writes itself is not, ^C ends with the status."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from seamwright.cli.main import status_of

PATIENCE = 120.0  # a busy machine takes long to start a program


class Watching:
    """The program in a process of its own, its words in a file."""

    def __init__(self, folder: Path, *args: str) -> None:
        self.words = folder / "words.txt"
        self.out = self.words.open("wb")
        self.process = subprocess.Popen(
            [sys.executable, "-m", "seamwright", *args],
            cwd=folder, stdout=self.out, stderr=subprocess.STDOUT,
            # A shell starts what runs behind it with ^C ignored, which children inherit.
            preexec_fn=lambda: signal.signal(signal.SIGINT, signal.default_int_handler),
        )  # fmt: skip

    def times(self, count: int) -> str:
        """What was said once it was done `count` times."""
        end = time.monotonic() + PATIENCE
        while time.monotonic() < end:
            said = self.words.read_text(errors="replace")
            if said.count("waiting for a change") >= count:
                return said
            if self.process.poll() is not None:
                break
            time.sleep(0.05)
        raise AssertionError(f"not done {count} times:\n{self.words.read_text(errors='replace')}")

    def __enter__(self) -> Watching:
        return self

    def __exit__(self, *error: object) -> None:
        self.process.kill()
        self.process.wait()
        self.out.close()

    def end(self) -> int:
        self.process.send_signal(signal.SIGINT)
        return self.process.wait(PATIENCE)


@pytest.fixture
def demo(tmp_path: Path) -> Path:
    assert status_of(["demo", str(tmp_path / "d")]) in (0, 1)
    return tmp_path


def test_a_check_answers_a_save_and_a_new_plan(demo: Path) -> None:
    file, plan = demo / "d" / "chorus-blouse.svg", demo / "d" / "chorus-blouse.plan.toml"
    with Watching(demo, "check", str(file), "--watch") as watching:
        assert "out of range" in watching.times(1)
        text = file.read_text(encoding="utf-8")
        part = file.with_name("part")
        part.write_text(text + "\n", encoding="utf-8")
        part.replace(file)  # as editors save
        watching.times(2)
        plan.write_text("this is not TOML")
        assert "plan.syntax" in watching.times(3)
        file.write_text("junk")
        watching.times(4)
        time.sleep(0.6)
        assert watching.words.read_text(errors="replace").count("waiting") == 4
        assert watching.end() == 2


def test_a_run_refreshes_its_report_and_does_not_answer_itself(demo: Path) -> None:
    file, out = demo / "d" / "chorus-blouse.svg", demo / "d"
    pipeline = demo / "p.toml"
    pipeline.write_text('seamwright = 1\n[[step]]\nuse = "walk"\n[[step]]\nuse = "report"\n'
                        'to = "{stem}.html"\n')  # fmt: skip
    with Watching(demo, "run", str(pipeline), str(file), "--out", str(out), "--watch") as watching:
        watching.times(1)
        report = out / "chorus-blouse.html"
        first = report.stat().st_mtime_ns
        time.sleep(0.6)
        assert watching.words.read_text(errors="replace").count("waiting") == 1
        os.utime(file)
        watching.times(2)
        assert report.stat().st_mtime_ns > first
        assert watching.end() in (0, 1)


def test_one_document_is_no_watch(demo: Path) -> None:
    assert status_of(["check", str(demo / "d" / "chorus-blouse.svg"), "--watch", "--json"]) == 2
