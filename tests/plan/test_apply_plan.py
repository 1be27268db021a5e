"""Laying a plan on a pattern: names, seams, sizes that differ, and every refusal."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from seamwright.findings import SeamwrightError, Severity
from seamwright.geometry import Curve, Station
from seamwright.model import Notch, Pattern, Piece, Shape, build_shape
from seamwright.plan import apply_plan, load_plan, plan_of, plan_toml, walk
from seamwright.testing.strategies import patterns

Points = list[tuple[float, float]]


def shape(size: str, points: Points, notches: list[Station] | None = None) -> Shape:
    return build_shape(
        size=size,
        outline=Curve.polyline(points, closed=True),
        notches=[Notch(name="", station=s) for s in notches or []],
    )


def oblong(size: str, w: float = 100.0, h: float = 300.0) -> Shape:
    return shape(size, [(0, h), (0, 0), (w, 0), (w, h)], [Station(0, 0.5), Station(2, 0.5)])


def style(**pieces: list[Shape]) -> Pattern:
    sizes = tuple(dict.fromkeys(s.size for made in pieces.values() for s in made))
    return Pattern(
        name="style",
        pieces=tuple(
            Piece(name=n.replace("_", " "), shapes=tuple(made)) for n, made in pieces.items()
        ),
        sizes=sizes,
        base_size="M" if "M" in sizes else sizes[0],
    )


TWO = style(Front=[oblong("M")], Back_piece=[oblong("M")])
PLAN = """\
[pieces.Front]
corners = ["neck", "hem-centre", "hem-side", ""]
notches = ["", "waist"]

