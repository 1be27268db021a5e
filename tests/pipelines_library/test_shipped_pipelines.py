"""Every pipeline that ships is prepared, run on the theatre's blouse by its name, and explained."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

from seamwright.pipeline import Pipeline
from seamwright.pipelines import shipped, text_of

#: These walk the blouse as it was drafted, whose cap holds too much, and leave that as it is.
WALKED_ONLY = {"check-a-nest", "lengthen-a-bodice", "make-whole", "true-all-seams"}


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
    wanted = 1 if name in WALKED_ONLY else 0
    assert done.returncode == wanted, done.stderr
    errors = [line for line in done.stderr.splitlines() if ": error: " in line]
    assert all("[seam.over]" in line and "sleeve to armhole" in line for line in errors)
    assert bool(errors) == (name in WALKED_ONLY)
    assert list(tmp_path.iterdir())


def test_an_unknown_name_is_a_missing_file(tmp_path: Path) -> None:
    done = subprocess.run(
        [sys.executable, "-m", "seamwright", "run", "no-such", "x.svg", "--out", str(tmp_path)],
        capture_output=True,
        text=True,
    )
    assert done.returncode == 2
    assert "no-such" in done.stderr


def test_the_command_lists_them_and_prints_one() -> None:
    def told(*words: str) -> subprocess.CompletedProcess[str]:
        return subprocess.run(
            [sys.executable, "-m", "seamwright", "pipelines", *words],
            capture_output=True,
            text=True,
        )

    listed = told()
    assert listed.returncode == 0
    for name, does in shipped().items():
        assert name in listed.stdout and does in listed.stdout
    one = told("true-all-seams")
    assert one.stdout.strip() == text_of("true-all-seams").strip()
    Pipeline.loads(one.stdout).prepare()
    wrong = told("true-all-seam")
    assert wrong.returncode == 2
    assert "true-all-seams" in wrong.stderr


def test_every_job_that_is_promised_has_one() -> None:
    assert set(shipped()) == {
        "add-allowances", "check-a-nest", "ease-a-sleeve", "larger-upper-arm",
        "lengthen-a-bodice", "make-whole", "true-all-seams",
    }  # fmt: skip
