"""Every command and snippet of README.md and DEVELOPERS.md, run as it stands there."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from pathlib import Path

import pytest

from seamwright.pipeline import Pipeline
from seamwright.plan import load_plan

ROOT = Path(__file__).resolve().parents[2]
README = (ROOT / "README.md").read_text(encoding="utf-8")
DEVELOPERS = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")


def blocks(text: str, language: str) -> list[str]:
    return re.findall(rf"^```{language}\n(.*?)^```", text, flags=re.MULTILINE | re.DOTALL)


def commands() -> list[str]:
    """What a reader types, in order: without the set-up, and without the tests themselves."""
    out = []
    for block in blocks(README, "sh"):
        for line in block.replace("\\\n", " ").splitlines():
            last = line.rpartition("&&")[2].strip().replace(".venv/bin/", "")
            if last and not last.startswith(("#", "pytest")):
                out.append(last)
    return out


def test_the_tour_can_be_walked(tmp_path: Path) -> None:
    if sys.platform == "win32":
        pytest.skip("the tour is written for a Unix shell")
    path = os.pathsep.join([str(Path(sys.executable).parent), os.environ["PATH"]])
    env = {**os.environ, "PATH": path, "CI": "1"}
    assert commands()[0].startswith("seamwright demo")
    for line in commands():
        done = subprocess.run(
            line, shell=True, cwd=tmp_path, env=env, capture_output=True, text=True, check=False
        )
        # 1 is "something was found"; the tour shows a blouse that needs work.
        assert done.returncode in (0, 1), f"{line}\n{done.stdout}\n{done.stderr}"
        assert "Traceback" not in done.stderr
    for snippet in blocks(README, "python"):
        done = subprocess.run(
            [sys.executable, "-c", snippet], cwd=tmp_path, env=env, capture_output=True, text=True,
            check=False,
        )  # fmt: skip
        assert done.returncode == 0, f"{snippet}\n{done.stderr}"


def test_toml_in_the_documents_can_be_loaded() -> None:
    found = [*blocks(README, "toml"), *blocks(DEVELOPERS, "toml")]
    assert found
    for block in found:
        if "[[step]]" in block:
            Pipeline.loads(block).prepare()
        elif "[[seam]]" in block:
            assert load_plan(block.encode(), "README.md").seams


def test_python_for_authors_runs() -> None:
    for snippet in blocks(DEVELOPERS, "python"):
        done = subprocess.run(
            [sys.executable, "-c", snippet], capture_output=True, text=True, check=False
        )
        assert done.returncode == 0, f"{snippet}\n{done.stderr}"


def test_pictures_and_files_that_are_spoken_of_are_there() -> None:
    for text in (README, DEVELOPERS):
        for target in re.findall(r"\]\(([^)#]+)\)", text):
            if not target.startswith(("http://", "https://")):
                assert (ROOT / target).exists(), target
    for name in re.findall(r"`benchmarks/(\w+\.py)`", DEVELOPERS):
        assert (ROOT / "benchmarks" / name).exists(), name
