"""`seamwright run`: one file or several, none of which stops the others."""

from __future__ import annotations

import json
from importlib.resources import files
from pathlib import Path
from typing import Any

import jsonschema
import pytest

FIT = """\
seamwright = 1
units = "in"
[[step]]
use = "walk"
[[step]]
use = "fit"
[[step]]
use = "walk"
[[step]]
use = "write"
to = "{stem}-fitted.toy"
[[step]]
use = "report"
to = "{stem}.words"
"""


@pytest.fixture
def folder(toys: Any, tmp_path: Path) -> Path:
    toys.save(tmp_path / "a.toy", toys.pattern())
    toys.save(tmp_path / "b.toy", toys.pattern())
    (tmp_path / "fit.toml").write_text(FIT)
    return tmp_path


def valid(document: Any) -> None:
    schema = json.loads(files("seamwright.cli").joinpath("schemas/run.json").read_text())
    jsonschema.Draft202012Validator.check_schema(schema)
    jsonschema.validate(document, schema)


def test_a_run_over_one_file(seamwright: Any, folder: Path) -> None:
    said = seamwright("run", "fit.toml", "a.toy", "--out", "out", "--json")
    valid(said.json)
    assert said.status == 0  # what the first walk found, the fitting put right
    (run,) = said.json["runs"]
    assert [s["use"] for s in run["steps"]] == [
        "toys/walk", "toys/fit", "toys/walk", "write", "report",
    ]  # fmt: skip
    walk, fit, again = run["steps"][:3]
    assert len([f for f in walk["findings"] if f["code"] == "seam.under"]) == 2
    assert again["findings"] == []
    assert {c["piece"] for c in fit["changed"]} == {"Back"}
    assert [s["ease"] for s in fit["seams_before"]] == pytest.approx([-3.0, -3.0])
    assert [s["ease"] for s in fit["seams_after"]] == pytest.approx([0.0, 0.0])
    assert sorted(p.name for p in (folder / "out").iterdir()) == ["a-fitted.toy", "a.words"]
    assert said.json["summary"] == {
        "files": 1, "done": 1, "outputs": 2, "errors": 0, "warnings": 0, "notes": 2,
    }  # fmt: skip
    assert set(run["inputs"]) == {"a.toy"}
    assert seamwright("check", "out/a-fitted.toy").status == 0


def test_a_run_in_words_speaks_the_pipelines_units(seamwright: Any, folder: Path) -> None:
    said = seamwright("run", "fit.toml", "a.toy", "--out", "out")
    assert said.status == 0
    assert "toys/fit" in said.out and " in" in said.out
    assert "a-fitted.toy" in said.out


def test_what_still_stands_at_the_end_counts(seamwright: Any, folder: Path) -> None:
    (folder / "walk.toml").write_text(FIT.replace('use = "fit"', 'use = "nudge"'))
    assert seamwright("run", "walk.toml", "a.toy", "--out", "out").status == 1


def test_one_bad_file_does_not_stop_the_others(seamwright: Any, folder: Path) -> None:
    (folder / "bad.toy").write_bytes(b"not a toy")
    names = ["a.toy", "bad.toy", "no.toy", "b.toy"]
    said = seamwright("run", "fit.toml", *names, "--out", "out", "--json")
    valid(said.json)
    assert said.status == 2
    assert [r["done"] for r in said.json["runs"]] == [True, False, False, True]
    assert [[f["code"] for f in r["findings"]] for r in said.json["runs"]][1:3] == [
        ["format.unknown"], ["file.missing"],
    ]  # fmt: skip
    assert len(list((folder / "out").iterdir())) == 4
    text = seamwright("run", "fit.toml", *names, "--out", "out2")
    assert text.status == 2
    assert "bad.toy: NOT DONE" in text.err and "2 of 4 files done" in text.err
    fast = seamwright("run", "fit.toml", *names, "--out", "out3", "--fail-fast", "--json")
    assert len(fast.json["runs"]) == 2


