"""info, check and convert over files, in text and in JSON."""

from __future__ import annotations

import json
from importlib.resources import files
from pathlib import Path
from typing import Annotated, Any, Literal

import jsonschema
import pytest

from seamwright.plugins.api import Options, Reader, choice

PLAN = '[[seam]]\nname = "hem"\nsew = "Front: b > c"\nto = "Back: b > c"\n'


def valid(document: Any, name: str) -> None:
    schema = json.loads(files("seamwright.cli").joinpath(f"schemas/{name}.json").read_text())
    jsonschema.Draft202012Validator.check_schema(schema)
    jsonschema.validate(document, schema)


def test_the_schemas_agree_on_what_a_finding_is() -> None:
    from seamwright.findings import Finding, Severity

    folder = files("seamwright.cli").joinpath("schemas")
    schemas = {p.name: json.loads(p.read_text()) for p in folder.iterdir()}
    kinds = [s["$defs"]["finding"] for s in schemas.values()]
    assert set(schemas) >= {"info.json", "check.json", "convert.json", "run.json", "plugins.json"}
    assert all(kind == kinds[0] for kind in kinds)
    full = Finding(
        code="a.b", severity=Severity.NOTE, message="m", file="f", piece="p", size="s", seam="x",
        edge="e", x=1.0, y=2.0, line=3, measured=4.0, limit=5.0, hint="h", rule="r",
        repaired=True, plugin="q", related=((1.0, 2.0),),
    )  # fmt: skip
    jsonschema.validate(full.to_json(), kinds[0])


def test_info_tells_what_is_in_a_file(seamwright: Any, toys: Any, tmp_path: Path) -> None:
    toys.save(tmp_path / "b.toy", toys.pattern())
    said = seamwright("info", "b.toy", "--json")
    assert said.status == 0
    valid(said.json, "info")
    doc = said.json
    assert list(doc) == ["pattern", "base_size", "sizes", "pieces", "seams", "facts", "findings"]
    assert (doc["pattern"], doc["base_size"], doc["sizes"]) == ("Toy blouse", "S", ["S", "L"])
    front = doc["pieces"][0]
    assert (front["name"], front["quantity"], doc["pieces"][1]["quantity"]) == ("Front", 1, 2)
    small = front["shapes"][0]
    assert [e["name"] for e in small["edges"]] == ["a > b", "b > c", "c > d", "d > a"]
    assert small["edges"][0]["length"] == pytest.approx(200.0, abs=1e-9)
    assert sum(e["length"] for e in small["edges"]) == pytest.approx(small["seam_line_length"])
    assert small["area"] == pytest.approx(100 * 200 + 2.5 * 100, rel=1e-12)
    assert small["bbox"] == pytest.approx([0, -3.75, 100, 200])
    assert small["corners"][0] == {"name": "a", "x": 0.0, "y": 200.0}
    assert small["notches"] == [
        {
            "name": "hip",
            "type": "t",
            "edge": "a > b",
            "at": pytest.approx(100.0),
            "x": 0.0,
            "y": 100.0,
        }
    ]
    assert small["grain_line"] == [[30.0, 20.0], [30.0, 80.0]]
    assert small["texts"] == ["size S"]
    assert doc["seams"][0]["sew"] == "Front: a > b"
    assert said.codes == ["toy.read"]


def test_info_in_words(seamwright: Any, toys: Any, tmp_path: Path) -> None:
    toys.save(tmp_path / "b.toy", toys.pattern())
    said = seamwright("info", "b.toy", "--units", "in")
    assert said.status == 0
    assert "b.toy: Toy blouse, 2 pieces, S (base), L" in said.out
    assert "3 15/16 in" in said.out
    assert "note: A toy was read. [toy.read]" in said.err
    edges = seamwright("info", "b.toy", "--edges")
    assert "a > b" in edges.out and "hip at 100 mm" in edges.out


def test_info_over_several_files_does_them_all(seamwright: Any, toys: Any, tmp_path: Path) -> None:
    toys.save(tmp_path / "b.toy", toys.pattern())
    (tmp_path / "bad.toy").write_bytes(toys.MAGIC + b"\x80")
    said = seamwright("info", "bad.toy", "b.toy", "no.toy", "--json")
    assert said.status == 2
    valid(said.json, "info")
    assert [d["file"] for d in said.json["files"]] == ["bad.toy", "b.toy", "no.toy"]
    codes = [[f["code"] for f in d["findings"]] for d in said.json["files"]]
    assert codes == [["toy.broken"], ["toy.read"], ["file.missing"]]
    assert said.err == ""
    text = seamwright("info", "bad.toy", "b.toy", "no.toy")
    assert "bad.toy: error: cut short" in text.err
    assert "no.toy: error: there is no file" in text.err
    assert "Toy blouse" in text.out


