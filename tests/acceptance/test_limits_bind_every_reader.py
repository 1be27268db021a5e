"""Each limit that `--limit` names bounds each reader that it can concern: a message that names the
limit, an option that raises it, and the file is read once it is raised."""

from __future__ import annotations

import contextlib
import subprocess
import sys
import threading
import time
from dataclasses import fields
from pathlib import Path
from typing import Any

import pytest

import seamwright as sw
from seamwright.plugins.api import Limits
from seamwright.plugins.reading import read
from seamwright.plugins.timing import at_most

pytestmark = pytest.mark.filterwarnings("ignore::seamwright.SeamwrightWarning")
MANY = 40


def _svg(body: str) -> str:
    return (
        '<svg xmlns="http://www.w3.org/2000/svg" width="600mm" height="600mm" '
        f'viewBox="0 0 600 600">{body}</svg>'
    )


def _dxf(entities: str, blocks: str = "") -> str:
    return (
        f"0\nSECTION\n2\nHEADER\n9\n$INSUNITS\n70\n4\n0\nENDSEC\n0\nSECTION\n2\nBLOCKS\n{blocks}"
        f"0\nENDSEC\n0\nSECTION\n2\nENTITIES\n{entities}0\nENDSEC\n0\nEOF\n"
    )


RING = [(300 + 200 * (k % 2 + 1) / 2 * x, 300 + 200 * (k % 2 + 1) / 2 * y) for k, (x, y) in
        enumerate((-1 + 2 * (i / 60), (i / 60) ** 2) for i in range(60))]  # fmt: skip
SVG_RING = "M" + " L".join(f"{x:.3f},{y:.3f}" for x, y in RING) + "z"
DXF_RING = "0\nLWPOLYLINE\n8\ncut\n90\n60\n70\n1\n" + "".join(
    f"10\n{x:.3f}\n20\n{y:.3f}\n" for x, y in RING
)
BOX = '<path d="M0,0h300v200h-300z"/>'
LONG = "x" * 300
HPGL = "IN;SP1;PU0,0;PD4000,0,4000,3000,0,3000,0,0;"

FILES: dict[tuple[str, str], str] = {
    ("bytes", "svg"): _svg(BOX + f"<desc>{LONG}</desc>"),
    ("bytes", "dxf"): _dxf(DXF_RING),
    ("bytes", "plt"): HPGL + "PU;" * 100,
    ("elements", "svg"): _svg(BOX + "<g/>" * MANY),
    ("elements", "dxf"): _dxf(DXF_RING + "0\nPOINT\n8\nx\n10\n1\n20\n1\n" * 8 * MANY),
    ("elements", "plt"): HPGL + "PU;" * MANY,
    ("depth", "svg"): _svg("<g>" * MANY + BOX + "</g>" * MANY),
    ("depth", "dxf"): _dxf(
        "0\nINSERT\n8\n0\n2\nB0\n10\n0\n20\n0\n" + DXF_RING,
        "".join(
            f"0\nBLOCK\n8\n0\n2\nB{i}\n70\n0\n10\n0\n20\n0\n"
            + (f"0\nINSERT\n8\n0\n2\nB{i + 1}\n10\n0\n20\n0\n" if i < 20 else "")
            + "0\nENDBLK\n8\n0\n"
            for i in range(21)
        ),
    ),
    ("instances", "svg"): _svg(
        '<defs><path id="a" d="M0,0h9v9h-9z"/></defs>' + BOX
        + "".join(f'<use href="#a" x="{20 * i}" y="400"/>' for i in range(MANY))
    ),
    ("instances", "dxf"): _dxf(
        "0\nINSERT\n8\n0\n2\nB\n10\n0\n20\n0\n70\n8\n71\n8\n44\n500\n45\n500\n",
        f"0\nBLOCK\n8\n0\n2\nB\n70\n0\n10\n0\n20\n0\n{DXF_RING}0\nENDBLK\n8\n0\n",
    ),
    ("points", "svg"): _svg(f'<path d="{SVG_RING}"/>'),
    ("points", "dxf"): _dxf(DXF_RING),
    ("points", "plt"): HPGL + "PU0,0;PD" + ",".join(f"{40 * i},{i * i}" for i in range(60)) + ";",
    ("text", "svg"): _svg(BOX + f'<text x="9" y="99">{LONG}</text>'),
    ("text", "dxf"): _dxf(DXF_RING + f"0\nTEXT\n8\nt\n10\n300\n20\n310\n40\n5\n1\n{LONG}\n"),
    ("text", "plt"): HPGL + f"SI0.01,0.01;PU400,800;LB{LONG}\x03;",
}  # fmt: skip
LOW = {"bytes": 250, "elements": 30, "depth": 10, "instances": 20, "points": 20, "text": 100}


def _said(path: Path, limits: Limits) -> list[Any]:
    try:
        return list(read(path, limits=limits).findings)
    except sw.SeamwrightError as error:
        return [error.finding]


@pytest.mark.parametrize(("limit", "suffix"), FILES)
def test_a_limit_binds_and_can_be_raised(tmp_path: Path, limit: str, suffix: str) -> None:
    path = tmp_path / f"a.{suffix}"
    path.write_text(FILES[limit, suffix])
    found = [f for f in _said(path, Limits(**{limit: LOW[limit]})) if f.hint]
    named = [f for f in found if f"--limit {limit}=" in f.hint]
    assert named, found
    assert named[0].message
    raised = _said(path, Limits(**{limit: 100_000}))
    assert not [f for f in raised if f.hint and "--limit" in f.hint]
    assert sw.read(path).pieces


@pytest.fixture
def plain_json(tmp_path: Path) -> Path:
    source = tmp_path / "a.svg"
    source.write_text(_svg(f'<path d="{SVG_RING}"/><text x="300" y="310">{LONG}</text>'))
    path = tmp_path / "a.json"
    sw.write(sw.read(source), path)
    return path


