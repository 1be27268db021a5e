"""Every pipeline that ships is prepared, run on the theatre's blouse by its name, and explained."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

from seamwright.pipeline import Pipeline
from seamwright.pipelines import shipped, text_of


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("library") / "demo"
    subprocess.run(
        [sys.executable, "-m", "seamwright", "demo", str(folder)], check=True, capture_output=True
    )
    return folder


@pytest.mark.parametrize("name", sorted(shipped()))
def test_it_says_what_it_does_and_runs(name: str, demo: Path, tmp_path: Path) -> None:
    assert len(shipped()[name]) > 30
    Pipeline.loads(text_of(name)).prepare()
    done = subprocess.run(
        [
            sys.executable, "-m", "seamwright", "run", name,
            str(demo / "chorus-blouse-one-size.svg"), "--out", str(tmp_path), "--fail-on", "error",
        ],
        capture_output=True,
        text=True,
    )  # fmt: skip
    wanted = 1 if name == "check-a-nest" else 0  # the drafted cap holds too much
    assert done.returncode == wanted, done.stderr
    assert list(tmp_path.iterdir())


def test_an_unknown_name_is_a_missing_file(tmp_path: Path) -> None:
    done = subprocess.run(
        [sys.executable, "-m", "seamwright", "run", "no-such", "x.svg", "--out", str(tmp_path)],
        capture_output=True,
        text=True,
    )
    assert done.returncode == 2
    assert "no-such" in done.stderr