def test_a_plan_that_does_not_fit_does_not_hide_the_file(
    seamwright: Any, toys: Any, tmp_path: Path
) -> None:
    toys.save(tmp_path / "b.toy", toys.pattern(plain=True))
    (tmp_path / "b.plan.toml").write_text(PLAN.replace("Front:", "Fornt:"))
    said = seamwright("info", "b.toy", "--json")
    assert said.status == 1
    assert len(said.json["pieces"]) == 2
    assert any("Front" in (f["hint"] or "") for f in said.json["findings"])
    assert seamwright("check", "b.toy").status == 2


def test_options_of_readers_are_flags(seamwright: Any, toys: Any, tmp_path: Path) -> None:
    toys.save(tmp_path / "b.toy", toys.pattern(plain=True))
    for args in (["--scale", "2"], ["--scale=2"], ["--set", "scale=2"]):
        said = seamwright("info", "b.toy", *args, "--json")
        assert said.json["pieces"][0]["shapes"][0]["bbox"][2] == 200.0
    assert seamwright("info", "b.toy", "--marks", "a", "--marks", "b").status == 0
    assert seamwright("info", "b.toy", "--no-strict-eyes", "--join", ".5cm").status == 0
    help_text = seamwright("info", "--help").out
    assert "--join LENGTH" in help_text
    assert "Widest gap. [toy; default: 0.25 mm]" in " ".join(help_text.split())


@pytest.mark.parametrize(
    ("args", "says"),
    [
        (["--join", "5mn"], "did you mean mm"),
        (["--join", "-5mm"], "is -5 mm"),
        (["--join=30 mm"], "from 0 mm to 25 mm"),
        (["--set", "joyn=3"], 'did you mean "join"?'),
        (["--set", "join"], "NAME=VALUE"),
        (["--scale", "much"], "expected a number"),
        (["--joi", "3"], "--join"),
    ],
)
def test_bad_options_say_what_is_right(
    seamwright: Any, toys: Any, tmp_path: Path, args: list[str], says: str
) -> None:
    toys.save(tmp_path / "b.toy", toys.pattern(plain=True))
    said = seamwright("info", "b.toy", *args)
    assert said.status == 2
    assert says in said.err
    assert "Traceback" not in said.err


def test_names_that_begin_with_a_dash(seamwright: Any, toys: Any, tmp_path: Path) -> None:
    toys.save(tmp_path / "-5x.toy", toys.pattern())
    assert seamwright("info", "--", "-5x.toy").status == 0
    assert seamwright("convert", "--", "-5x.toy", "-6x.toy").status == 0
    assert (tmp_path / "-6x.toy").is_file()


def test_check_walks_and_judges(seamwright: Any, toys: Any, tmp_path: Path) -> None:
    toys.save(tmp_path / "b.toy", toys.pattern())
    said = seamwright("check", "b.toy", "--json")
    assert said.status == 1
    valid(said.json, "check")
    assert list(said.json) == ["seams", "findings", "summary"]
    assert [(s["size"], s["ease"], s["verdict"]) for s in said.json["seams"]] == [
        ("S", pytest.approx(-3.0), "under"), ("L", pytest.approx(-3.0), "under"),
    ]  # fmt: skip
    assert said.json["summary"] == {
        "files": 1, "pieces": 2, "sizes": 2, "seams": 2, "errors": 2, "warnings": 0, "notes": 1,
    }  # fmt: skip
    text = seamwright("check", "b.toy", "--units", "in")
    assert "2 seams walked, 2 out of range" in text.out
    assert "also in size L" in text.err or "also in size S" in text.err
    assert seamwright("check", "b.toy", "--fail-on", "note").status == 1


def test_check_takes_its_plan_from_the_side_or_by_name(
    seamwright: Any, toys: Any, tmp_path: Path
) -> None:
    toys.save(tmp_path / "b.toy", toys.pattern(plain=True))
    bare = seamwright("check", "b.toy", "--json")
    assert bare.status == 2  # nothing was looked at: no clean bill
    assert bare.json["seams"] == []
    assert "NOT CHECKED: there is no seam plan" in seamwright("check", "b.toy").err
    (tmp_path / "other.toml").write_text(PLAN)
    named = seamwright("check", "b.toy", "--plan", "other.toml", "--json")
    assert named.status == 1
    assert {s["name"] for s in named.json["seams"]} == {"hem"}
    (tmp_path / "b.plan.toml").write_text(PLAN)
    assert {s["name"] for s in seamwright("check", "b.toy", "--json").json["seams"]} == {"hem"}
    missing = seamwright("check", "b.toy", "--plan", "othr.toml")
    assert missing.status == 2
    assert 'did you mean "other.toml"' in missing.err


