"""The proposed plan and its picture: what is there stays, what is proposed can be followed, every
label can be read."""

from __future__ import annotations

import itertools
import json
import re
from pathlib import Path
from xml.etree import ElementTree

import jsonschema
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import seamwright
from seamwright.cli.main import status_of
from seamwright.demo.blouse import blouse
from seamwright.geometry import Curve, Station, line_segments
from seamwright.model import Notch, Pattern, Piece, Shape, build_shape
from seamwright.plan import (
    SeamPlan,
    apply_plan,
    load_plan,
    plan_picture,
    propose,
    proposed,
    walk,
)
from seamwright.plan.labels import Label
from seamwright.plan.picture import draw
from seamwright.plan.proposal import propose_seams
from seamwright.testing.strategies import patterns, sleeves

SVG = "{http://www.w3.org/2000/svg}"


def nameless(pattern: Pattern) -> Pattern:
    """Every mark back to its number."""
    from dataclasses import replace

    def plain(_piece: Piece, shape: Shape) -> Shape:
        return shape.but(
            corners=tuple(
                replace(c, name=f"corner-{i}") for i, c in enumerate(shape.corners, start=1)
            ),
            notches=tuple(
                replace(n, name=f"notch-{i}") for i, n in enumerate(shape.notches, start=1)
            ),
        )

    return pattern.map_shapes(plain)


@settings(max_examples=30, deadline=None)
@given(patterns(), st.sampled_from(["mm", "cm", "in"]))
def test_the_proposal_is_a_plan_that_fits_and_keeps_what_is_there(
    pattern: Pattern, units: str
) -> None:
    text = propose(pattern, units=units, picture="x.svg")
    plan = load_plan(text, "x")
    found, findings = apply_plan(pattern, plan)
    assert [f.code for f in findings if f.code != "plan.name-loose"] == []
    assert found.seams[: len(pattern.seams)] == pattern.seams
    # Whatever is proposed, in comments or not, can be walked.
    for one in propose_seams(pattern, keep=pattern.seams).seams:
        named, _ = apply_plan(pattern, SeamPlan(pieces=plan.pieces, seams=(one.seam,)))
        assert walk(named).findings == ()
    for piece in found.pieces:
        for corner in piece.shapes[0].corners:
            assert f'"{corner.name}"' in text or f"# {corner.name};" in text
    # Proposed anew from what it made, its seams stay.
    again = apply_plan(found, load_plan(propose(found)))[0]
    assert again.seams[: len(found.seams)] == found.seams


@settings(max_examples=25, deadline=None)
@given(sleeves())
def test_a_sleeve_with_one_notch_and_none_is_not_named(drawn: tuple[Shape, float]) -> None:
    # One notch on either side says nothing of front and back.
    pattern = Pattern(
        name="x", pieces=(Piece(name="S", shapes=(drawn[0],)),), sizes=("M",), base_size="M"
    )
    names = proposed(nameless(pattern))["S"]
    assert set(names.corners or ()) == {""}
    assert set(names.notches or ()) == {""}


def sleeve(mirrored: bool) -> Shape:
    cap: list[list[list[float]]] = [
        [[160, 0], [80, 4], [80, 130], [0, 130]],
        [[0, 130], [-80, 130], [-80, 4], [-165, 0]],
    ]
    rest: list[list[float]] = [[-165.0, 0.0], [-120, -400], [120, -400], [160, 0]]
    outline = Curve.from_segments(
        [*cap, *line_segments(rest[:-1], rest[1:])], [1, 1, 0, 0, 0], closed=True
    )
    notches = [Station(0, 0.4), Station(1, 0.02), Station(1, 0.6), Station(1, 0.66),
               Station(2, 0.5)]  # fmt: skip
    shape = build_shape(
        size="M",
        outline=outline,
        corners=[Station(i, 0) for i in (0, 2, 3, 4)],
        notches=[Notch(name="", station=s) for s in notches],
    )
    if not mirrored:
        return shape
    flipped = Curve.from_segments(outline.segments * [-1, 1], outline.kinds, closed=True)
    return build_shape(
        size="M",
        outline=flipped,
        corners=[Station(i, 0) for i in (0, 2, 3, 4)],
        notches=[Notch(name="", station=s) for s in notches],
    )


@pytest.mark.parametrize("mirrored", [False, True])
def test_a_sleeve_with_one_notch_and_two_is_named(mirrored: bool) -> None:
    shape = sleeve(mirrored)
    pattern = Pattern(
        name="x", pieces=(Piece(name="S", shapes=(shape,)),), sizes=("M",), base_size="M"
    )
    names = proposed(pattern)["S"]
    corner = dict(zip(names.corners or (), shape.corners, strict=True))
    at = {n: shape.seam_line.point_of(c.station) for n, c in corner.items()}
    side = -1 if mirrored else 1
    assert at["underarm-front"].tolist() == [side * 160, 0]
    assert at["wrist-front"].tolist() == [side * 120, -400]
    assert at["underarm-back"].tolist() == [-side * 165, 0]
    assert at["wrist-back"].tolist() == [-side * 120, -400]
    notch = dict(zip(names.notches or (), shape.notches, strict=True))
    assert set(notch) == {"front", "shoulder", "back-upper", "back-lower", ""}
    low, up = (shape.seam_line.point_of(notch[n].station)[1] for n in ("back-lower", "back-upper"))
    assert low < up


