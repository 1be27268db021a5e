"""Notches placed, carried over a seam, taken away and renamed."""

from __future__ import annotations

from dataclasses import replace
from importlib.resources import files
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from seamwright.demo.blouse import blouse
from seamwright.geometry import Curve
from seamwright.model import (
    Dart,
    LineRole,
    Notch,
    NotchType,
    Pattern,
    Piece,
    Run,
    RunPart,
    Seam,
    Shape,
    build_shape,
)
from seamwright.pipeline import Pipeline, Use
from seamwright.plan import apply_plan, load_plan, plan_of, walk
from seamwright.plugins.api import StepRecord
from seamwright.testing.profile import tries

_QUICK = tries(25)


def _run(pattern: Pattern, use: str, **options: Any) -> tuple[Pattern, StepRecord]:
    after, record = Pipeline([Use(use, **options)]).run(pattern)
    assert [k for k in record.steps[0].invariants if not k.moved <= k.limit] == []
    return after, record.steps[0]


@pytest.fixture(scope="module")
def chorus() -> Pattern:
    text = (files("seamwright.demo") / "data" / "chorus-blouse.plan.toml").read_bytes()
    return apply_plan(blouse(), load_plan(text, "plan"))[0]


def _strip(height: float, size: str = "M", notches: dict[str, float] | None = None) -> Shape:
    """A panel 200 wide; its left edge runs down from "top" to "hem", notches at lengths down."""
    points = np.array([[0, 0], [0, -height], [200, -height], [200, 0]], dtype=np.float64)
    outline = Curve.polyline(points, closed=True)
    return build_shape(
        size=size,
        outline=outline,
        corners=[outline.station_at(float(s)) for s in outline.cumulative[:4]],
        corner_names=["top", "hem", "far-hem", "far-top"],
        notches=[Notch(name=n, station=outline.station_at(s)) for n, s in (notches or {}).items()],
    )


def _seam(sew: float | list[float], to: float, notches: dict[str, float]) -> Pattern:
    heights = sew if isinstance(sew, list) else [sew]
    sizes = tuple(f"s{i}" for i in range(len(heights)))
    runs = [Run(parts=(RunPart(piece=p, marks=("top", "hem")),)) for p in ("Upper", "Under")]
    return Pattern(
        name="p",
        pieces=(
            Piece(name="Upper", shapes=tuple(map(_strip, heights, sizes))),
            Piece(name="Under", shapes=tuple(_strip(to, s, notches) for s in sizes)),
        ),
        sizes=sizes,
        base_size=sizes[0],
        seams=(Seam(name="side", sew=runs[0], to=runs[1]),),
    )


def _at(pattern: Pattern, piece: str, notch: str) -> list[float]:
    shapes = pattern.piece(piece).shapes
    return [s.seam_line.length_of(s.notch(notch).station) for s in shapes]


# -- place ---------------------------------------------------------------------------------


def test_one_for_the_front_two_for_the_back_in_every_size(chorus: Pattern) -> None:
    after, step = _run(
        chorus, "place-notch", at=["Front: underarm > shoulder @ 40 %"],
        double=["Back: underarm > shoulder @ 60 mm"], name="pitch", depth=8.0, type="v",
    )  # fmt: skip
    for piece, names in (("Front", ["pitch-1"]), ("Back", ["pitch-1", "pitch-2"])):
        for shape in after.piece(piece).shapes:
            start = shape.seam_line.length_of(shape.corner("underarm").station)
            end = shape.seam_line.length_of(shape.corner("shoulder").station)
            at = [shape.seam_line.length_of(shape.notch(n).station) - start for n in names]
            want = [0.4 * (end - start)] if piece == "Front" else [57.0, 63.0]
            assert at == pytest.approx(want, abs=1e-8)
            assert {(shape.notch(n).type, shape.notch(n).depth) for n in names} == {
                (NotchType.V, 8.0)
            }
    assert step.looked_at == 3 * len(chorus.sizes)
    assert [f.code for f in step.findings] == ["notch.placed"]