@pytest.mark.parametrize("limit", ["bytes", "elements", "points", "text"])
def test_they_bind_json(plain_json: Path, limit: str) -> None:
    low = {"bytes": 200, "elements": 20, "points": 20, "text": 100}[limit]
    (finding,) = _said(plain_json, Limits(**{limit: low}))
    assert f"--limit {limit}=" in finding.hint
    assert not _said(plain_json, Limits())


def test_a_key_that_stands_twice_in_json_is_refused(plain_json: Path) -> None:
    text = plain_json.read_text()
    plain_json.write_text(text.replace('"sizes":', '"name": "other", "sizes":', 1))
    with pytest.raises(sw.SeamwrightError) as caught:
        sw.read(plain_json)
    assert caught.value.finding.code == "json.key" and '"name"' in caught.value.finding.message


@pytest.mark.parametrize("what", ["plan", "pipeline"])
def test_plans_and_pipelines_are_bounded(seamwright: Any, what: str) -> None:
    seamwright.put("a.svg", _svg(BOX))
    padding = "# " + "x" * 5000 + "\n"
    if what == "plan":
        seamwright.put("p.toml", padding + "seamwright = 1\n")
        command = ["check", "a.svg", "--plan", "p.toml"]
    else:
        step = '[[step]]\nuse = "walk"\n'
        seamwright.put("p.toml", padding + f"seamwright = 1\n{step}")
        command = ["run", "p.toml", "a.svg"]
    told = seamwright(*command, "--limit", "toml=1000", "--json")
    assert told.status == 2 and "--limit toml=" in str(told.json)
    assert "file.too-large" not in str(seamwright(*command, "--json").json)


@pytest.mark.parametrize("suffix", ["svg", "dxf", "plt"])
@pytest.mark.parametrize("factor", ["1e300", "9" * 30, "1e15"])
def test_numbers_beyond_measure_never_come_in(tmp_path: Path, suffix: str, factor: str) -> None:
    path = tmp_path / f"a.{suffix}"
    text = {
        "svg": _svg(BOX + f'<path d="M0,0h{factor}v200h-300z"/>'),
        "dxf": _dxf(DXF_RING + f"0\nLINE\n8\nx\n10\n0\n20\n0\n11\n{factor}\n21\n5\n"),
        "plt": HPGL + f"PU0,0;PD{'9' * len(factor) * 6},0,9,9;",
    }[suffix]
    path.write_text(text)
    findings = _said(path, Limits())
    assert [f for f in findings if f.severity == "error"], findings


def test_every_limit_of_the_help_is_one_and_each_is_tested(seamwright: Any) -> None:
    said = " ".join(seamwright("info", "--help").out.split())
    names = {f.name for f in fields(Limits)}
    for name in names:
        assert name in said
    assert names == {limit for limit, _ in FILES} | {"toml", "seconds"}


class TestTime:
    def test_what_takes_too_long_is_stopped(self) -> None:
        began = time.perf_counter()
        with pytest.raises(sw.SeamwrightError) as caught, at_most(0.2, file="a.svg"):
            while True:
                with contextlib.suppress(Exception):  # a reader's own net does not catch it
                    time.sleep(0.01)
        assert time.perf_counter() - began < 5.0
        finding = caught.value.finding
        assert finding.code == "file.too-slow" and "--limit seconds=" in str(finding.hint)

    def test_in_another_thread_too(self) -> None:
        seen: list[str] = []

        def work() -> None:
            try:
                with at_most(0.2):
                    while True:
                        time.sleep(0.01)
            except sw.SeamwrightError as error:
                seen.append(error.finding.code)

        thread = threading.Thread(target=work)
        thread.start()
        thread.join(10.0)
        assert seen == ["file.too-slow"]

    def test_what_ends_in_time_is_left_alone_afterwards(self) -> None:
        """Whether it rang in time, too late or in the very moment: nothing comes but the error
        that says so, and nothing comes afterwards."""
        for number in range(300):
            with contextlib.suppress(sw.SeamwrightError), at_most(number * 1e-5):
                time.sleep(0.0015)
        time.sleep(0.05)

    def test_a_reader_is_bounded(
        self, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, seamwright: Any
    ) -> None:
        from seamwright_svg import reading

        def endless(*_: Any) -> None:
            while True:
                time.sleep(0.01)

        monkeypatch.setattr(reading, "parse", endless)
        seamwright.put("a.svg", _svg(BOX))
        told = seamwright("info", "a.svg", "--limit", "seconds=1", "--json")
        assert told.status == 2 and told.one("file.too-slow")["file"] == "a.svg"

    def test_the_program_goes_on_as_before(self) -> None:
        """An exception that was asked for and taken back made the interpreter look for it for
        ever: under a tracer, whatever ran next in that process stood still."""
        code = (
            "import contextlib, sys, time, seamwright as sw\n"
            "from seamwright.plugins.timing import at_most\n"
            "def again():\n"
            "    with contextlib.suppress(sw.SeamwrightError), at_most(0.05):\n"
            "        while True:\n"
            "            with contextlib.suppress(Exception):\n"
            "                time.sleep(0.01)\n"
            "def outer(*a, **k):\n"
            "    x = a\n"
            "    def inner(): return x\n"
            "    return inner()\n"
            "for _ in range(5):\n"
            "    again()\n"
            "    sys.settrace(lambda *a: None)\n"
            "    for _ in range(1000): outer(1, b=2)\n"
            "print('went on')\n"
        )
        done = subprocess.run(
            [sys.executable, "-c", code], capture_output=True, text=True, timeout=60, check=True
        )
        assert done.stdout.strip() == "went on"
