"""A toy plugin installed as a stranger's would be, and commands run in processes of their own.

The toy format is a line of words: good, or what is to go wrong. Where something has to happen only
once ("die-once"), a file beside the style remembers it.
"""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import pytest

import seamwright

_TOYS = Path(__file__).parents[1] / "toys.py"

_PLUGIN = """
import importlib.util, os, signal, sys, time
from pathlib import Path

API = 1
spec = importlib.util.spec_from_file_location("seamwright_test_toys", {toys!r})
toys = importlib.util.module_from_spec(spec)
sys.modules["seamwright_test_toys"] = toys
spec.loader.exec_module(toys)
from seamwright.plugins.api import Guess, ReadResult, SeamwrightError, hookimpl


def read(source, options, ctx):
    first, _, rest = source.data.decode().partition("\\n")
    words = first.split()[1:]
    if "hang" in words:
        time.sleep(600)
    if "slow" in words:
        time.sleep(0.15)
    if "raise" in words:
        raise RuntimeError("a fault of the toy")
    if "die" in words:
        os.kill(os.getpid(), signal.SIGKILL)
    if "die-once" in words:
        mark = Path(rest.strip())
        if not mark.exists():
            mark.touch()
            os.kill(os.getpid(), signal.SIGKILL)
    if "eat" in words:
        held = []
        while True:
            held.append(bytes(50_000_000))
    if "shout" in words:
        print("a plugin that prints")
    if "bad" in words:
        raise SeamwrightError.of("toy.broken", "not a toy", hint="use another")
    pattern = toys.pattern(("S", "M", "L"))
    if "fits" in words:
        back = pattern.piece("Back").but(shapes=pattern.piece("Front").shapes)
        pattern = pattern.with_pieces([back])
    return ReadResult(pattern=pattern)


def sniff(head):
    return Guess.YES if head.data.startswith(b"STYLE") else Guess.NO


made = toys.plugin(
    toys.toy_format(name="styles", suffixes=(".sty",), sniff=sniff, read=read, can_write=False),
    toys.toy_format(),
    toys.toy_step("walk", toys._walk, options=toys.Walk,
                  codes=[toys._code("seam.over"), toys._code("seam.under")]),
    toys.nudge(),
    toys.toy_report(),
)
seamwright_formats = made.seamwright_formats
seamwright_steps = made.seamwright_steps
seamwright_reports = made.seamwright_reports
"""


@dataclass
class Told:
    """What a command said, and how it ended."""

    status: int
    out: str
    err: str

    @property
    def json(self) -> Any:
        """The one document on stdout."""
        return json.loads(self.out)


@dataclass
class House:
    """A folder of styles, and the command run in it with the toy plugin installed."""

    folder: Path
    env: dict[str, str]
    started: list[subprocess.Popen[str]] = field(default_factory=list)

    def style(self, name: str, words: str = "fits", rest: str = "") -> Path:
        """Writes a style."""
        path = self.folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(f"STYLE {words}\n{rest}\n")
        return path

    def start(self, *args: object, **env: str) -> subprocess.Popen[str]:
        """Begins `seamwright ARGS`, in a process group of its own."""
        child = subprocess.Popen(
            [sys.executable, "-m", "seamwright", *map(str, args)],
            cwd=self.folder,
            env={**self.env, **env},
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
            start_new_session=True,
        )
        self.started.append(child)
        return child

    def __call__(self, *args: object, **env: str) -> Told:
        """Runs `seamwright ARGS` to its end."""
        child = self.start(*args, **env)
        out, err = child.communicate(timeout=120)
        return Told(child.returncode, out, err)

    def log(self, name: str = "log.jsonl") -> list[dict[str, Any]]:
        """The events of a log."""
        return [json.loads(line) for line in (self.folder / name).read_text().splitlines()]


@pytest.fixture(scope="session")
def toy_distribution(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder that, on the path, is an installed distribution with the toy plugin."""
    folder = tmp_path_factory.mktemp("installed")
    # The code as it stands now: an edit in the middle of a test would make all results stale.
    ours = Path(seamwright.__file__).parent
    shutil.copytree(ours, folder / "seamwright", ignore=shutil.ignore_patterns("__pycache__"))
    (folder / "seamwright_styles.py").write_text(_PLUGIN.format(toys=str(_TOYS)))
    about = folder / "seamwright_styles-1.0.dist-info"
    about.mkdir()
    (about / "METADATA").write_text(
        "Metadata-Version: 2.1\nName: seamwright-styles\nVersion: 1.0\n"
    )
    (about / "entry_points.txt").write_text("[seamwright.plugins]\nstyles = seamwright_styles\n")
    return folder


@pytest.fixture
def house(tmp_path: Path, toy_distribution: Path) -> Any:
    """An empty folder in which commands run with the toy plugin alone."""
    env = {k: v for k, v in os.environ.items() if k not in ("CI", "NO_COLOR", "FORCE_COLOR")}
    env |= {
        "PYTHONPATH": os.pathsep.join(
            p for p in (str(toy_distribution), env.get("PYTHONPATH", "")) if p
        ),
        "SEAMWRIGHT_PLUGINS": "styles",
        "XDG_CACHE_HOME": str(tmp_path / "cache"),
    }
    (tmp_path / "work").mkdir()
    made = House(tmp_path / "work", env)
    yield made
    for child in made.started:
        if child.poll() is None:
            child.kill()
            child.wait()


@pytest.fixture
def inside(
    tmp_path: Path, toys: Any, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> Callable[..., Told]:
    """Runs `seamwright ARGS` in this process, with the toys of the whole suite."""
    from seamwright.cli.main import status_of
    from seamwright.plugins import registry as registries

    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / ".cache"))
    made = toys.full_registry()

    def run(*args: object) -> Told:
        with monkeypatch.context() as patch:
            patch.setattr(registries, "default", lambda: made)
            status = status_of([str(a) for a in args])
        told = capsys.readouterr()
        return Told(status, told.out, told.err)

    return run