@_QUICK
@given(share=st.floats(0.0, 100.0), height=st.floats(50, 900))
def test_a_share_of_a_run_lies_there(share: float, height: float) -> None:
    pattern = _seam([height], 300.0, {})
    spot = f"Upper: top > hem @ {share:.6f} %"
    after, step = _run(pattern, "place-notch", at=[spot], name="n")
    (at,) = _at(after, "Upper", "n")
    want = float(f"{share:.6f}") / 100.0 * height
    assert at == pytest.approx(want, abs=1e-6)
    near = any(f.code == "notch.near-corner" for f in step.findings)
    gap = min(want, height - want)
    if abs(gap - 10.0) > 1e-3 and gap > 1e-3:
        assert near == (gap < 10.0)


def test_what_cannot_be_placed_is_refused() -> None:
    pattern = _seam([300.0], 300.0, {"n": 50.0})
    for options, code in (
        ({"at": ["Upper: top > ham @ 5 %"]}, "plan.mark"),
        ({"at": ["Uper: top"]}, "plan.piece"),
        ({"at": ["Upper: top > hem @ 301 mm"]}, "spot.beyond"),
        ({"at": ["nonsense"]}, "spot.unreadable"),
        ({"at": ["Under: top + 90 mm"], "name": "n"}, "notch.name-taken"),
    ):
        same, step = _run(pattern, "place-notch", **options)
        assert same is pattern
        assert [f.code for f in step.findings] == [code]


# -- match ---------------------------------------------------------------------------------


@_QUICK
@given(
    sew=st.floats(200, 500), to=st.floats(200, 500),
    shares=st.lists(st.floats(0.05, 0.95), min_size=1, max_size=4, unique=True),
)  # fmt: skip
def test_even_ease_lies_even(sew: float, to: float, shares: list[float]) -> None:
    names = {f"n{i}": s * to for i, s in enumerate(sorted(shares))}
    pattern = _seam([sew], to, names)
    after, _ = _run(pattern, "match-notches")
    for name, y in names.items():
        assert _at(after, "Upper", name) == pytest.approx([y * sew / to], abs=1e-8)
    assert set(after.seams[0].meet) == {(n, n) for n in names}
    walked = walk(after)
    assert np.abs(walked.spread_miss).max() < 1e-8
    assert [f.code for f in walked.findings] == []


def test_plain_up_to_a_notch_and_eased_behind_it() -> None:
    pattern = _seam([330.0, 345.0], 300.0, {"low": 100.0, "high": 200.0})
    after, _ = _run(pattern, "match-notches", plain_to=["low"])
    assert _at(after, "Upper", "low") == pytest.approx([100.0, 100.0])
    assert _at(after, "Upper", "high") == pytest.approx([215.0, 222.5])
    ease = walk(after).stretch_ease
    assert ease == pytest.approx(np.array([[0.0, 0.0], [15.0, 22.5], [15.0, 22.5]]))


def test_a_stated_ease() -> None:
    pattern = _seam([330.0], 300.0, {"low": 100.0, "mid": 150.0, "high": 200.0})
    after, step = _run(pattern, "match-notches", ease={"low": 4.0, "high": 24.0})
    assert [_at(after, "Upper", n)[0] for n in ("low", "mid", "high")] == pytest.approx(
        [104.0, 164.0, 224.0]
    )
    assert [row["ease_before"] for row in step.figures["notches"]] == pytest.approx([4, 14, 24])