[[seam]]
name = "side"
sew = "Front: hem-side > corner-4"
to = "Back piece: corner-3 > corner-4"
meet = ["waist = notch-2"]
"""


def names(found: Shape) -> tuple[list[str], list[str]]:
    return [c.name for c in found.corners], [n.name for n in found.notches]


def test_names_go_in_order_and_an_empty_one_leaves_the_number() -> None:
    found, findings = apply_plan(TWO, load_plan(PLAN))
    assert findings == ()
    assert names(found.piece("Front").shapes[0]) == (
        ["neck", "hem-centre", "hem-side", "corner-4"],
        ["notch-1", "waist"],
    )
    # What the plan does not name is the very same object.
    assert found.piece("Back piece") is TWO.piece("Back piece")
    assert found.seams[0].name == "side"
    assert walk(found).ease.tolist() == [[0.0]]


def test_a_number_can_be_used_in_place_of_the_name() -> None:
    text = PLAN.replace("hem-side > corner-4", "corner-3 > corner-4").replace(
        '["waist', '["notch-2'
    )
    found, _ = apply_plan(TWO, load_plan(text))
    assert found.seams[0].sew.parts[0].marks == ("hem-side", "corner-4")
    assert found.seams[0].meet == (("waist", "notch-2"),)


def test_names_written_a_little_otherwise_are_taken_with_a_note() -> None:
    text = PLAN.replace("Back piece:", "backpiece:").replace("Front: hem-side", "front: Hem Side")
    found, findings = apply_plan(TWO, load_plan(text, "p.toml"))
    assert found.seams[0].to.pieces == ("Back piece",)
    assert found.seams[0].sew.parts[0].marks[0] == "hem-side"
    assert {f.code for f in findings} == {"plan.spelling"}
    assert all(f.severity is Severity.NOTE and f.file == "p.toml" for f in findings)
    assert {f.line for f in findings} == {7, 8}


def test_two_pieces_that_differ_in_case_only_are_not_mistaken() -> None:
    pattern = style(Front=[oblong("M")], FRONT=[oblong("M")])
    with pytest.raises(SeamwrightError) as caught:
        apply_plan(pattern, load_plan("[pieces.front]\n"))
    assert caught.value.finding.code == "plan.piece"


REFUSED = [
    ("[pieces.Front]", "[pieces.Frnot]", "plan.piece", 1, 'did you mean "Front"'),
    ('to = "Back piece:', 'to = "Back peice:', "plan.piece", 8, 'did you mean "Back piece"'),
    ("hem-side > ", "hem-sid > ", "plan.mark", 7, 'did you mean "hem-side"'),
    ('> corner-4"\nto', '> corner-5"\nto', "plan.mark", 7, '"corner-4"'),
    ("= notch-2", "= notch-3", "plan.mark", 9, '"notch-2"'),
    ("waist = ", "wast = ", "plan.mark", 9, 'did you mean "waist"'),
    ("= notch-2", "= notch-1", "plan.meet", 9, "Back piece: corner-3 > corner-4"),
    ("= notch-2", "= Front: waist", "plan.meet", 9, "Back piece: corner-3 > corner-4"),
    ('"neck", ', "", "plan.count", 2, "seamwright plan FILE"),
    ('["", "waist"]', '["waist"]', "plan.count", 3, "seamwright plan FILE"),
    ('"hem-side", ""', '"hem-side", "corner-1", ""', "plan.count", 2, "--corner-angle"),
    ('"neck",', '"corner-4",', "plan.twice", 1, "number"),
    ("hem-side > corner-4", "neck > hem-side", "plan.way", 7, "a mark between"),
    (
        "hem-side > corner-4",
        "hem-side > neck > corner-4 > hem-centre",
        "plan.way",
        7,
        "in the order",
    ),
    ('notches = ["", "waist"]', 'notches = ["", "hem-side"]', "plan.twice", 7, "another name"),
    ("[[seam]]", "[pieces.front]\n[[seam]]", "plan.twice", 5, "one table"),
]


@pytest.mark.parametrize(("old", "new", "code", "line", "hint"), REFUSED)
def test_refusals(old: str, new: str, code: str, line: int, hint: str) -> None:
    assert old in PLAN
    with pytest.raises(SeamwrightError) as caught:
        apply_plan(TWO, load_plan(PLAN.replace(old, new, 1), "p.toml"))
    found = caught.value.finding
    assert (found.code, found.line, found.file) == (code, line, "p.toml")
    assert found.hint is not None
    assert hint in found.hint


def test_a_wrong_count_says_how_many_were_found_and_where() -> None:
    with pytest.raises(SeamwrightError) as caught:
        apply_plan(TWO, load_plan('[pieces.Front]\ncorners = ["a", "b"]\n'))
    found = caught.value.finding
    assert "names 2 corners" in found.message
    assert "4 corners were found in size M" in found.message
    assert "corner-3 at (100.0, 0.0) mm" in found.message
    assert found.related == ((0.0, 300.0), (0.0, 0.0), (100.0, 0.0), (100.0, 300.0))
    assert (found.piece, found.size) == ("Front", "M")


def test_a_size_with_another_corner_is_named_by_place_and_said() -> None:
    chipped = shape(
        "L", [(0, 330), (0, 0), (110, 0), (110, 180), (95, 200), (110, 330)], [Station(0, 0.5)]
    )
    pattern = style(Front=[oblong("M"), chipped], Back_piece=[oblong("M"), oblong("L", 110, 330)])
    found, findings = apply_plan(pattern, load_plan(PLAN))
    assert [(f.code, f.piece, f.size, f.severity) for f in findings] == [
        ("plan.topology", "Front", "L", Severity.WARNING)
    ]
    corners, notches = names(found.piece("Front").in_size("L"))
    assert corners[:3] == ["neck", "hem-centre", "hem-side"]
    assert corners[5] == "corner-4"
    assert len(set(corners)) == 6
    # notch-1 lies where it does in M; the other is missing in L, and the walk says so.
    assert notches == ["notch-1"]
    walked = walk(found)
    assert np.isfinite(walked.ease[0]).all()
    assert [(f.code, f.size) for f in walked.findings] == [("notch.not-measured", "L")]


def test_a_notch_that_strayed_to_another_edge_is_said() -> None:
    other = shape("L", [(0, 300), (0, 0), (100, 0), (100, 300)], [Station(0, 0.5), Station(1, 0.5)])
    pattern = style(Front=[oblong("M"), other], Back_piece=[oblong("M")])
    _, findings = apply_plan(pattern, load_plan(PLAN))
    assert [(f.code, f.size) for f in findings] == [("plan.notch-place", "L")]
    assert '"waist"' in findings[0].message


def test_seams_of_the_pattern_are_renamed_with_their_marks() -> None:
    first, _ = apply_plan(TWO, load_plan(PLAN))
    again, _ = apply_plan(
        first, load_plan('[pieces.Front]\ncorners = ["a", "b", "c", "d"]\nnotches = ["x", "y"]\n')
    )
    seam = again.seams[0]
    assert seam.sew.parts[0].marks == ("c", "d")
    assert seam.meet == (("y", "notch-2"),)
    assert not walk(again).findings


@given(patterns(), st.sampled_from(["mm", "in"]))
def test_a_patterns_own_plan_changes_nothing(pattern: Pattern, units: str) -> None:
    plan = plan_of(pattern)
    found, findings = apply_plan(pattern, load_plan(plan_toml(plan, units=units)))
    assert findings == ()
    assert found is pattern
    assert plan_of(found) == plan


@given(patterns(seams=False), st.data())
def test_names_are_the_same_in_all_sizes(pattern: Pattern, data: st.DataObject) -> None:
    piece = data.draw(st.sampled_from(pattern.pieces))
    count = len(piece.shapes[0].corners)
    given_names = [f"c{i}" if data.draw(st.booleans()) else "" for i in range(count)]
    text = f'[pieces."{piece.name}"]\ncorners = {given_names!r}\n'.replace("'", '"')
    found, findings = apply_plan(pattern, load_plan(text))
    assert findings == ()
    for one in found.piece(piece.name).shapes:
        assert [c.name for c in one.corners] == [
            n or f"corner-{i + 1}" for i, n in enumerate(given_names)
        ]
