"""The JSON format: nothing lost, numbers exact, every fault placed."""

from __future__ import annotations

import dataclasses
import json
import math
import os
import subprocess
import sys
from collections.abc import Callable
from importlib.resources import files
from typing import Any

import jsonschema
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from seamwright import model
from seamwright.findings import SeamwrightError
from seamwright.geometry import Curve, Station
from seamwright.plugins.api import EXACT, Context, Feature, Guess, Head, Limits, ReadResult, Source
from seamwright.testing import assert_patterns_equal
from seamwright.testing.strategies import patterns, shapes
from seamwright_json import document
from seamwright_json.options import JsonRead, JsonWrite
from seamwright_json.plugin import seamwright_formats

(FORMAT,) = seamwright_formats()
SCHEMA = json.loads((files("seamwright_json") / "data" / "pattern.schema.json").read_text("utf-8"))
VALIDATOR = jsonschema.Draft202012Validator(SCHEMA)


def written(pattern: model.Pattern, layout: str = "lines") -> bytes:
    assert FORMAT.writer is not None
    result = FORMAT.writer.run(pattern, JsonWrite(layout=layout), Context())  # type: ignore[arg-type]
    assert result.findings == ()
    (part,) = result.parts
    return part.data


def read(data: bytes, ctx: Context | None = None) -> ReadResult:
    assert FORMAT.reader is not None
    return FORMAT.reader.run(Source(name="x.json", data=data), JsonRead(), ctx or Context())


def refusal(data: bytes | dict[str, Any], ctx: Context | None = None) -> SeamwrightError:
    raw = data if isinstance(data, bytes) else json.dumps(data).encode()
    with pytest.raises(SeamwrightError) as caught:
        read(raw, ctx)
    assert caught.value.finding.file == "x.json"
    return caught.value


number = st.floats(allow_nan=False, allow_infinity=False)
text = st.text(st.characters(exclude_categories=["Cs"]), max_size=8)
point = st.tuples(number, number)
near = st.floats(-1e4, 1e4)
foreign = st.lists(st.builds(model.Foreign, format=text, where=text, data=text), max_size=2).map(
    tuple
)


@st.composite
def full_shapes(draw: st.DrawFn, size: str) -> model.Shape:
    """Every field of a shape set, with numbers as awkward as they come."""
    shape = draw(shapes(size=size))
    n = shape.seam_line.n
    station = st.builds(Station, st.integers(0, n - 1), st.floats(0, 1))
    cut = Curve.circle((draw(near), draw(near)), draw(st.floats(1, 1e3)))
    on_cut = st.builds(Station, st.integers(0, cut.n - 1), st.floats(0, 1))
    notch = st.builds(
        model.Notch,
        name=text,
        station=on_cut,
        type=st.sampled_from(list(model.NotchType)),
        depth=st.none() | number,
        width=st.none() | number,
        angle=st.none() | number,
        line=st.just(model.LineRole.CUT),
        distance=number,
        offset=point,
    )
    points = np.array(draw(st.lists(st.tuples(near, near), min_size=4, max_size=4)))
    inner = Curve.from_segments(points.reshape(1, 4, 2))
    return shape.but(
        cut_line=cut,
        notches=(*shape.notches, *draw(st.lists(notch, max_size=2))),
        darts=tuple(
            draw(st.lists(st.builds(model.Dart, name=text, left=station, right=station, apex=point),
                          max_size=2))
        ),
        internal_lines=(
            *shape.internal_lines,
            model.InternalLine(
                kind=draw(st.sampled_from(list(model.InternalKind))),
                curve=inner,
                name=draw(text),
                layer=draw(text),
                turn_points=(0,),
                curve_points=(0, 1),
            ),
        ),
        drill_holes=tuple(
            draw(st.lists(st.builds(model.DrillHole, at=point, diameter=st.none() | number,
                                    name=text, category=st.none() | st.integers(-9, 99)),
                          max_size=2))
        ),
        texts=tuple(
            draw(st.lists(st.builds(model.Text, text=text, at=point, height=number,
                                    rotation=number, role=st.sampled_from(list(model.TextRole)),
                                    layer=text), max_size=2))
        ),
        allowances=tuple(draw(number) for _ in range(max(1, len(shape.corners)))),
        grade_points=tuple(
            draw(st.lists(st.builds(model.GradePoint, rule=st.integers(0, 99), station=station,
                                    layer=text)
                          | st.builds(model.GradePoint, rule=st.integers(0, 99), at=point),
                          max_size=2))
        ),
        curve_points=tuple(draw(st.lists(station, max_size=2))),
        seam_line_source=draw(st.sampled_from(list(model.SeamLineSource))),
        mirrored_half=draw(st.booleans()),
        flags=tuple(draw(st.lists(st.tuples(text, text), max_size=2))),
        foreign=draw(foreign),
    )  # fmt: skip