def test_partners_of_the_plan_move_and_keep_their_names() -> None:
    pattern = _seam([330.0], 300.0, {"n": 100.0})
    upper = _strip(330.0, "s0", {"own": 300.0})
    upper = upper.but(notches=tuple(replace(n, depth=7.0, type=NotchType.T) for n in upper.notches))
    seam = replace(pattern.seams[0], meet=(("own", "n"),))
    pattern = pattern.with_pieces([Piece(name="Upper", shapes=(upper,))]).but(seams=(seam,))
    after, step = _run(pattern, "match-notches")
    assert _at(after, "Upper", "own") == pytest.approx([110.0])
    assert after.seams[0].meet == (("own", "n"),)
    assert after.piece("Upper").shapes[0].notch("own").depth == 7.0
    assert "1 moved" in step.findings[0].message
    # The other way round: the sew side's notch stays.
    after, _ = _run(pattern, "match-notches", source="sew")
    assert _at(after, "Under", "n") == pytest.approx([300.0 * 300.0 / 330.0])
    assert _at(after, "Upper", "own") == pytest.approx([300.0])


def test_over_pieces_and_a_closed_dart() -> None:
    """A run over two pieces; the second has a dart, over which nothing is walked."""
    left = _strip(150.0)
    right = _strip(180.0)
    low, high = (right.seam_line.station_at(s) for s in (40.0, 70.0))
    right = right.but(darts=(Dart(name="d", left=low, right=high, apex=(60.0, -55.0)),))
    whole = _strip(300.0, notches={"a": 100.0, "b": 170.0, "c": 250.0})
    sides = (
        Run(parts=tuple(RunPart(piece=p, marks=("top", "hem")) for p in ("Left", "Right"))),
        Run(parts=(RunPart(piece="Whole", marks=("top", "hem")),)),
    )
    pattern = Pattern(
        name="p",
        pieces=tuple(
            Piece(name=n, shapes=(s,))
            for n, s in (("Left", left), ("Right", right), ("Whole", whole))
        ),
        sizes=("M",),
        base_size="M",
        seams=(Seam(name="s", sew=sides[0], to=sides[1]),),
    )
    after, _ = _run(pattern, "match-notches")
    assert _at(after, "Left", "a") == pytest.approx([100.0])
    assert _at(after, "Right", "b") == pytest.approx([20.0])
    assert _at(after, "Right", "c") == pytest.approx([130.0])  # 100 as sewn, and the mouth
    assert after.seams[0].meet == (("Left: a", "a"), ("Right: b", "b"), ("Right: c", "c"))
    assert np.abs(walk(after).miss).max() < 1e-9


def test_more_ease_than_there_is_is_refused() -> None:
    pattern = _seam([330.0], 300.0, {"low": 100.0, "high": 110.0})
    for options, code in (
        ({"ease": {"low": 240.0}}, "notch.beyond"),
        ({"ease": {"low": 30.0, "high": 0.0}}, "notch.order"),
        ({"ease": {"lw": 3.0}}, "notch.unknown"),
        ({"seam": ["sid"]}, "plan.seam"),
    ):
        same, step = _run(pattern, "match-notches", **options)
        assert same is pattern
        assert [f.code for f in step.findings] == [code]
    _, step = _run(pattern.but(seams=()), "match-notches")
    assert [f.code for f in step.findings] == ["notch.no-seam"]


def test_the_blouse_sleeve_is_plain_below_its_notches(chorus: Pattern) -> None:
    after, _ = _run(
        chorus, "match-notches", seam=["sleeve to armhole, back", "sleeve to armhole, front"],
        plain_to=["upper", "front"],
    )  # fmt: skip
    walked = walk(after)
    for t, (start, end) in enumerate(walked.stretch_names):
        if "underarm" in start or start == "back-lower":
            assert np.abs(walked.stretch_ease[t]).max() < 1e-6, (start, end)
    assert after.piece("Back") is chorus.piece("Back")


# -- remove and rename ---------------------------------------------------------------------


def test_taken_away_with_its_pair(chorus: Pattern) -> None:
    after, step = _run(chorus, "remove-notches", notch=["Back: waist", "Front: front"])
    assert {n.name for s in after.piece("Back").shapes for n in s.notches} == {"lower", "upper"}
    assert {f.code for f in step.findings} == {"notch.removed", "notch.unpaired"}
    assert next(s for s in after.seams if s.name == "side").meet == ()
    assert walk(after).findings == ()
    same, step = _run(chorus, "remove-notches", notch=["Sleeve"])
    assert same is chorus
    assert {f.code for f in step.findings} == {"notch.in-plan"}
    same, step = _run(chorus, "remove-notches", notch=["Back: wast"])
    assert same is chorus
    assert [f.code for f in step.findings] == ["notch.unknown"]
    assert "waist" in (step.findings[0].hint or "")