def test_check_over_several_files(seamwright: Any, toys: Any, tmp_path: Path) -> None:
    for name in ("a.toy", "b.toy"):
        toys.save(tmp_path / name, toys.pattern())
    said = seamwright("check", "a.toy", "b.toy", "no.toy", "--json")
    assert said.status == 2
    valid(said.json, "check")
    assert {s["file"] for s in said.json["seams"]} == {"a.toy", "b.toy"}
    assert said.json["summary"]["files"] == 3


def test_fitting_pieces_get_a_clean_bill(seamwright: Any, toys: Any, tmp_path: Path) -> None:
    pattern = toys.pattern()
    back = pattern.piece("Back").but(shapes=pattern.piece("Front").shapes)
    toys.save(tmp_path / "b.toy", pattern.with_pieces([back]))
    said = seamwright("check", "b.toy")
    assert said.status == 0
    assert "All seams that were walked go together." in said.out
    assert "ok" in seamwright("check", "b.toy", "--all").out


def test_convert_states_loss_and_reads_back(seamwright: Any, toys: Any, tmp_path: Path) -> None:
    from seamwright.plugins.api import EXACT, Feature

    toys.save(tmp_path / "in.toy", toys.pattern())

    def drops(pattern: Any) -> Any:
        return pattern.map_shapes(lambda _, s: s.but(texts=()))

    carries = {f: EXACT for f in Feature if f is not Feature.TEXT}
    registry = toys.full_registry(carries=carries, writes=drops)
    said = seamwright("convert", "in.toy", "out.toy", "--json", registry=registry)
    assert said.status == 0
    valid(said.json, "convert")
    assert said.json["deviation"] == 0.0
    assert "loss.dropped" in said.codes and "loss.unannounced" not in said.codes
    warned = seamwright("convert", "in.toy", "out2.toy", "--fail-on", "warning", registry=registry)
    assert warned.status == 1
    assert "text is dropped: 2 in all, in Front, in 2 sizes" in warned.err
    assert "greatest deviation 0 mm" in warned.out
    strict = seamwright("convert", "in.toy", "out3.toy", "--strict", registry=registry)
    assert strict.status == 2
    assert not (tmp_path / "out3.toy").exists()
    accepted = seamwright(
        "convert", "in.toy", "out3.toy", "--strict", "--accept-loss", "text=client reads labels",
        registry=registry,
    )  # fmt: skip
    assert accepted.status == 0
    assert "accepted: client reads labels" in accepted.err
    unknown = seamwright("convert", "in.toy", "o.toy", "--accept-loss", "txet", registry=registry)
    assert unknown.status == 2
    assert 'did you mean "text"' in unknown.err


def test_convert_never_falls_on_a_file(seamwright: Any, toys: Any, tmp_path: Path) -> None:
    source = toys.save(tmp_path / "in.toy", toys.pattern())
    before = source.read_bytes()
    (tmp_path / "link.toy").symlink_to("in.toy")
    (tmp_path / "there.toy").write_bytes(b"old")
    for target, code in (
        ("in.toy", "file.is-input"), ("IN.toy", "file.is-input"), ("link.toy", "file.is-input"),
        ("there.toy", "file.exists"), ("no/x.toy", "file.no-folder"),
        ("x.tyo", "format.no-suffix"),
    ):  # fmt: skip
        said = seamwright("convert", "in.toy", target, "--json")
        assert said.status == 2
        assert code in said.codes
        assert said.json["output"] is None
    assert seamwright("convert", "in.toy", "in.toy", "--overwrite").status == 2
    assert source.read_bytes() == before
    assert seamwright("convert", "in.toy", "there.toy", "--overwrite").status == 0
    assert (tmp_path / "there.toy").read_bytes() != b"old"


def test_writers_options_are_flags_too(seamwright: Any, toys: Any, tmp_path: Path) -> None:
    toys.save(tmp_path / "in.toy", toys.pattern())
    assert seamwright("convert", "in.toy", "a.toy", "--label", "x", "--scale", "2").status == 0
    assert seamwright("convert", "in.toy", "b.toy", "--set-out", "label=x").status == 0
    bad = seamwright("convert", "in.toy", "c.toy", "--tolerance", "0")
    assert bad.status == 2
    assert "at least 0.001 mm" in bad.err
    assert not (tmp_path / "c.toy").exists()
    bad = seamwright("convert", "in.toy", "c.toy", "--set-out", "labl=x")
    assert bad.status == 2 and 'did you mean "label"' in bad.err


def test_limits_can_be_raised_and_lowered(seamwright: Any, toys: Any, tmp_path: Path) -> None:
    toys.save(tmp_path / "b.toy", toys.pattern())
    low = seamwright("info", "b.toy", "--limit", "bytes=100", "--json")
    assert low.status == 2
    assert low.codes == ["file.too-large"]
    assert seamwright("info", "b.toy", "--limit", "bytes=1000000").status == 0