@st.composite
def full_patterns(draw: st.DrawFn) -> model.Pattern:
    sizes = ("S", "Größe 線")
    count = draw(st.integers(1, 2))
    pieces = tuple(
        model.Piece(
            name=f"{draw(text)}{i}",
            shapes=tuple(draw(full_shapes(s)) for s in sizes[: draw(st.integers(0, 2))]),
            quantity=draw(st.tuples(st.integers(0, 9), st.integers(0, 9))),
            material=draw(text),
            category=draw(text),
            foreign=draw(foreign),
        )
        for i in range(count)
    )
    marks = st.lists(text, min_size=2, max_size=3).map(tuple)
    run = st.lists(st.builds(model.RunPart, piece=text, marks=marks), min_size=1, max_size=2)
    runs = run.map(lambda parts: model.Run(parts=tuple(parts)))
    ease = st.tuples(number, number).map(lambda e: model.Ease(at_least=min(e), at_most=max(e)))
    seam = st.builds(
        model.Seam,
        name=text,
        sew=runs,
        to=runs,
        ease=st.none() | ease,
        meet=st.lists(st.tuples(text, text), max_size=2).map(tuple),
        cap=st.sampled_from([None, "back", "front"]),
    )
    rules = model.GradeRules(
        name=draw(text),
        author=draw(text),
        date=draw(text),
        sizes=sizes,
        base_size="S",
        offsets={
            n: np.array(draw(st.lists(point, min_size=2, max_size=2)))
            for n in draw(st.lists(st.integers(0, 99), max_size=2, unique=True))
        },
    )
    return model.Pattern(
        name=draw(text),
        pieces=pieces,
        sizes=sizes,
        base_size=draw(st.sampled_from(sizes)),
        seams=tuple(draw(st.lists(seam, max_size=2))),
        grade_rules=draw(st.sampled_from([None, rules])),
        notes=tuple(draw(st.lists(st.tuples(text, text), max_size=2))),
        foreign=draw(foreign),
    )


@settings(max_examples=60)
@given(full_patterns(), st.sampled_from(["lines", "compact"]))
def test_everything_comes_back_exactly(pattern: model.Pattern, layout: str) -> None:
    data = written(pattern, layout)
    found = read(data)
    assert found.findings == ()
    assert_patterns_equal(found.pattern, pattern, 0.0)
    assert written(found.pattern, layout) == data
    VALIDATOR.validate(json.loads(data))


@settings(max_examples=30)
@given(patterns())
def test_both_layouts_say_the_same(pattern: model.Pattern) -> None:
    assert json.loads(written(pattern)) == json.loads(written(pattern, "compact"))
    assert max(map(len, written(pattern).decode().splitlines())) < 400


def test_numbers_at_the_edges() -> None:
    awkward = [0.1, 1 / 3, 5e-324, 1.7976931348623157e308, -0.0, 123456.7890123, 1e-17, 2.0**53 + 2]
    texts = tuple(model.Text(text="", at=(a, -a), height=a) for a in awkward)
    shape = model.build_shape(size="M", outline=Curve.circle((0, 0), 1), texts=texts)
    pattern = model.Pattern(
        name="", pieces=(model.Piece(name="p", shapes=(shape,)),), sizes=("M",), base_size="M"
    )
    back = read(written(pattern)).pattern.pieces[0].shapes[0].texts
    for a, one in zip(awkward, back, strict=True):
        assert one.height == a
        assert math.copysign(1, one.height) == math.copysign(1, a)


def test_the_document_has_every_field_of_the_model() -> None:
    """A field that is added to the model must be added here, or be lost."""
    pairs: list[tuple[type, type, set[str]]] = [
        (getattr(model, name), getattr(document, name), set())
        for name in ("Pattern", "Piece", "Shape", "Corner", "Notch", "GradePoint", "GrainLine",
                     "Dart", "InternalLine", "DrillHole", "Text", "Foreign", "RunPart", "Ease",
                     "Seam")
    ]  # fmt: skip
    for ours, theirs, gone in pairs:
        fields = {f.name for f in dataclasses.fields(ours) if not f.name.startswith("_")}
        keys = set(theirs.__struct_fields__) - {"format", "version"} | (  # type: ignore[attr-defined]
            {"format"} if theirs is document.Foreign else set()
        )
        assert fields - gone == keys, ours
    rules = {f.name for f in dataclasses.fields(model.GradeRules)}
    assert rules - {"offsets"} == set(document.GradeRules.__struct_fields__) - {"rules"}
    assert dict(FORMAT.carries) == dict.fromkeys(Feature, EXACT)


