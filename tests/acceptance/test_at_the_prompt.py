"""At the prompt: lengths as people write them, files that stay whole, messages that say what to do,
and a broken plugin that stops nobody."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

DRAWING = (
    '<svg xmlns="http://www.w3.org/2000/svg" width="600mm" height="600mm" viewBox="0 0 600 600">'
    '<g id="Front"><path class="cut line" d="M10,10h300v200h-300z"/></g></svg>'
)


class TestLengths:
    @pytest.mark.parametrize(
        ("text", "mm"),
        [
            ("5/8in", 15.875), ("1 1/4 in", 31.75), (".5cm", 5.0), ('2"', 50.8), ("12 mm", 12.0),
            ("1,5 cm", 15.0), ("10", 10.0),
        ],
    )  # fmt: skip
    @pytest.mark.parametrize("joined", [False, True])
    def test_as_people_write_them(
        self, seamwright: Any, text: str, mm: float, joined: bool
    ) -> None:
        seamwright.put("a.svg", DRAWING)
        given = [f"--allowance={text}"] if joined else ["--allowance", text]
        told = seamwright("info", "a.svg", *given, "--json")
        x0, y0, x1, y1 = told.shapes[0]["bbox"]
        assert (x1 - x0, y1 - y0) == pytest.approx((300.0 - 2 * mm, 200.0 - 2 * mm), abs=1e-6)

    def test_a_bare_number_counts_in_the_units_asked_for_and_help_says_so(
        self, seamwright: Any
    ) -> None:
        seamwright.put("a.svg", DRAWING)
        told = seamwright("info", "a.svg", "--allowance", "1", "--units", "in", "--json")
        x0, _, x1, _ = told.shapes[0]["bbox"]
        assert x1 - x0 == pytest.approx(300.0 - 50.8, abs=1e-6)
        assert "Unit of bare numbers" in seamwright("info", "--help").out

    @pytest.mark.parametrize("given", [["--allowance", "-5mm"], ["--allowance=-5mm"]])
    def test_minus_is_a_value_and_no_option(self, seamwright: Any, given: list[str]) -> None:
        """Refused for what it is, a length below the bound; not for looking like an option."""
        seamwright.put("a.svg", DRAWING)
        told = seamwright("info", "a.svg", *given)
        assert told.status == 2
        assert "-5 mm" in told.err and "No such option" not in told.err

    def test_a_slip_of_the_unit_gets_the_right_one(self, seamwright: Any) -> None:
        seamwright.put("a.svg", DRAWING)
        told = seamwright("info", "a.svg", "--allowance", "5mn")
        assert told.status == 2 and "did you mean mm" in told.err

    def test_files_whose_names_begin_with_minus(self, seamwright: Any) -> None:
        seamwright.put("-5x.svg", DRAWING)
        assert seamwright("info", "--", "-5x.svg").status == 0
        assert seamwright("convert", "--", "-5x.svg", "-6x.json").status == 0
        assert (seamwright.folder / "-6x.json").exists()


class TestFilesStayWhole:
    def test_the_input_is_never_the_output(self, seamwright: Any) -> None:
        source = seamwright.put("Blouse.svg", DRAWING)
        (seamwright.folder / "link.svg").symlink_to("Blouse.svg")
        os.link(source, seamwright.folder / "hard.svg")
        for out in ("Blouse.svg", "./Blouse.svg", "link.svg", "hard.svg", "bLOUSE.SVG"):
            told = seamwright("convert", "Blouse.svg", out, "--overwrite", "--json")
            assert told.status == 2 and told.found("file.is-input"), out
        assert source.read_text() == DRAWING

    def test_what_is_there_stays_unless_told(self, seamwright: Any) -> None:
        seamwright.put("a.svg", DRAWING)
        seamwright.put("b.dxf", "mine")
        told = seamwright("convert", "a.svg", "b.dxf", "--json")
        assert told.status == 2 and told.found("file.exists")
        assert (seamwright.folder / "b.dxf").read_text() == "mine"
        assert seamwright("convert", "a.svg", "b.dxf", "--overwrite").status == 0
        assert (seamwright.folder / "b.dxf").read_bytes() != b"mine"

    def test_killed_in_the_middle_of_writing(self, seamwright: Any) -> None:
        """The old file is whole, and the next run leaves nothing of the killed one."""
        seamwright.put("a.svg", DRAWING)
        old = seamwright.put("b.svg", DRAWING)
        code = (
            "import os, signal, sys; from seamwright.cli.main import status_of\n"
            "os.fsync = lambda _: os.kill(os.getpid(), signal.SIGKILL)\n"
            "status_of(['convert', 'a.svg', 'b.svg', '--overwrite'])"
        )
        done = subprocess.run(
            [sys.executable, "-c", code], cwd=seamwright.folder, capture_output=True, check=False
        )
        assert done.returncode == -9
        assert old.read_text() == DRAWING
        assert seamwright("convert", "a.svg", "b.svg", "--overwrite").status == 0
        assert sorted(p.name for p in seamwright.folder.iterdir()) == ["a.svg", "b.svg"]


class TestMessages:
    """What, where, and what to do; never frames of a program."""

    CASES = [
        (["info", "missing.svg"], "missing.svg", "there is no file"),
        (["info", "page.svg"], "page.svg", "a web page"),
        (["info", "cut.svg"], "cut.svg", "line 1"),
        (["info", "open.svg"], "open.svg", "no closed outline"),
        (["info", "odd.xyz"], "odd.xyz", "can be read"),
        (["convert", "good.svg", "out.xyz"], "out.xyz", "nothing here writes"),
        (["convert", "good.svg", "nowhere/out.svg"], "nowhere", "folder"),
        (["check", "good.svg", "--plan", "wrong.toml"], "wrong.toml", "Front"),
        (["run", "typo.toml", "good.svg", "--out", "."], "typo.toml", "walk"),
        (["run", "key.toml", "good.svg", "--out", "."], "key.toml", "tolerance"),
    ]

    @pytest.mark.parametrize(("args", "where", "says"), CASES)
    def test_name_the_place_and_the_remedy(
        self, seamwright: Any, args: list[str], where: str, says: str
    ) -> None:
        seamwright.put("good.svg", DRAWING)
        seamwright.put("page.svg", "<html><body/></html>")
        seamwright.put("cut.svg", DRAWING[:150])
        seamwright.put("open.svg", DRAWING.replace("h-300z", ""))
        seamwright.put("odd.xyz", "neither fish nor fowl")
        seam = '[[seam]]\nname = "s"\nsew = "Frnt: a > b"\nto = "Front: c > d"\n'
        seamwright.put("wrong.toml", seam)
        seamwright.put("typo.toml", 'seamwright = 1\n[[step]]\nuse = "wlak"\n')
        seamwright.put("key.toml", 'seamwright = 1\n[[step]]\nuse = "walk"\ntolerence = "1 mm"\n')
        told = seamwright(*args, "--json")
        assert told.status == 2 or (told.status == 1 and "open.svg" in args)
        errors = [f for f in told.findings if f["severity"] == "error"]
        errors += [f for r in told.json.get("runs", []) for f in r.get("findings", [])]
        errors = [f for f in errors if f["severity"] == "error"]
        assert errors
        for error in errors:
            assert error["hint"], error
        text = " ".join(f"{e['file']} {e['message']} {e['hint']}" for e in errors)
        assert where in text and says in text

    @pytest.mark.parametrize(
        ("args", "nearest"),
        [
            (["chekc"], "check"),
            (["info", "--unist", "mm", "x.svg"], "--units"),
            (["info", "--alowance", "5", "x.svg"], "--allowance"),
            (["plugins", "ease-cpa"], "ease-cap"),
        ],
    )
    def test_a_slip_gets_the_nearest_name(
        self, seamwright: Any, args: list[str], nearest: str
    ) -> None:
        told = seamwright(*args)
        assert told.status == 2 and nearest in told.err


BAD = {
    "bad_import": "import no_such_library_anywhere",
    "bad_exit": "raise SystemExit('bye')",
    "bad_hook": (
        "from seamwright.plugins.api import hookimpl\nAPI = 1\n"
        "@hookimpl\ndef seamwright_formats():\n    raise OSError('disk')\n"
    ),
}


@pytest.fixture
def beside_bad_plugins(seamwright: Any, tmp_path_factory: pytest.TempPathFactory) -> Any:
    """Runs `seamwright` in a child beside three bad distributions and the bundled plugins."""
    site = tmp_path_factory.mktemp("site")
    for name, body in BAD.items():
        package = site / name
        package.mkdir()
        (package / "__init__.py").write_text("")
        (package / "plugin.py").write_text(body)
        info = site / f"{name}-2.5.dist-info"
        info.mkdir()
        (info / "METADATA").write_text(f"Metadata-Version: 2.1\nName: {name}\nVersion: 2.5\n")
        (info / "entry_points.txt").write_text(f"[seamwright.plugins]\n{name} = {name}.plugin\n")
    seamwright.put("a.svg", DRAWING)
    folder: Path = seamwright.folder

    def run(*args: str, **more: str) -> subprocess.CompletedProcess[str]:
        return subprocess.run(
            [sys.executable, "-m", "seamwright.cli.main", *args], cwd=folder, text=True,
            env={**os.environ, "PYTHONPATH": str(site), **more}, capture_output=True, check=False,
        )  # fmt: skip

    return run


def test_bad_plugins_are_named_and_stop_nobody(beside_bad_plugins: Any) -> None:
    run = beside_bad_plugins
    assert run("--help").returncode == 0
    for args in (["info", "a.svg"], ["convert", "a.svg", "b.dxf"]):
        done = run(*args)
        assert done.returncode == 0, done.stderr
        for name, said in (
            ("bad_import", "ModuleNotFoundError"), ("bad_exit", "SystemExit: bye"),
            ("bad_hook", "OSError: disk"),
        ):  # fmt: skip
            (line,) = [x for x in done.stderr.splitlines() if f'"{name}"' in x]
            assert f"{name} 2.5" in line and said in line
        assert "Traceback" not in done.stderr
    assert run("info", "a.svg", "--strict-plugins").returncode == 2
    assert "Traceback" in run("info", "a.svg", SEAMWRIGHT_DEBUG="1").stderr
    listed = run("plugins")
    assert listed.returncode == 0 and "Traceback" in listed.stdout
