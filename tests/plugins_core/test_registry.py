"""Plugins come in one by one; what one does wrong stays with it."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from seamwright.findings import SeamwrightError
from seamwright.plugins.api import (
    API,
    Code,
    Finding,
    Format,
    Guess,
    Options,
    Severity,
    Step,
    StepResult,
    hookimpl,
)
from seamwright.plugins.calling import call, signed
from seamwright.plugins.registry import Registry


def step(name: str, run: Any = None) -> Step[Options]:
    return Step(
        name=name,
        help="A step.",
        options=Options,
        kind="check",
        run=run or (lambda p, o, c: StepResult(pattern=p)),
    )


def plugin(*names: str, api: Any = API, **hooks: Any) -> SimpleNamespace:
    @hookimpl
    def seamwright_steps() -> list[Any]:
        return [step(n) for n in names]

    return SimpleNamespace(API=api, seamwright_steps=seamwright_steps, **hooks)


def test_what_a_plugin_offers_is_found_by_full_and_short_name() -> None:
    registry = Registry(of=[("a", plugin("walk", "jog"))])
    assert [r.status for r in registry.rows] == ["loaded"]
    assert registry.rows[0].steps == ("walk", "jog")
    assert registry.steps.find("walk") is registry.steps.find("a/walk")
    assert registry.steps.find("walk").full == "a/walk"
    assert "walk" in registry.steps and "a/walk" in registry.steps
    assert "talk" not in registry.steps
    assert len(registry.formats) == 0


def test_an_unknown_name_gets_the_nearest() -> None:
    registry = Registry(of=[("a", plugin("walk"))])
    with pytest.raises(SeamwrightError) as caught:
        registry.steps.find("wlak")
    assert caught.value.finding.code == "name.unknown"
    assert 'did you mean "walk"?' in (caught.value.finding.hint or "")


def raising(error: BaseException) -> SimpleNamespace:
    @hookimpl
    def seamwright_formats() -> list[Any]:
        raise error

    return plugin("fine", seamwright_formats=seamwright_formats)


@hookimpl
def seamwright_setps() -> list[Any]:
    return []


@hookimpl
def seamwright_formats() -> list[Any]:
    return [step("walk")]


@pytest.mark.parametrize(
    ("bad", "status", "reason"),
    [
        (raising(ImportError("no such thing")), "broken", "ImportError: no such thing"),
        (raising(SystemExit(3)), "broken", "SystemExit: 3"),
        (raising(ZeroDivisionError()), "broken", "ZeroDivisionError"),
        (plugin("x", api=2), "refused", "was made for API 2; this is API 1"),
        (SimpleNamespace(), "refused", "says no API number"),
        (plugin("x", seamwright_setps=seamwright_setps), "refused", "seamwright_setps"),
        (plugin("No Name"), "broken", '"No Name" is not a name'),
        (plugin("x", "x"), "broken", "gives a name twice"),
        (plugin("x", seamwright_formats=seamwright_formats), "broken", "gave Step, not Format"),
    ],
)
def test_a_bad_plugin_takes_nobody_with_it(bad: SimpleNamespace, status: str, reason: str) -> None:
    registry = Registry(of=[("bad", bad), ("good", plugin("walk"))])
    rows = {r.name: r for r in registry.rows}
    assert rows["bad"].status == status
    assert reason in rows["bad"].reason
    assert bool(rows["bad"].traceback) == (status == "broken")
    assert rows["good"].status == "loaded"
    assert [e.full for e in registry.steps] == ["good/walk"]
    assert [f.code for f in registry.findings] == [f"plugin.{status}"]
    assert "bad" in registry.findings[0].message
    with pytest.raises(SeamwrightError) as caught:
        registry.steps.find("bad/x")
    assert reason in (caught.value.finding.hint or "")


def test_the_debug_switch_raises(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("SEAMWRIGHT_DEBUG", "1")
    with pytest.raises(ZeroDivisionError):
        Registry(of=[("bad", raising(ZeroDivisionError()))])


def merged(ours: Registry, theirs: Registry) -> Registry:
    """A registry with bundled and foreign plugins, as discovery makes it."""
    registry = Registry()
    found: list[Any] = []
    for r in (ours, theirs):
        for row in r.rows:
            things = [e.thing for e in r.steps if e.plugin.name == row.name]
            found.append((row, tuple(things)))
    registry._fill(found, [])
    return registry


def test_a_strangers_clash_leaves_the_bundled_name_alone() -> None:
    registry = merged(
        Registry(of=[("ours", plugin("walk"))], bundled=True),
        Registry(of=[("theirs", plugin("walk", "run"))]),
    )
    assert registry.steps.find("walk").full == "ours/walk"
    assert registry.steps.find("theirs/walk").full == "theirs/walk"
    assert registry.steps.names == ("walk", "run", "theirs/walk")
    assert [(f.code, f.hint) for f in registry.findings] == [
        ("plugin.name-clash", 'use its full name "theirs/walk"')
    ]


def test_two_strangers_make_a_name_ambiguous() -> None:
    registry = Registry(of=[("a", plugin("walk")), ("b", plugin("walk"))])
    with pytest.raises(SeamwrightError) as caught:
        registry.steps.find("walk")
    assert caught.value.finding.code == "name.ambiguous"
    assert caught.value.finding.hint == 'say which: "a/walk" or "b/walk"'
    assert registry.steps.find("b/walk").full == "b/walk"


def test_a_plugin_name_is_given_once() -> None:
    registry = Registry(of=[("a", plugin("walk")), ("a", plugin("run"))])
    assert [r.status for r in registry.rows] == ["loaded", "refused"]
    assert registry.steps.names == ("walk",)


@given(st.permutations([("a", "x"), ("b", "x"), ("c", "y"), ("d", "z")]))
def test_order_decides_nothing(order: list[tuple[str, str]]) -> None:
    registry = Registry(of=[(name, plugin(thing)) for name, thing in order])
    assert registry.steps.names == ("a/x", "b/x", "y", "z")


def raises(error: Exception) -> Any:
    def run(*_: Any) -> Any:
        raise error

    return run


@pytest.mark.parametrize(
    ("error", "code", "hint"),
    [
        (
            ModuleNotFoundError("no ezdxf", name="ezdxf.path"),
            "plugin.library-missing",
            "pip install ezdxf",
        ),
        (ModuleNotFoundError("own", name="a_pkg.work"), "plugin.raised", "fault of that plugin"),
        (ValueError("so it goes"), "plugin.raised", "fault of that plugin"),
        (RecursionError(), "plugin.raised", "fault of that plugin"),
    ],
)  # fmt: skip
def test_what_work_raises_becomes_one_finding(error: Exception, code: str, hint: str) -> None:
    module = plugin("walk")
    module.__name__ = "a_pkg.plugin"
    entry = Registry(of=[("a", module)]).steps.find("walk")
    with pytest.raises(SeamwrightError) as caught:
        call(entry, raises(error))
    finding = caught.value.finding
    assert (finding.code, finding.plugin) == (code, "a/walk")
    assert hint in (finding.hint or "")


def test_a_plugins_own_error_passes_with_its_name() -> None:
    entry = Registry(of=[("a", plugin("walk"))]).steps.find("walk")
    with pytest.raises(SeamwrightError) as caught:
        call(entry, raises(SeamwrightError.of("walk.lost", "Lost.")))
    assert (caught.value.finding.code, caught.value.finding.plugin) == ("walk.lost", "a/walk")


def test_undeclared_codes_are_the_plugins_fault() -> None:
    entry = Registry(of=[("a", plugin("walk"))]).steps.find("walk")
    code = Code(code="seam.over", severity=Severity.ERROR, title="t", why="w", remedy="r")
    found = [
        Finding(code=c, severity=Severity.NOTE, message="m", file=f)
        for c, f in [("seam.over", None), ("seam.odd", "b.svg"), ("seam.odd", "other.rul")]
    ]
    got = signed(entry, found, [code], file="dir/b.svg", also="b.svg")
    assert [f.code for f in got] == ["seam.over", "seam.odd", "seam.odd", "plugin.undeclared-code"]
    assert [f.file for f in got] == ["dir/b.svg", "dir/b.svg", "other.rul", "dir/b.svg"]
    assert {f.plugin for f in got} == {"a/walk"}
    assert '"seam.odd"' in got[-1].message


def test_previews() -> None:
    code = Code(code="x.y", severity=Severity.ERROR, title="t", why="w", remedy="r", preview=True)

    @hookimpl
    def seamwright_formats() -> list[Format]:
        return [
            Format(
                name="f", help="h", suffixes=(".f",), sniff=lambda h: Guess.NO, carries={},
                codes=(code,),
            )
        ]  # fmt: skip

    module = SimpleNamespace(API=API, seamwright_formats=seamwright_formats)
    assert Registry(of=[("a", module)]).previews == {"x.y"}


def make_distribution(root: Path, name: str, body: str) -> None:
    """An installed distribution with one plugin, as a package installer leaves it."""
    package = root / name
    package.mkdir()
    (package / "__init__.py").write_text("")
    (package / "plugin.py").write_text(body)
    info = root / f"{name}-2.5.dist-info"
    info.mkdir()
    (info / "METADATA").write_text(f"Metadata-Version: 2.1\nName: {name}\nVersion: 2.5\n")
    (info / "entry_points.txt").write_text(f"[seamwright.plugins]\n{name} = {name}.plugin\n")


GOOD = """
from seamwright.plugins.api import hookimpl, Step, StepResult, Options
API = 1
@hookimpl
def seamwright_steps():
    return [Step(name="extra", help="h", options=Options, kind="check",
                 run=lambda p, o, c: StepResult(pattern=p))]
