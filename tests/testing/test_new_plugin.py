"""`seamwright plugins new`: what it writes works as it stands."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner

from seamwright.cli.main import group
from seamwright.findings import SeamwrightError
from seamwright.testing.scaffold import HELP, Kind, new_plugin


def installed(home: Path, site: Path, name: str) -> dict[str, str]:
    """The environment in which the package in `home` is installed, without the network."""
    info = site / f"{name.replace('-', '_')}-0.1.0.dist-info"
    info.mkdir(parents=True)
    (info / "METADATA").write_text(f"Metadata-Version: 2.1\nName: {name}\nVersion: 0.1.0\n")
    package = name.replace("-", "_")
    (info / "entry_points.txt").write_text(f"[seamwright.plugins]\n{name} = {package}.plugin\n")
    path = os.pathsep.join([str(site), str(home / "src")])
    return {**os.environ, "PYTHONPATH": path}


@pytest.mark.parametrize("kind", sorted(HELP))
def test_the_new_package_passes_its_own_tests_and_the_linters(kind: Kind, tmp_path: Path) -> None:
    home, name = tmp_path / "home", f"house-{kind}"
    new_plugin(name, kind, home)
    env = installed(home, tmp_path / "site", name)
    run = [sys.executable, "-m", "pytest", "-q", "-x", "-p", "no:cacheprovider", "tests"]
    done = subprocess.run(run, cwd=home, env=env, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout + done.stderr
    rules = ["--isolated", "--line-length", "100", "--select", "E,F,W,B"]
    done = subprocess.run(
        [sys.executable, "-m", "ruff", "check", *rules, "src", "tests"],
        cwd=home, capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert done.returncode == 0, done.stdout + done.stderr
    done = subprocess.run(
        [sys.executable, "-m", "seamwright", "plugins", name, "--json"],
        env=env, cwd=tmp_path, capture_output=True, text=True, check=True,
    )  # fmt: skip
    assert json.loads(done.stdout)["found"][0]["name"] == name


def test_the_command_lists_the_files_it_wrote(tmp_path: Path) -> None:
    home = tmp_path / "home"
    args = ["plugins", "new", "house-mark", "--dir", str(home), "--json"]
    done: Any = CliRunner().invoke(group, args)
    told = json.loads(done.stdout)
    there = {p.relative_to(home).as_posix() for p in home.rglob("*") if p.is_file()}
    assert set(told["files"]) == there and "src/house_mark/plugin.py" in there


@pytest.mark.parametrize(
    "name", ["", "House", "a b", "../x", "class", "json", "-x", "x-", "seamwright", "ü", "1a"]
)
def test_names_that_cannot_be_are_refused(name: str, tmp_path: Path) -> None:
    with pytest.raises(SeamwrightError):
        new_plugin(name, "step", tmp_path / "home")
    assert not (tmp_path / "home").exists()


def test_a_name_that_is_taken_is_refused(tmp_path: Path) -> None:
    done = CliRunner().invoke(group, ["plugins", "new", "walk", "--dir", str(tmp_path / "w")])
    assert done.exit_code == 2 and not (tmp_path / "w").exists()


def test_nothing_is_overwritten(tmp_path: Path) -> None:
    (tmp_path / "mine.txt").write_text("mine")
    with pytest.raises(SeamwrightError):
        new_plugin("house-mark", "step", tmp_path)
    assert [p.name for p in tmp_path.iterdir()] == ["mine.txt"]