def test_outputs_stay_unless_told(seamwright: Any, folder: Path) -> None:
    assert seamwright("run", "fit.toml", "a.toy", "--out", "out").status == 0
    again = seamwright("run", "fit.toml", "a.toy", "--out", "out", "--json")
    assert again.status == 2
    assert "file.exists" in again.codes
    assert [s["use"] for s in again.json["runs"][0]["steps"]] == [
        "toys/walk", "toys/fit", "toys/walk",
    ]  # fmt: skip
    assert seamwright("run", "fit.toml", "a.toy", "--out", "out", "--overwrite").status == 0


def test_an_input_is_never_written_over(seamwright: Any, folder: Path) -> None:
    (folder / "w.toml").write_text('seamwright = 1\n[[step]]\nuse = "write"\nto = "{stem}.toy"\n')
    before = (folder / "a.toy").read_bytes()
    said = seamwright("run", "w.toml", "a.toy", "b.toy", "--overwrite", "--json")
    assert said.status == 2
    assert said.codes.count("file.is-input") == 2
    assert (folder / "a.toy").read_bytes() == before


@pytest.mark.parametrize(
    ("change", "code", "line"),
    [
        (('use = "fit"', 'use = "fti"'), "name.unknown", 6),
        (("{stem}-fitted.toy", "fixed.toy"), "output.twice", 11),
        (("seamwright = 1", "seamwright = 9"), "pipeline.version", 1),
        (('units = "in"', "units = [[["), "pipeline.syntax", None),
    ],
)
def test_a_pipeline_that_cannot_run_whole_opens_nothing(
    seamwright: Any, folder: Path, change: tuple[str, str], code: str, line: int | None
) -> None:
    (folder / "bad.toml").write_text(FIT.replace(*change))
    said = seamwright("run", "bad.toml", "a.toy", "b.toy", "--out", "out", "--json")
    assert said.status == 2
    valid(said.json)
    assert said.json["runs"] == []
    finding = said.json["findings"][0]
    assert (finding["code"], finding["file"]) == (code, "bad.toml")
    assert line is None or finding["line"] == line
    assert not (folder / "out").exists()
    text = seamwright("run", "bad.toml", "a.toy", "b.toy")
    assert text.status == 2 and "Traceback" not in text.err


def test_inputs_of_one_stem_are_refused_together(seamwright: Any, folder: Path) -> None:
    (folder / "sub").mkdir()
    (folder / "sub" / "A.toy").write_bytes((folder / "a.toy").read_bytes())
    said = seamwright("run", "fit.toml", "a.toy", "sub/A.toy", "--out", "out", "--json")
    assert said.status == 2
    assert said.codes == ["output.twice"]


def test_a_plan_by_name_goes_before_the_pipelines(seamwright: Any, toys: Any, folder: Path) -> None:
    for name in ("hem", "side"):
        edge = "b > c" if name == "hem" else "a > b"
        (folder / f"{name}.toml").write_text(
            f'[[seam]]\nname = "{name}"\nsew = "Front: {edge}"\nto = "Back: {edge}"\n'
        )
    toys.save(folder / "p.toy", toys.pattern(plain=True))
    (folder / "w.toml").write_text('seamwright = 1\nplan = "hem.toml"\n[[step]]\nuse = "walk"\n')

    def seams(*args: str) -> set[str]:
        said = seamwright("run", "w.toml", "p.toy", *args, "--json")
        return {s["name"] for s in said.json["runs"][0]["steps"][0]["seams_after"]}

    assert seams() == {"hem"}
    assert seams("--plan", "side.toml") == {"side"}


def test_the_same_run_gives_the_same_bytes(seamwright: Any, folder: Path) -> None:
    outs = []
    for out in ("one", "two"):
        said = seamwright("run", "fit.toml", "a.toy", "--out", out, "--json")
        made = {p.name: p.read_bytes() for p in sorted((folder / out).iterdir())}
        outs.append((said.out.replace(f"{out}/", ""), made))
    assert outs[0] == outs[1]
