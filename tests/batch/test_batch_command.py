"""check and run over many styles, in this process: tables, places of outputs, exit statuses."""

from __future__ import annotations

import json
import os
from importlib.resources import files
from pathlib import Path
from typing import Any

import jsonschema
import pytest

MOVED = """\
seamwright = 1
[[step]]
use = "walk"
[[step]]
use = "write"
to = "{stem}-w.toy"
[[step]]
use = "report"
to = "{stem}.words"
"""
HERE = ("--executor", "here")


def valid(document: Any, name: str) -> None:
    schema = json.loads(files("seamwright.cli").joinpath(f"schemas/{name}.json").read_text())
    jsonschema.Draft202012Validator.check_schema(schema)
    jsonschema.validate(document, schema)


@pytest.fixture
def styles(toys: Any, tmp_path: Path) -> Path:
    """x/a, x/b (which fits) and y/a."""
    for name in ("x/a", "x/b", "y/a"):
        path = tmp_path / "styles" / f"{name}.toy"
        path.parent.mkdir(parents=True, exist_ok=True)
        pattern = toys.pattern()
        if name == "x/b":
            back = pattern.piece("Back").but(shapes=pattern.piece("Front").shapes)
            pattern = pattern.with_pieces([back])
        toys.save(path, pattern)
    (tmp_path / "moved.toml").write_text(MOVED)
    return tmp_path / "styles"


def made(folder: Path) -> list[str]:
    return sorted(p.relative_to(folder).as_posix() for p in folder.rglob("*") if p.is_file())


def test_check_tells_the_worst_first_and_one_style_in_full_alone(inside: Any, styles: Path) -> None:
    said = inside("check", "styles", *HERE)
    assert said.status == 1
    rows = [line.split() for line in said.out.splitlines() if line.startswith("styles/")]
    assert [(r[0], r[1:4]) for r in rows] == [
        ("styles/x/a.toy", ["out", "of", "range"]), ("styles/y/a.toy", ["out", "of", "range"]),
    ]  # fmt: skip
    assert "3 of 3 styles done" in said.err
    assert "styles/x/b.toy" in inside("check", "styles", *HERE, "--all").out
    assert inside("check", "styles/x/b.toy").status == 0
    document = inside("check", "styles", *HERE, "--json").json
    valid(document, "check")
    alone = inside("check", "styles/x/a.toy", "styles/x/b.toy", "styles/y/a.toy", "--json").json
    assert document["seams"] == alone["seams"]
    assert {k: v for k, v in document["summary"].items() if k not in ("done", "stopped")} == alone[
        "summary"
    ]


def test_the_plan_in_a_folder_goes_by_name(inside: Any, toys: Any, tmp_path: Path) -> None:
    (tmp_path / "plans").mkdir()
    for name in ("a", "b"):
        toys.save(tmp_path / f"{name}.toy", toys.pattern(plain=True))
    (tmp_path / "plans" / "A.plan.toml").write_text(
        '[[seam]]\nname = "hem"\nsew = "Front: b > c"\nto = "Back: b > c"\n'
    )
    said = inside("check", ".", "--plans", "plans", *HERE, "--json")
    assert {(s["file"], s["name"]) for s in said.json["seams"]} == {("a.toy", "hem")}
    assert said.status == 2  # b was not looked at
    words = inside("check", ".", "--plans", "plans", *HERE)
    assert "b.toy: NOT CHECKED: there is no seam plan" in words.err
    assert "not checked" in words.out


def test_run_mirrors_the_tree_and_says_which_file_is_whose(inside: Any, styles: Path) -> None:
    out = styles.parent / "out"
    said = inside("run", "moved.toml", "styles", "--out", "out", *HERE, "--json")
    assert said.status == 1
    valid(said.json, "run")
    assert made(out) == [
        "seamwright-outputs.json", "x/a-w.toy", "x/a.words", "x/b-w.toy", "x/b.words",
        "y/a-w.toy", "y/a.words",
    ]  # fmt: skip
    whose = json.loads((out / "seamwright-outputs.json").read_text())["styles"]
    assert [(w["input"], [o["file"] for o in w["outputs"]]) for w in whose][2] == (
        "styles/y/a.toy", ["y/a-w.toy", "y/a.words"],
    )  # fmt: skip
    assert said.json["summary"]["outputs"] == 6
    # The same as file by file, byte for byte.
    inside("run", "moved.toml", "styles/y/a.toy", "--out", "single")
    for name in ("a-w.toy", "a.words"):
        assert (out / "y" / name).read_bytes() == (styles.parent / "single" / name).read_bytes()
    assert not any(p.name.startswith(".") for p in out.iterdir())
    # Outputs inside the folder of inputs are no inputs of the next run.
    inside("run", "moved.toml", "styles", "--out", "styles/out", *HERE)
    again = inside("run", "moved.toml", "styles", "--out", "styles/out", *HERE)
    assert "3 of 3 styles done, 3 of them as they were done before" in again.err


def test_what_is_missing_or_altered_is_made_again(inside: Any, styles: Path) -> None:
    out = styles.parent / "out"
    run = ("run", "moved.toml", "styles", "--out", "out", *HERE)
    inside(*run)
    before = {name: (out / name).read_bytes() for name in made(out)}
    (out / "x" / "a-w.toy").unlink()
    (out / "y" / "a.words").write_text("written over by hand")
    said = inside(*run, "--log", "log.jsonl")
    events = [json.loads(line) for line in Path("log.jsonl").read_text().splitlines()]
    assert [e["style"] for e in events if e["event"] == "kept"] == ["styles/x/b.toy"]
    assert {name: (out / name).read_bytes() for name in before} == before
    assert (out / "y" / "a.altered-1.words").read_text() == "written over by hand"
    assert "output.altered" in said.err
    Path("styles/y/a.toy").write_bytes(Path("styles/x/b.toy").read_bytes())
    assert inside(*run).status == 1  # a new version of a style, written over our own old output
    assert (out / "y" / "a-w.toy").read_bytes() != before["y/a-w.toy"]


