"""`seamwright plugins`, and every command with broken plugins installed."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from importlib.resources import files
from pathlib import Path
from typing import Any

import jsonschema
import pytest

GOOD = """
import pickle
from seamwright.plugins.api import *
API = 1
class NoOptions(Options, frozen=True):
    pass
def _read(source, options, ctx):
    return ReadResult(pattern=pickle.loads(source.data[4:]))
def _write(pattern, options, ctx):
    return WriteResult(parts=(Part(data=b"TOY\\n" + pickle.dumps(pattern)),))
@hookimpl
def seamwright_formats():
    return [Format(name="toy", help="A toy.", suffixes=(".toy",),
                   sniff=lambda h: Guess.YES if h.data.startswith(b"TOY\\n") else Guess.NO,
                   carries=dict.fromkeys(Feature, EXACT),
                   reader=Reader(options=NoOptions, run=_read),
                   writer=Writer(options=NoOptions, run=_write))]
"""

BAD = {
    "bad_import": "import no_such_library_anywhere",
    "bad_exit": "raise SystemExit('bye')",
    "bad_hook": GOOD.replace("return [Format", "raise OSError('disk') ; [Format"),
}


def install(root: Path, name: str, body: str) -> None:
    package = root / name
    package.mkdir()
    (package / "__init__.py").write_text("")
    (package / "plugin.py").write_text(body)
    info = root / f"{name}-2.5.dist-info"
    info.mkdir()
    (info / "METADATA").write_text(f"Metadata-Version: 2.1\nName: {name}\nVersion: 2.5\n")
    (info / "entry_points.txt").write_text(f"[seamwright.plugins]\n{name} = {name}.plugin\n")


@pytest.fixture
def broken(tmp_path: Path, toys: Any) -> Any:
    """Runs `seamwright` in a child with one good stranger and three bad ones installed."""
    site = tmp_path / "site"
    site.mkdir()
    install(site, "good_toy", GOOD)
    for name, body in BAD.items():
        install(site, name, body)
    work = tmp_path / "work"
    work.mkdir()
    toys.save(work / "a.toy", toys.pattern())

    def run(*args: str, **env: str) -> subprocess.CompletedProcess[str]:
        return subprocess.run(
            [sys.executable, "-m", "seamwright.cli.main", *args],
            env={**os.environ, "PYTHONPATH": str(site), **env},
            cwd=work,
            capture_output=True,
            text=True,
            check=False,
        )

    return run


def test_commands_work_beside_broken_plugins(broken: Any) -> None:
    assert broken("--help").returncode == 0
    for args in (["info", "a.toy"], ["convert", "a.toy", "b.toy"], ["info", "--help"]):
        done = broken(*args)
        assert done.returncode == 0, done.stderr
        if args[-1] == "--help":
            continue
        for name, said in (
            ("bad_import", "ModuleNotFoundError: No module named 'no_such_library_anywhere'"),
            ("bad_exit", "SystemExit: bye"),
            ("bad_hook", "OSError: disk"),
        ):
            lines = [line for line in done.stderr.splitlines() if f'"{name}"' in line]
            assert len(lines) == 1
            assert f"{name} 2.5" in lines[0] and said in lines[0]
        assert "Traceback" not in done.stderr


def test_a_broken_plugin_that_was_needed_is_named(broken: Any, tmp_path: Path) -> None:
    (tmp_path / "work" / "x.bad_import").write_bytes(b"whatever")
    done = broken("info", "x.bad_import")
    assert done.returncode == 2
    assert "it may belong to the plugin bad_import of bad_import 2.5" in done.stderr
    done = broken("info", "a.toy", "--strict-plugins")
    assert done.returncode == 2


def test_plugins_lists_them_with_their_tracebacks(broken: Any) -> None:
    done = broken("plugins")
    assert done.returncode == 0
    for name in BAD:
        assert f"{name} of {name} 2.5:" in done.stdout
    assert "Traceback (most recent call last)" in done.stdout
    assert broken("plugins", "--strict-plugins").returncode == 2
    rows = {r["name"]: r for r in json.loads(broken("plugins", "--json").stdout)["plugins"]}
    assert {rows[n]["status"] for n in BAD} == {"broken"}
    assert rows["good_toy"]["status"] == "loaded" and not rows["good_toy"]["bundled"]
    assert "OSError: disk" in rows["bad_hook"]["traceback"]


def test_the_way_out_and_the_debug_switch(broken: Any) -> None:
    done = broken("info", "a.toy", SEAMWRIGHT_PLUGINS="good_toy")
    assert (done.returncode, done.stderr) == (0, "")
    none = broken("info", "a.toy", SEAMWRIGHT_PLUGINS="")
    assert none.returncode == 2
    assert "no reader is installed" in none.stderr
    debug = broken("info", "a.toy", SEAMWRIGHT_DEBUG="1")
    assert debug.returncode != 0
    assert "Traceback (most recent call last)" in debug.stderr


def test_a_lonely_plugin_blocked_leaves_the_rest(broken: Any) -> None:
    """Each bundled plugin taken away in turn: the others still load, commands still answer."""
    rows = json.loads(broken("plugins", "--json").stdout)["plugins"]
    names = [r["name"] for r in rows if r["bundled"]]
    for name in names:
        others = ",".join(["good_toy", *(n for n in names if n != name)])
        left = json.loads(broken("plugins", "--json", SEAMWRIGHT_PLUGINS=others).stdout)["plugins"]
        states = {r["name"]: r["status"] for r in left}
        assert states[name] == "blocked"
        assert all(states[n] == "loaded" for n in others.split(","))


HANGS = "import time\ntime.sleep(60)\n"


def test_a_plugin_that_hangs_is_found(tmp_path: Path) -> None:
    install(tmp_path, "slow_one", HANGS)
    done = subprocess.run(
        [sys.executable, "-m", "seamwright.cli.main", "plugins", "--try-each", "2"],
        env={**os.environ, "PYTHONPATH": str(tmp_path)},
        capture_output=True,
        text=True,
        check=False,
        timeout=90,
    )
    assert done.returncode == 2
    assert "did not finish in 2 s" in done.stdout


def test_fifty_plugins_are_all_found(tmp_path: Path) -> None:
    """How long they take stands in benchmarks/bench_start.py."""
    site = tmp_path / "site"
    site.mkdir()
    for i in range(50):
        install(site, f"light_{i:02}", GOOD.replace('name="toy"', f'name="toy-{i}"'))
    code = (
        "from seamwright.plugins.registry import Registry\nprint(len(Registry.discover().formats))"
    )

    def formats(**env: str) -> int:
        done = subprocess.run(
            [sys.executable, "-c", code], env={**os.environ, **env}, capture_output=True,
            text=True, check=True,
        )  # fmt: skip
        return int(done.stdout)

    assert formats(PYTHONPATH=str(site)) == formats() + 50


def test_plugins_in_this_process(seamwright: Any) -> None:
    said = seamwright("plugins", "--json")
    assert said.status == 0
    schema = json.loads(files("seamwright.cli").joinpath("schemas/plugins.json").read_text())
    jsonschema.Draft202012Validator.check_schema(schema)
    jsonschema.validate(said.json, schema)
    assert [f["full_name"] for f in said.json["formats"]] == ["toys/toy"]
    assert said.json["formats"][0]["writer"]["properties"]["tolerance"]["default"] == "0.05 mm"
    one = seamwright("plugins", "nudge", "--json")
    jsonschema.validate(one.json, schema)
    assert one.json["found"][0]["options"]["properties"]["by"]["description"] == "How far up."
    text = seamwright("plugins", "nudge", "--units", "in").out
    assert "How far up." in text and "a length from -3 15/16 in" in text
    unknown = seamwright("plugins", "nugde")
    assert unknown.status == 2 and 'did you mean "nudge"?' in unknown.err
    table = seamwright("plugins").out
    assert "toy" in table and "write" in table and "words" in table