def test_the_halves_of_a_bodice_are_named() -> None:
    names = proposed(nameless(blouse(["C"])))
    for name in ("Back", "Front"):
        assert names[name].corners == (
            "neck-centre", "hem-centre", "hem-side", "underarm", "shoulder", "neck-shoulder",
        )  # fmt: skip
    assert names["Sleeve"].corners == (
        "underarm-back", "wrist-back", "wrist-front", "underarm-front",
    )  # fmt: skip


def clashes(labels: tuple[Label, ...]) -> list[tuple[str, str]]:
    out = []
    for a, b in itertools.combinations(labels, 2):
        w = min(a.box[2], b.box[2]) - max(a.box[0], b.box[0])
        h = min(a.box[3], b.box[3]) - max(a.box[1], b.box[1])
        if w > 0 and h > 0:
            out.append((a.text, b.text))
    return out


def test_no_label_of_the_blouse_covers_another() -> None:
    for pattern in (blouse(), nameless(blouse())):
        picture = draw(pattern, units="in")
        for labels in picture.labels.values():
            assert clashes(labels) == []


@settings(max_examples=25, deadline=None)
@given(patterns())
def test_every_name_stands_in_the_picture_and_hardly_any_covers_another(pattern: Pattern) -> None:
    picture = draw(pattern)
    root = ElementTree.fromstring(picture.svg)
    texts = ["".join(t.itertext()) for t in root.iter(f"{SVG}text")]
    for piece in pattern.pieces:
        assert piece.name in texts
        shape = next(s for s in piece.shapes if s.size == pattern.base_size)
        wanted = len(shape.corners) * 2 + len(shape.notches)
        numbers = [x for x in picture.labels[piece.name] if x.kind == "number"]
        assert len(picture.labels[piece.name]) - len(numbers) == wanted
        for label in picture.labels[piece.name]:
            assert label.text in texts
            assert label.distance < 160.0
        assert len(clashes(picture.labels[piece.name])) <= wanted // 8
    # Self-contained: nothing is fetched, nothing runs.
    assert not re.search(r"script|href|url\(|@import|http(?!://www\.w3\.org/2000/svg)", picture.svg)


def test_awkward_names_and_pieces_without_marks() -> None:
    disc = build_shape(size="M", outline=Curve.circle((0, 0), 40))
    pattern = Pattern(
        name="</style><script>x",
        pieces=(
            Piece(name='<b>"&線', shapes=(disc,)),
            Piece(name="gone", shapes=()),
            Piece(name="a\nb = 1", shapes=(disc,)),
        ),
        sizes=("M",),
        base_size="M",
    )
    root = ElementTree.fromstring(plan_picture(pattern))
    assert not list(root.iter(f"{SVG}script"))
    plan = load_plan(propose(pattern))
    assert list(plan.pieces) == ['<b>"&線', "gone", "a\nb = 1"]
    assert ElementTree.fromstring(plan_picture(pattern.but(pieces=()))) is not None


@pytest.fixture
def file(tmp_path: Path) -> Path:
    path = tmp_path / "blouse.json"
    seamwright.write(nameless(blouse(["C", "D"])), path)
    return path


def test_the_command_writes_both_and_says_what_to_do_next(
    file: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert status_of(["plan", str(file), "--units", "in"]) == 0
    told = capsys.readouterr().out
    plan, picture = file.with_name("blouse.plan.toml"), file.with_name("blouse.plan.svg")
    assert "Next:" in told
    assert f"seamwright check {file} --plan {plan}" in told
    text = plan.read_text(encoding="utf-8")
    assert "blouse.plan.svg" in text
    assert load_plan(text).pieces["Sleeve"].corners is not None
    ElementTree.fromstring(picture.read_text(encoding="utf-8"))
    # Neither is ever written over; --update is told of.
    before = plan.read_bytes()
    assert status_of(["plan", str(file)]) == 2
    assert "--update" in capsys.readouterr().err
    assert plan.read_bytes() == before


def test_the_document_keeps_its_schema(
    file: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    schema = json.loads(
        (Path(seamwright.__file__).parent / "cli" / "schemas" / "plan.json").read_text()
    )
    args = ["plan", str(file), "--json", "--out", str(tmp_path / "x.toml")]
    assert status_of(args) == 0
    document = json.loads(capsys.readouterr().out)
    jsonschema.validate(document, schema)
    assert document["picture"] == str(tmp_path / "x.svg")
    assert [p["name"] for p in document["pieces"]] == ["Back", "Front", "Sleeve"]
    assert status_of(args) == 2
    refused = json.loads(capsys.readouterr().out)
    jsonschema.validate(refused, schema)
    assert refused["plan"] is None
    assert [f["code"] for f in refused["findings"]] == ["file.exists"]


@settings(max_examples=3, deadline=None)
@given(patterns())
def test_the_same_bytes_every_time(pattern: Pattern) -> None:
    assert propose(pattern) == propose(pattern)
    assert plan_picture(pattern) == plan_picture(pattern)