"""

SHOW = """
import json
from seamwright.plugins.registry import Registry
r = Registry.discover()
print(json.dumps({
    "rows": {row.name: [row.status, row.distribution, row.version, row.reason] for row in r.rows},
    "steps": list(r.steps.names), "codes": [f.code for f in r.findings]}))
"""


def discovered(path: Path, **env: str) -> dict[str, Any]:
    import json
    import os

    done = subprocess.run(
        [sys.executable, "-c", SHOW],
        env={**os.environ, "PYTHONPATH": str(path), **env},
        capture_output=True,
        text=True,
        check=True,
    )
    out: dict[str, Any] = json.loads(done.stdout)
    return out


def test_discovery_with_three_bad_distributions(tmp_path: Path) -> None:
    make_distribution(tmp_path, "good_one", GOOD)
    make_distribution(tmp_path, "bad_import", "import no_such_library_anywhere")
    make_distribution(tmp_path, "bad_exit", "raise SystemExit('bye')")
    make_distribution(tmp_path, "bad_hook", GOOD.replace("return [", "raise OSError('disk') ; ["))
    out = discovered(tmp_path)
    assert out["rows"]["good_one"] == ["loaded", "good_one", "2.5", ""]
    assert "extra" in out["steps"]
    for name, said in (
        ("bad_import", "ModuleNotFoundError: No module named 'no_such_library_anywhere'"),
        ("bad_exit", "SystemExit: bye"),
        ("bad_hook", "OSError: disk"),
    ):
        assert out["rows"][name] == ["broken", name, "2.5", said]
    assert out["codes"].count("plugin.broken") == 3


def test_the_environment_chooses_the_plugins(tmp_path: Path) -> None:
    make_distribution(tmp_path, "good_one", GOOD)
    make_distribution(tmp_path, "bad_import", "import no_such_library_anywhere")
    out = discovered(tmp_path, SEAMWRIGHT_PLUGINS="good_one, god_one")
    assert out["rows"]["good_one"][0] == "loaded"
    assert {row[0] for name, row in out["rows"].items() if name != "good_one"} == {"blocked"}
    assert out["codes"] == ["plugin.unknown"]
    none = discovered(tmp_path, SEAMWRIGHT_PLUGINS="")
    assert {row[0] for row in none["rows"].values()} == {"blocked"}
    assert none["steps"] == []


@pytest.mark.parametrize(
    "body",
    [
        "import time\ntime.sleep(60)\n",
        "while True:\n    pass\n",
        "while True:\n    try:\n        while True: pass\n    except Exception:\n        pass\n",
    ],
)
def test_a_plugin_that_hangs_costs_its_own_work_only(body: str, tmp_path: Path) -> None:
    make_distribution(tmp_path, "aahangs", body)
    make_distribution(tmp_path, "zzgood", GOOD)
    found = discovered(tmp_path, SEAMWRIGHT_PLUGIN_SECONDS="0.3")
    status, _, version, reason = found["rows"]["aahangs"]
    assert (status, version) == ("broken", "2.5") and "0.3 s" in reason
    assert found["rows"]["zzgood"][0] == "loaded" and "extra" in found["steps"]
    assert "plugin.broken" in found["codes"]