def test_what_others_wrote_stays_unless_told(inside: Any, styles: Path) -> None:
    out = styles.parent / "out"
    (out / "x").mkdir(parents=True)
    (out / "x" / "a.words").write_text("not ours")
    run = ("run", "moved.toml", "styles", "--out", "out", *HERE)
    said = inside(*run, "--json")
    assert said.status == 2
    bad = [r for r in said.json["runs"] if not r["done"]]
    assert [(r["file"], r["findings"][0]["code"]) for r in bad] == [
        ("styles/x/a.toy", "file.exists")
    ]
    assert (out / "x" / "a.words").read_text() == "not ours"
    assert not (out / "x" / "a-w.toy").exists()  # all of a style or nothing
    assert inside(*run, "--overwrite").status == 1
    assert (out / "x" / "a.words").read_text() != "not ours"


def test_an_input_is_never_written_over_by_a_batch(inside: Any, styles: Path) -> None:
    Path("w.toml").write_text('seamwright = 1\n[[step]]\nuse = "write"\nto = "{stem}.toy"\n')
    before = {p: (styles / p).read_bytes() for p in made(styles)}
    folder = inside("run", "w.toml", "styles", "--out", "styles", *HERE, "--json")
    assert folder.json["findings"][0]["code"] == "output.among-inputs"
    args = ("--out", "styles", "--overwrite", *HERE, "--json")
    said = inside("run", "w.toml", "styles/**/*.toy", *args)
    assert said.status == 2
    assert [r["findings"][0]["code"] for r in said.json["runs"]] == ["file.is-input"] * 3
    assert {p: (styles / p).read_bytes() for p in before} == before


def test_a_manifest_gives_each_style_its_pipeline(inside: Any, styles: Path) -> None:
    Path("short.toml").write_text('seamwright = 1\n[[step]]\nuse = "write"\nto = "{stem}-s.toy"\n')
    Path("m.toml").write_text(
        'pipeline = "moved.toml"\n[[style]]\nfile = "styles/x/a.toy"\n'
        '[[style]]\nfile = "styles/y/a.toy"\nname = "Y"\npipeline = "short.toml"\n'
    )
    said = inside("run", "--manifest", "m.toml", "--out", "out", *HERE, "--json")
    assert said.status == 1
    assert [r["style"] for r in said.json["runs"]] == ["styles/x/a.toy", "Y"]
    assert made(Path("out")) == [
        "seamwright-outputs.json", "x/a-w.toy", "x/a.words", "y/a-s.toy",
    ]  # fmt: skip
    Path("n.toml").write_text('[[style]]\nfile = "styles/x/a.toy"\n')
    none = inside("run", "--manifest", "n.toml", "--json")
    assert none.status == 2 and none.json["findings"][0]["code"] == "batch.manifest"
    bad = inside("run", "--manifest", "m.toml", "--out", "o2", "--json", "--units", "in", *HERE)
    assert bad.status == 1


@pytest.mark.parametrize(
    ("args", "code"),
    [
        (("check", "*.none"), "batch.empty"),
        (("check", "empty"), "batch.empty"),
        (("run", "moved.toml", "empty"), "batch.empty"),
        (("run", "no.toml", "styles"), "file.missing"),
        (("run", "moved.toml", "styles", "--out", "moved.toml/x"), "file.unwritable"),
        (("check", "styles", "--plans", "nowhere"), "file.missing"),
        (("check", "styles", "--manifest", "nowhere.toml"), "file.missing"),
        (("check", "styles", "--log", "nowhere/log"), "file.unwritable"),
        (("check", "styles", "--cluster", "local", "--executor", "pool"), "option.value"),
    ],
)
def test_what_cannot_begin_is_one_error(
    inside: Any, styles: Path, args: tuple[str, ...], code: str
) -> None:
    Path("empty").mkdir()
    said = inside(*args, "--json")
    assert said.status == 2
    assert [f["code"] for f in said.json["findings"]] == [code]
    valid(said.json, args[0])
    assert "Traceback" not in said.err


def test_names_are_asked_for(inside: Any) -> None:
    for args, what in ((("check",), "FILE"), (("run",), "PIPELINE"), (("run", "x"), "IN")):
        said = inside(*args)
        assert said.status == 2 and what in said.err


def test_two_templates_that_meet_are_found_before_anything_is_done(
    inside: Any, toys: Any, tmp_path: Path
) -> None:
    for name in ("a", "a-w"):
        toys.save(tmp_path / f"{name}.toy", toys.pattern())
    Path("two.toml").write_text(
        'seamwright = 1\n[[step]]\nuse = "write"\nto = "{stem}-w.toy"\n'
        '[[step]]\nuse = "write"\nto = "{stem}.toy"\n'
    )
    said = inside("run", "two.toml", ".", "--out", "out", *HERE, "--json")
    assert said.status == 2
    assert [f["code"] for f in said.json["findings"]] == ["output.twice"]
    assert not os.path.lexists("out")


def test_more_than_a_few_files_make_a_batch(inside: Any, toys: Any, tmp_path: Path) -> None:
    names = [f"s{i}.toy" for i in range(9)]
    for name in names:
        toys.save(tmp_path / name, toys.pattern())
    few = inside("check", *names[:8], "--json")
    many = inside("check", *names, *HERE, "--json")
    assert "styles" not in few.json and len(many.json["styles"]) == 9
    assert many.json["seams"][: len(few.json["seams"])] == few.json["seams"]
