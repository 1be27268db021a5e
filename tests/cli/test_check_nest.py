"""`check` on several sizes: a matrix of seams by sizes, and sizes held against one another."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("nest") / "demo"
    subprocess.run(
        [sys.executable, "-m", "seamwright", "demo", str(folder)], check=True, capture_output=True
    )
    return folder


def check(*words: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-m", "seamwright", "check", *words], capture_output=True, text=True
    )


def test_a_nest_gives_a_matrix_and_its_own_findings(demo: Path) -> None:
    done = check(str(demo / "chorus-blouse.svg"))
    assert done.returncode == 1
    header = next(line for line in done.stdout.splitlines() if line.startswith("ease"))
    assert header.split() == ["ease", "A", "B", "C", "D", "E", "F", "G"]
    back = next(
        line
        for line in done.stdout.splitlines()
        if line.startswith("sleeve to armhole, back  ") and line.count("!") == 7
    )
    assert "29.72 mm !" in back
    found = json.loads(check(str(demo / "chorus-blouse.svg"), "--json").stdout)["findings"]
    drift = [f for f in found if f["code"] == "nest.ease-drift"]
    assert {f["seam"] for f in drift} == {"sleeve to armhole, back", "sleeve to armhole, front"}


def test_one_size_has_no_matrix(demo: Path) -> None:
    done = check(str(demo / "chorus-blouse-one-size.svg"))
    assert not any(line.startswith("ease ") for line in done.stdout.splitlines())
    assert "nest." not in done.stderr