def test_renamed_in_the_plan_too(chorus: Pattern) -> None:
    names = {"Sleeve: shoulder": "crown", "Back: waist": "line"}
    after, _ = _run(chorus, "rename-notches", names=names)
    assert "crown" in {m for seam in after.seams for p in seam.sew.parts for m in p.marks}
    assert next(s for s in after.seams if s.name == "side").meet == (("waist", "line"),)
    before, now = walk(chorus), walk(after)
    assert np.array_equal(before.sew_lengths, now.sew_lengths)
    assert np.array_equal(before.stretch_sew, now.stretch_sew)
    # The plan, written and read again, fits.
    again, _ = apply_plan(after.but(seams=()), plan_of(after))
    assert again.seams == after.seams
    same, step = _run(chorus, "rename-notches", names={"Back: waist": "shoulder"})
    assert same is chorus
    assert [f.code for f in step.findings] == ["notch.name-taken"]


def test_counted_anew() -> None:
    pattern = _seam([300.0, 310.0], 300.0, {})
    shape = _strip(300.0, "s0", {"notch-7": 50.0, "hip": 100.0, "notch-3": 150.0})
    pattern = pattern.with_pieces([Piece(name="Under", shapes=(shape, shape.but(size="s1")))])
    after, _ = _run(pattern, "rename-notches", number=["*"])
    for s in after.piece("Under").shapes:
        assert [n.name for n in s.notches] == ["notch-1", "hip", "notch-2"]
    after, _ = _run(pattern, "rename-notches", number=["Under"], keep_names=False)
    assert [n.name for n in after.piece("Under").shapes[0].notches] == [
        "notch-1", "notch-2", "notch-3",
    ]  # fmt: skip


def test_a_partner_on_the_cut_line_comes_to_the_seam_line() -> None:
    from seamwright.model.edit import make_cut_line

    pattern = _seam([330.0], 300.0, {"n": 100.0})
    upper = make_cut_line(_strip(330.0, "s0", {"n": 40.0}), 10.0).shape
    assert upper.cut_line is not None
    near = upper.cut_line.nearest(np.array([[-10.0, -40.0]]))
    station = upper.cut_line.station_at(float(near.lengths[0]))
    notch = replace(upper.notches[0], line=LineRole.CUT, station=station)
    seam = replace(pattern.seams[0], meet=(("n", "n"),))
    pattern = pattern.with_pieces([Piece(name="Upper", shapes=(upper.but(notches=(notch,)),))]).but(
        seams=(seam,)
    )
    after, _ = _run(pattern, "match-notches")
    found = after.piece("Upper").shapes[0].notch("n")
    assert found.line is LineRole.SEAM
    assert _at(after, "Upper", "n") == pytest.approx([110.0])


def test_known_pairs_can_be_left_where_they_are() -> None:
    pattern = _seam([330.0], 300.0, {"n": 100.0, "m": 150.0})
    upper = _strip(330.0, "s0", {"own": 300.0})
    seam = replace(pattern.seams[0], meet=(("own", "n"),))
    pattern = pattern.with_pieces([Piece(name="Upper", shapes=(upper,))]).but(seams=(seam,))
    after, _ = _run(pattern, "match-notches", move=False)
    assert _at(after, "Upper", "own") == pytest.approx([300.0])
    assert _at(after, "Upper", "m") == pytest.approx([165.0])
    assert after.seams[0].meet == (("own", "n"), ("m", "m"))
    again, step = _run(after, "match-notches", move=False)
    assert again is after
    assert [f.code for f in step.findings] == ["notch.none"]