def test_the_published_schema_is_that_of_the_document() -> None:
    assert json.loads(json.dumps(document.schema())) == SCHEMA
    jsonschema.Draft202012Validator.check_schema(SCHEMA)


SQUARE: dict[str, Any] = {
    "format": "seamwright-pattern",
    "version": 1,
    "name": "x",
    "sizes": ["M"],
    "base_size": "M",
    "pieces": [
        {
            "name": "Front",
            "shapes": [
                {
                    "size": "M",
                    "seam_line": {
                        "closed": True,
                        "start": [0, 10],
                        "segments": [[0, 0], [10, 0], [10, 10], [7, 12, 3, 12, 0, 10]],
                    },
                    "corners": [{"name": "a", "station": [0, 0]}],
                    "notches": [{"name": "n", "station": [1, 0.5]}],
                }
            ],
        }
    ],
    "seams": [
        {
            "name": "s",
            "sew": [{"piece": "Front", "marks": ["a", "n"]}],
            "to": [{"piece": "Front", "marks": ["a", "n"]}],
        }
    ],
}


def changed(change: Callable[[dict[str, Any]], Any]) -> dict[str, Any]:
    copy: dict[str, Any] = json.loads(json.dumps(SQUARE))
    change(copy)
    return copy


def shape_of(d: dict[str, Any]) -> dict[str, Any]:
    out: dict[str, Any] = d["pieces"][0]["shapes"][0]
    return out


def test_a_document_written_by_hand() -> None:
    shape = read(json.dumps(SQUARE).encode()).pattern.piece("Front").shapes[0]
    assert shape.seam_line.n == 4
    assert shape.seam_line.kinds.tolist() == [0, 0, 0, 1]
    assert shape.seam_line.point_of(shape.notches[0].station).tolist() == [5.0, 0.0]


FAULTS: list[tuple[str, Callable[[dict[str, Any]], Any], str, str]] = [
    ("key", lambda d: d.update(nmae=1), '"nmae" is no key of $', "name"),
    ("key", lambda d: shape_of(d).update(notch=[]), "$.pieces[0].shapes[0]", '"notches"'),
    ("key", lambda d: d["seams"][0].update(eased=1), "$.seams[0]", '"ease"'),
    ("value", lambda d: d.pop("name"), "$", "schema"),
    ("value", lambda d: d.update(name=3), "$.name", "schema"),
    ("value", lambda d: d.update(base_size="L"), "base size", ""),
    ("value", lambda d: shape_of(d).update(size="L"), "$.pieces[0].shapes[0].size", ""),
    ("value", lambda d: d["pieces"][0]["shapes"].append(shape_of(d)), "there already", ""),
    ("value", lambda d: d["pieces"].append(d["pieces"][0]), "share a name", ""),
    ("value", lambda d: shape_of(d)["seam_line"].update(closed=False), "must be closed", ""),
    ("value", lambda d: shape_of(d)["seam_line"].update(segments=[]), "seam_line.segments", ""),
    ("value", lambda d: shape_of(d)["seam_line"]["segments"][0].append(1), "segments[0]", ""),
    ("value", lambda d: shape_of(d)["seam_line"].update(start=[5, 5]), "gap", ""),
    ("value", lambda d: shape_of(d)["notches"][0].update(station=[4, 0.5]), "notches[0]", ""),
    ("value", lambda d: shape_of(d)["notches"][0].update(station=[1, 1.5]), "notches[0]", ""),
    ("value", lambda d: shape_of(d)["notches"][0].update(line="cut"), "no cut line", ""),
    ("value", lambda d: shape_of(d)["notches"][0].update(type="star"), "notches[0].type", ""),
    ("value", lambda d: shape_of(d)["corners"][0].update(station=[0, 0.5]), "corners[0]", ""),
    ("value", lambda d: shape_of(d).update(allowances=[1, 2]), "2 allowances for 1", ""),
    ("value", lambda d: d["seams"][0].update(ease={"at_least": 3, "at_most": 2}), "ease", ""),
    ("value", lambda d: d["seams"][0]["sew"][0].update(marks=["a"]), "sew[0].marks", ""),
    ("value", lambda d: d.update(grade_rules={"sizes": ["M"], "rules": [
        {"rule": 1, "offsets": []}]}), "grade_rules", ""),
    ("version", lambda d: d.update(version=2), "version is 2", "newer"),
    ("version", lambda d: d.update(version=True), "version is true", ""),
    ("format", lambda d: d.pop("format"), "missing", ""),
    ("format", lambda d: d.update(format={"a": []}), "not a pattern", ""),
]  # fmt: skip


@pytest.mark.parametrize(("code", "change", "said", "hint"), FAULTS)
def test_faults_are_named_with_their_place(
    code: str, change: Callable[[dict[str, Any]], Any], said: str, hint: str
) -> None:
    error = refusal(changed(change))
    assert error.finding.code == f"json.{code}"
    assert said in error.finding.message
    assert hint in (error.finding.hint or "")


