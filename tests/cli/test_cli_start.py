"""Starting up: what --version and --help import, and the face of the group."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

HEAVY = ("numpy", "ezdxf", "shapely", "scipy", "svgelements", "rich", "pluggy", "msgspec")

ASK = """
import sys
from seamwright.cli.main import status_of
import io, contextlib, json
out = io.StringIO()
with contextlib.redirect_stdout(out):
    status = status_of(sys.argv[1:])
print(json.dumps({"status": status, "out": out.getvalue(),
                  "modules": sorted({m.split(".")[0] for m in sys.modules}),
                  "plugins": [m for m in sys.modules if m.startswith("seamwright_")],
                  "metadata": "importlib.metadata" in sys.modules}))
"""


def asked(*args: str) -> dict[str, object]:
    done = subprocess.run(
        [sys.executable, "-c", ASK, *args], capture_output=True, text=True, check=True
    )
    found: dict[str, object] = json.loads(done.stdout)
    return found


@pytest.mark.parametrize("args", [["--version"], ["--help"], ["-h"], ["ease", "--help"]])
def test_help_and_version_import_nothing_heavy_and_discover_nothing(args: list[str]) -> None:
    found = asked(*args)
    assert found["status"] == 0
    assert not set(HEAVY) & set(found["modules"])  # type: ignore[call-overload]
    assert found["plugins"] == []
    assert found["metadata"] is False


@pytest.mark.parametrize("command", ["info", "convert", "check", "run", "plugins"])
def test_help_of_a_command_loads_declarations_only(command: str) -> None:
    found = asked(command, "--help")
    assert found["status"] == 0
    light = set(HEAVY) - {"pluggy", "msgspec"}
    assert not light & set(found["modules"])  # type: ignore[call-overload]


def test_the_version_is_that_of_the_distribution() -> None:
    from importlib.metadata import version

    import seamwright

    assert seamwright.__version__ == version("seamwright")
    assert asked("--version")["out"] == f"seamwright {seamwright.__version__}\n"


def test_importing_the_library_loads_nothing_of_it() -> None:
    code = (
        "import sys, seamwright; print([m for m in sys.modules "
        "if m.startswith('seamwright.') or m == 'numpy'])"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout == "[]\n"


def test_every_public_name_is_there() -> None:
    import seamwright

    for name in seamwright.__all__:
        assert getattr(seamwright, name) is not None
        assert name in dir(seamwright)
    with pytest.raises(AttributeError, match="no attribute 'raed'"):
        seamwright.raed  # noqa: B018


def test_help_lists_every_command_with_its_line() -> None:
    from seamwright.cli.main import COMMANDS

    text = str(asked("--help")["out"])
    for name, (_, line) in COMMANDS.items():
        assert f"  {name} " in text and line in text


@pytest.mark.parametrize(
    ("args", "says"),
    [
        (["chekc"], 'did you mean "check"?'),
        (["--verson"], "--version"),
        (["info"], "Missing argument 'FILE...'"),
        (["info", "--unist", "mm", "x"], "--units"),
        (["info", "--units", "inch", "x"], "'in'"),
        (["info", "--limit", "bytse=3", "x"], "bytes"),
    ],
)
def test_slips_of_usage_are_2_with_the_nearest_name(
    args: list[str], says: str, capsys: pytest.CaptureFixture[str]
) -> None:
    from seamwright.cli.main import status_of

    assert status_of(args) == 2
    assert says in capsys.readouterr().err


def test_as_a_module(tmp_path: Path) -> None:
    done = subprocess.run(
        [sys.executable, "-m", "seamwright.cli.main", "info", str(tmp_path / "no.svg")],
        capture_output=True,
        text=True,
        env={**os.environ, "PYTHONWARNINGS": "error"},
        check=False,
    )
    assert done.returncode == 2
    assert "Traceback" not in done.stderr
    assert "there is no file" in done.stderr