def test_a_fault_of_the_program_is_one_line(
    seamwright: Any, toys: Any, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    toys.save(tmp_path / "b.toy", toys.pattern())
    from seamwright.cli import documents

    def breaks(*_: Any) -> None:
        raise KeyError("oh")

    monkeypatch.setattr(documents, "info_document", breaks)
    said = seamwright("info", "b.toy")
    assert said.status == 2
    assert said.err.startswith("seamwright: a fault of the program itself: KeyError")
    assert "Traceback" not in said.err
    monkeypatch.setenv("SEAMWRIGHT_DEBUG", "1")
    with pytest.raises(KeyError):
        seamwright("info", "b.toy")


def test_a_drawing_of_unknown_size_is_no_check(seamwright: Any, toys: Any, tmp_path: Path) -> None:
    from seamwright.plugins.api import Finding, ReadResult, Severity

    def guesses(source: Any, options: Any, ctx: Any) -> ReadResult:
        seen = Finding(code="scale.unknown", severity=Severity.WARNING, message="No scale.")
        return ReadResult(pattern=fitting, findings=(seen,))

    pattern = toys.pattern()
    back = pattern.piece("Back").but(shapes=pattern.piece("Front").shapes)
    fitting = pattern.with_pieces([back])
    toys.save(tmp_path / "b.toy", fitting)
    registry = toys.full_registry(read=guesses)
    assert seamwright("check", "b.toy").status == 0
    said = seamwright("check", "b.toy", "--json", registry=registry)
    assert said.status == 1
    assert [f["severity"] for f in said.json["findings"] if f["code"] == "scale.unknown"] == [
        "error"
    ]
    converted = seamwright("convert", "b.toy", "c.toy", "--json", registry=registry)
    assert converted.status == 0


class Other(Options, frozen=True):
    scale: Annotated[Literal["half", "full"], choice("How large it was drawn.")] = "full"


def test_one_flag_of_two_formats_tells_of_both(seamwright: Any, toys: Any, tmp_path: Path) -> None:
    other = toys.toy_format("other", suffixes=(".oth",))
    object.__setattr__(other, "reader", Reader(options=Other, run=other.reader.run))
    registry = toys.registry(toys.toy_format(), other)
    text = " ".join(seamwright("info", "--help", registry=registry).out.split())
    assert "--scale VALUE How large it was drawn. [other; default: full] Factor. [toy" in text
    toys.save(tmp_path / "b.toy", toys.pattern())
    assert seamwright("info", "b.toy", "--scale", "2", registry=registry).status == 0
    assert seamwright("info", "b.toy", "--scale", "half", registry=registry).status == 2


def test_options_of_the_walk_are_flags_of_check(seamwright: Any, toys: Any, tmp_path: Path) -> None:
    toys.save(tmp_path / "b.toy", toys.pattern())
    assert seamwright("check", "b.toy", "--within", "4mm").status == 0
    assert seamwright("check", "b.toy", "--set-step", "within=1/4in").status == 0
    said = seamwright("check", "b.toy", "--within", "-4mm", "--json")
    assert said.status == 2
    assert "option.bounds" in said.codes


def test_a_document_holds_finite_figures_and_whole_signs_only(
    seamwright: Any, toys: Any, tmp_path: Path
) -> None:
    from seamwright.plugins.api import Finding, ReadResult, Severity

    def odd(source: Any, options: Any, ctx: Any) -> ReadResult:
        seen = Finding(
            code="toy.read", severity=Severity.NOTE, message="half \ud83e", measured=float("nan")
        )
        return ReadResult(pattern=toys.pattern(), findings=(seen,))

    toys.save(tmp_path / "b.toy", toys.pattern())
    said = seamwright("info", "b.toy", "--json", registry=toys.full_registry(read=odd))
    assert said.status == 0
    (finding,) = said.json["findings"]
    assert finding["measured"] is None
    assert finding["message"] == "half \ud83e"
    assert said.out.encode("utf-8")


def test_names_from_files_cannot_steer_a_terminal(
    seamwright: Any, toys: Any, tmp_path: Path
) -> None:
    pattern = toys.pattern(plain=True)
    evil = pattern.pieces[0].but(name="Fr\x1b[2Jont\n\u202e\ud83e")
    toys.save(tmp_path / "b.toy", pattern.but(pieces=(evil,), name="a\x07b"))
    said = seamwright("info", "b.toy", "--plan", "no.toml")
    assert not set(said.out + said.err) & set("\x1b\x07\u202e\ud83e")
    assert "Fr?[2Jont" in said.out
    assert seamwright("info", "b.toy", "--json").json["pieces"][0]["name"] == evil.name