@pytest.mark.parametrize(
    "data",
    [b"", b"null", b"[]", b"3", b'{"format": "seamwright-pattern"', b"\xff\xfe", b'{"a": NaN}',
     b'{"a": 1,}', b'{"format": Infinity}'],
)  # fmt: skip
def test_what_is_no_such_document(data: bytes) -> None:
    assert refusal(data).finding.code in ("json.syntax", "json.format")


def test_syntax_errors_have_line_and_column() -> None:
    good = written(read(json.dumps(SQUARE).encode()).pattern)
    lines = good.split(b"\n")
    lines[2] = lines[2].replace(b":", b";")
    error = refusal(b"\n".join(lines))
    assert (error.finding.code, error.finding.line) == ("json.syntax", 3)


def test_numbers_that_are_none() -> None:
    raw = json.dumps(SQUARE)
    for bad in ("NaN", "Infinity", "1e999", "-1e999", "1e", "01"):
        refusal(raw.replace("[0, 10]", f"[0, {bad}]", 1).encode())


@given(st.data())
@settings(max_examples=60)
def test_a_document_cut_off_or_damaged_ends_in_one_clear_error(data: st.DataObject) -> None:
    good = json.dumps(SQUARE).encode()
    end = data.draw(st.integers(0, len(good) - 1))
    refusal(good[:end])
    at = data.draw(st.integers(0, len(good) - 1))
    broken = bytearray(good)
    broken[at] = data.draw(st.integers(0, 255))
    try:
        read(bytes(broken))
    except SeamwrightError as error:
        assert error.finding.code.startswith("json.")


@pytest.mark.parametrize("opening", [b"[", b'{"a":', b'{"format":"seamwright-pattern","pieces":['])
def test_nesting_without_end(opening: bytes) -> None:
    assert refusal(opening * 100_000).finding.code in (
        "json.depth", "json.syntax", "json.value", "json.format",
    )  # fmt: skip


def test_limits() -> None:
    raw = json.dumps(SQUARE).encode()
    error = refusal(raw, Context(limits=Limits(points=3)))
    assert "4 segments" in error.finding.message
    assert "--limit points" in str(error.finding.hint)


def test_not_a_number_in_the_model_is_never_written() -> None:
    texts = (model.Text(text="", at=(0.0, 0.0), height=math.nan),)
    shape = model.build_shape(size="M", outline=Curve.circle((0, 0), 1), texts=texts)
    pattern = model.Pattern(
        name="", pieces=(model.Piece(name="p", shapes=(shape,)),), sizes=("M",), base_size="M"
    )
    with pytest.raises(SeamwrightError) as caught:
        written(pattern)
    assert caught.value.finding.code == "json.not-finite"
    assert "$.pieces[0].shapes[0].texts[0].height is nan" in caught.value.finding.message


def test_an_outline_that_runs_clockwise_is_said() -> None:
    def turn(d: dict[str, Any]) -> None:
        shape_of(d)["seam_line"]["segments"] = [[10, 10], [10, 0], [0, 0], [0, 10]]

    found = read(json.dumps(changed(turn)).encode())
    assert [f.code for f in found.findings] == ["json.clockwise"]


def test_sniffing() -> None:
    def guess(data: bytes, name: str = "x.json") -> Guess:
        return FORMAT.sniff(Head(name=name, suffix=f".{name.rpartition('.')[2]}", data=data))

    square = written(read(json.dumps(SQUARE).encode()).pattern)
    assert guess(square[:4096]) is Guess.YES
    assert guess(b"\xef\xbb\xbf  \n" + square[:4096], "x.txt") is Guess.YES
    assert guess(b'{"a": 1}') is Guess.MAYBE
    assert guess(b'{"a": 1}', "x.svg") is Guess.NO
    assert guess(b"<svg/>") is Guess.NO
    assert guess(b"") is Guess.NO


def test_the_same_bytes_whatever_the_hash_seed() -> None:
    code = (
        "from seamwright.demo.blouse import blouse;"
        "from seamwright_json.write import write;from seamwright_json.options import JsonWrite;"
        "from seamwright.plugins.api import Context;import hashlib;"
        "print(hashlib.sha256(write(blouse(['C']),JsonWrite(),Context()).parts[0].data).hexdigest())"
    )
    digests = {
        subprocess.run(
            [sys.executable, "-c", code],
            env={**os.environ, "PYTHONHASHSEED": seed, "TZ": "Asia/Kathmandu"},
            capture_output=True, check=True, text=True,
        ).stdout
        for seed in ("1", "2")
    }  # fmt: skip
    assert len(digests) == 1
