"""What could not be read must not be missing in silence from the file that is written."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

HALF = (
    '<svg xmlns="http://www.w3.org/2000/svg" width="100mm" height="100mm" viewBox="0 0 100 100">'
    '<path id="q" d="M0 0 L10 10 foo 20 20z"/><rect x="20" y="20" width="30" height="30"/></svg>'
)


def convert(folder: Path, *words: str) -> subprocess.CompletedProcess[str]:
    (folder / "half.svg").write_text(HALF)
    return subprocess.run(
        [sys.executable, "-m", "seamwright", "convert", "half.svg", "out.json", *words],
        capture_output=True,
        text=True,
        cwd=folder,
    )


def test_half_a_drawing_is_not_written(tmp_path: Path) -> None:
    done = convert(tmp_path)
    assert done.returncode == 2
    assert "convert.incomplete" in done.stderr and "foo" in done.stderr
    assert not (tmp_path / "out.json").exists()


@pytest.mark.parametrize("word", ["--despite-errors", "--lenient"])
def test_unless_it_is_asked_for(tmp_path: Path, word: str) -> None:
    convert(tmp_path, word)
    assert (tmp_path / "out.json").exists()
