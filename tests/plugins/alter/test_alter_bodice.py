"""Armhole, shoulder slope, broad back and moved seams: generated bodices with their sleeves."""

from __future__ import annotations

from functools import cache
from importlib.resources import files
from typing import Any

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from hypothesis.strategies import DrawFn

from seamwright.demo.blouse import blouse
from seamwright.geometry import CUBIC, LINE, Curve, FloatArray, Station, line_segments
from seamwright.model import (
    Dart,
    GrainLine,
    Notch,
    Pattern,
    Piece,
    Run,
    RunPart,
    Seam,
    Shape,
    build_shape,
)
from seamwright.model.edit import make_cut_line, transform
from seamwright.pipeline import Pipeline, Use
from seamwright.plan import apply_plan, cap_of, load_plan, walk
from seamwright.plugins.record import Record
from seamwright.testing.strategies import sleeves


@cache
def theatre() -> Pattern:
    plan = files("seamwright.demo").joinpath("data", "chorus-blouse.plan.toml").read_text()
    return apply_plan(blouse(), load_plan(plan))[0]


def run(pattern: Pattern, step: str, **options: Any) -> tuple[Pattern, Record]:
    return Pipeline([Use(step, **options)]).run(pattern)


def half_bodice(width: float, deep: float, slope: float, flare: float, notch: float) -> Shape:
    """Half a bodice: centre at x = 0, armhole and side seam to the right; all edges but the
    armhole straight."""
    tip = np.array([0.8 * width, 0.85 * deep - slope])
    underarm = np.array([width, 0.0])
    corners = np.array([
        [0.0, deep - 20.0], [0.0, -350.0], [width + flare, -350.0], underarm, tip,
        [0.32 * width, deep],
    ])  # fmt: skip
    armhole = np.array([
        underarm,
        underarm + np.array([-0.16 * width, 0.0]),
        tip + np.array([-0.06 * width, -0.55 * deep]),
        tip,
    ])  # fmt: skip
    ends = np.roll(corners, -1, axis=0)
    segments = line_segments(corners, ends)
    segments[3] = armhole
    kinds = np.full(6, LINE, dtype=np.uint8)
    kinds[3] = CUBIC
    return build_shape(
        size="M",
        outline=Curve.from_segments(segments, kinds, closed=True),
        corners=[Station(i, 0.0) for i in range(6)],
        corner_names=["nape", "hem-centre", "hem-side", "underarm", "shoulder", "neck"],
        notches=[
            Notch(name="armhole", station=Station(3, notch)),
            Notch(name="waist", station=Station(2, 0.55)),
        ],
        grain_line=GrainLine(start=(40.0, -300.0), end=(40.0, 0.0)),
    )


@st.composite
def dresses(draw: DrawFn) -> Pattern:
    """Front, back and sleeve of one size; side seams and shoulders of equal length."""
    sleeve, _ = draw(sleeves())
    deep = draw(st.floats(170.0, 240.0))
    flare = draw(st.floats(0.0, 60.0))
    widths = draw(st.tuples(st.floats(200.0, 280.0), st.floats(200.0, 280.0)))
    pieces = {
        name: half_bodice(w, deep, draw(st.floats(10.0, 40.0)), flare, draw(st.floats(0.3, 0.5)))
        for name, w in zip(("Back", "Front"), widths, strict=True)
    }
    if draw(st.booleans()):
        # A back as it is drawn beside the front: turned over.
        pieces["Back"] = transform(pieces["Back"], [[-1.0, 0.0, -50.0], [0.0, 1.0, 30.0]])
    seams = [
        _seam(f"cap {side}", "Sleeve", f"underarm-{side}", "shoulder", name, "underarm",
              "shoulder", cap=side, meet=((side, "armhole"),))
        for side, name in (("back", "Back"), ("front", "Front"))
    ]  # fmt: skip
    seams += [
        _seam("side", "Front", "underarm", "hem-side", "Back", "underarm", "hem-side"),
        _seam("shoulder", "Front", "neck", "shoulder", "Back", "neck", "shoulder"),
        _seam("sleeve", "Sleeve", "underarm-front", "wrist-front", "Sleeve", "underarm-back",
              "wrist-back"),
    ]  # fmt: skip
    return Pattern(
        name="dress",
        pieces=(
            *(Piece(name=name, shapes=(shape,)) for name, shape in pieces.items()),
            Piece(name="Sleeve", shapes=(sleeve,)),
        ),
        sizes=("M",),
        base_size="M",
        seams=tuple(seams),
    )


def _seam(
    name: str, sew: str, a: str, b: str, to: str, c: str, d: str, *,
    cap: Any = None, meet: tuple[tuple[str, str], ...] = (),
) -> Seam:  # fmt: skip
    return Seam(
        name=name,
        sew=Run(parts=(RunPart(piece=sew, marks=(a, b)),)),
        to=Run(parts=(RunPart(piece=to, marks=(c, d)),)),
        cap=cap,
        meet=meet,
    )


def edges(shape: Shape) -> dict[frozenset[str], float]:
    return {frozenset((e.start, e.end)): e.length for e in shape.edges}


SIDE = frozenset(("hem-side", "underarm"))
SHOULDER = frozenset(("shoulder", "neck"))
ARMHOLE = frozenset(("underarm", "shoulder"))


def at(shape: Shape, corner: str) -> FloatArray:
    return shape.seam_line.point_of(shape.corner(corner).station)


def sound(pattern: Pattern) -> None:
    for piece in pattern.pieces:
        for shape in piece.shapes:
            assert shape.seam_line.closed and shape.seam_line.area > 0.0
            assert len(shape.seam_line.self_intersections().own) == 0
            for corner in shape.corners:
                assert corner.station.t == 0.0


@settings(max_examples=25, deadline=None)
@given(dresses(), st.sampled_from([-20.0, 8.0, 25.0]), st.floats(-180.0, 180.0))
def test_a_deeper_armhole_takes_the_sleeve_with_it(
    drawn: Pattern, amount: float, degrees: float
) -> None:
    a = np.radians(degrees)
    turn = [[np.cos(a), -np.sin(a), 5.0], [np.sin(a), np.cos(a), 7.0]]
    before = drawn.map_shapes(lambda p, s: transform(s, turn))
    after, record = run(before, "alter-armhole", amount=amount)
    if after is before:
        assert {f.code for f in record.findings} == {"alter.no-armhole"}
        # Only a lifted armhole may ask for a cap that cannot be.
        assert amount < 0.0
        return
    sound(after)
    was, now = walk(before), walk(after)
    assert np.abs(now.ease - was.ease).max() < 1e-9
    # Plain below the notches stays plain: each notch still comes where its partner is.
    assert np.nanmax(np.abs(now.stretch_ease - was.stretch_ease)) < 1e-9
    for name in ("Front", "Back"):
        old, new = (p.piece(name).shapes[0] for p in (before, after))
        assert edges(new)[SIDE] == pytest.approx(edges(old)[SIDE] - amount, abs=1e-9)
        assert edges(new)[SHOULDER] == pytest.approx(edges(old)[SHOULDER], abs=1e-9)
        # A straight side seam: the underarm point lies on its line.
        way = (at(old, "hem-side") - at(old, "underarm")) / edges(old)[SIDE]
        assert at(new, "underarm") - at(old, "underarm") == pytest.approx(amount * way, abs=1e-9)
        assert np.array_equal(at(new, "shoulder"), at(old, "shoulder"))
    old, new = (p.piece("Sleeve").shapes[0] for p in (before, after))
    for side in ("back", "front"):
        seam = frozenset((f"underarm-{side}", f"wrist-{side}"))
        assert edges(new)[seam] == pytest.approx(edges(old)[seam] - amount, abs=1e-9)
        assert np.array_equal(at(new, f"wrist-{side}"), at(old, f"wrist-{side}"))


def test_the_sleeve_may_be_left() -> None:
    before = theatre()
    after, record = run(before, "alter-armhole", amount="1 cm", sleeve="left")
    assert after.piece("Sleeve") is before.piece("Sleeve")
    warned = {f.seam for f in record.findings if f.code == "alter.seam"}
    assert warned == {"sleeve to armhole, back", "sleeve to armhole, front"}
    assert (cap_of(after).back.ease < cap_of(before).back.ease).all()


@pytest.mark.parametrize("amount", ["2 cm", "-12 mm"])
def test_the_blouse_with_a_deeper_armhole_in_every_size(amount: str) -> None:
    before = theatre()
    after, record = run(before, "alter-armhole", amount=amount)
    sound(after)
    was, now = walk(before), walk(after)
    assert np.abs(now.ease - was.ease).max() < 1e-9
    assert np.abs(now.stretch_ease - was.stretch_ease).max() < 1e-9
    assert len(record.steps[0].figures["armholes"]) == 2 * len(before.sizes)
    for old, new in zip(before.piece("Sleeve").shapes, after.piece("Sleeve").shapes, strict=True):
        # The bicep line that is drawn runs from underarm to underarm again.
        (line,) = new.internal_lines
        ends = np.array([line.curve.start, line.curve.end])
        assert np.abs(ends - [at(new, "underarm-back"), at(new, "underarm-front")]).max() < 1e-9
        assert len(old.internal_lines) == 1


@settings(max_examples=25, deadline=None)
@given(dresses(), st.sampled_from([-12.0, 6.0, 18.0]))
def test_sloping_shoulders_keep_the_armhole_and_the_shoulder_seam(
    before: Pattern, amount: float
) -> None:
    after, record = run(before, "alter-shoulder-slope", amount=amount)
    if after is before:
        assert {f.code for f in record.findings} == {"alter.no-armhole"}
        return
    sound(after)
    assert np.abs(walk(after).ease - walk(before).ease).max() < 1e-9
    assert np.nanmax(np.abs(walk(after).stretch_ease - walk(before).stretch_ease)) < 1e-6
    assert after.piece("Sleeve") is before.piece("Sleeve")
    for name in ("Front", "Back"):
        old, new = (p.piece(name).shapes[0] for p in (before, after))
        assert edges(new)[SHOULDER] == pytest.approx(edges(old)[SHOULDER], abs=1e-9)
        assert edges(new)[ARMHOLE] == pytest.approx(edges(old)[ARMHOLE], abs=1e-9)
        assert np.array_equal(at(new, "neck"), at(old, "neck"))
        way = (at(old, "hem-side") - at(old, "underarm")) / edges(old)[SIDE]
        lowered = (at(new, "shoulder") - at(old, "shoulder")) @ way
        assert lowered == pytest.approx(amount, abs=1e-9)


@settings(max_examples=15, deadline=None)
@given(dresses(), st.sampled_from([-12.0, 12.0]))
def test_the_shoulder_alone_leaves_the_side_seam(before: Pattern, amount: float) -> None:
    after, record = run(before, "alter-shoulder-slope", amount=amount, armhole="shoulder only")
    assume(after is not before)
    assert record.steps[0].figures["armholes"]
    for name in ("Front", "Back"):
        old, new = (p.piece(name).shapes[0] for p in (before, after))
        assert edges(new)[SHOULDER] == pytest.approx(edges(old)[SHOULDER], abs=1e-9)
        assert edges(new)[SIDE] == pytest.approx(edges(old)[SIDE], abs=1e-9)
        assert (edges(new)[ARMHOLE] < edges(old)[ARMHOLE]) == (amount > 0)


@settings(max_examples=15, deadline=None)
@given(dresses(), st.sampled_from([-8.0, 5.0, 12.0]))
def test_a_broad_back_by_the_amount_from_the_level_up(before: Pattern, amount: float) -> None:
    after, record = run(before, "alter-back", amount=amount)
    assert after is not before, [f.message for f in record.findings]
    sound(after)
    old, new = (p.piece("Back").shapes[0] for p in (before, after))
    assert after.piece("Front") is before.piece("Front")
    assert edges(new)[SIDE] == pytest.approx(edges(old)[SIDE], abs=1e-9)
    shift = at(new, "shoulder") - at(old, "shoulder")
    assert abs(shift[0]) == pytest.approx(abs(amount), abs=1e-9)
    grown = float(np.hypot(*shift)) * np.sign(amount)
    assert edges(new)[SHOULDER] == pytest.approx(edges(old)[SHOULDER] + grown, abs=1e-9)
    # Above the level the armhole is the old one, shifted; it is smooth all the way.
    level = at(old, "underarm")[1] + 0.5 * (at(old, "shoulder") - at(old, "underarm"))[1]
    edge = _edge(new, "underarm", "shoulder")
    points = edge.flatten(0.05)
    upper = points[points[:, 1] > level + abs(shift[1]) + 1.0] - shift
    assert old.seam_line.nearest(upper).distances.max() < 1e-6
    assert len(edge.corner_segments(0.01)) == 0


def _edge(shape: Shape, a: str, b: str) -> Curve:
    (number,) = [e.number for e in shape.edges if {e.start, e.end} == {a, b}]
    return shape.edge_curve(number)


def test_a_back_with_its_shoulder_kept() -> None:
    before = theatre()
    after, _ = run(before, "alter-back", amount="3 mm", shoulder="kept")
    for old, new in zip(before.piece("Back").shapes, after.piece("Back").shapes, strict=True):
        for corner in old.corners:
            assert np.array_equal(at(new, corner.name), at(old, corner.name))
        far = old.seam_line.nearest(_edge(new, "underarm", "shoulder").flatten(0.02)).distances
        assert 2.5 < far.max() < 3.0 + 1e-6
    wavy, record = run(before, "alter-back", amount="30 mm", shoulder="kept")
    assert wavy is before
    assert {f.code for f in record.findings} == {"alter.no-armhole"}


@settings(max_examples=25, deadline=None)
@given(
    dresses(),
    st.sampled_from([(15.0, None), (-15.0, None), (0.0, 25.0), (20.0, 8.0), (-20.0, 0.0)]),
)
def test_a_moved_side_seam_walks_and_the_girth_stays(
    before: Pattern, widths: tuple[float, float | None]
) -> None:
    width, end = widths
    after, record = run(before, "move-seam", seam="side", width=width, end_width=end)
    if after is before:
        assert {f.code for f in record.findings} == {"alter.no-move"}
        return
    sound(after)
    side = walk(after).number("side")
    assert walk(after).ease[side] == pytest.approx(walk(before).ease[side], abs=1e-9)
    last = width if end is None else end
    hem, hole = frozenset(("hem-centre", "hem-side")), ARMHOLE
    for name, sign in (("Front", 1.0), ("Back", -1.0)):
        old, new = (p.piece(name).shapes[0] for p in (before, after))
        assert edges(new)[hem] == pytest.approx(edges(old)[hem] + sign * last, abs=1e-9)
        assert edges(new)[hole] == pytest.approx(edges(old)[hole] + sign * width, abs=1e-9)
        assert edges(new)[SHOULDER] == pytest.approx(edges(old)[SHOULDER], abs=1e-9)
        assert {c.name for c in new.corners} == {c.name for c in old.corners}


def test_between_two_rectangles_a_strip_goes_over_exactly() -> None:
    before = _panels()
    after, record = run(before, "move-seam", seam="seam", width="30 mm", end_width="10 mm")
    (row,) = record.steps[0].figures["moved"]
    strip = 0.5 * (30.0 + 10.0) * 300.0
    assert row["gains_area_after"] - row["gains_area_before"] == pytest.approx(strip, abs=1e-6)
    assert row["gives_area_before"] - row["gives_area_after"] == pytest.approx(strip, abs=1e-6)
    assert row["edge_turned_degrees"] == pytest.approx(0.0, abs=1e-9)
    lengths = walk(after)
    for found in (lengths.sew_lengths, lengths.to_lengths):
        assert found == pytest.approx(float(np.hypot(300.0, 20.0)), abs=1e-9)


def _panels(*, notch: bool = False) -> Pattern:
    def panel(x: float) -> Shape:
        points = np.array([[x, 300.0], [x, 0.0], [x + 200.0, 0.0], [x + 200.0, 300.0]])
        return build_shape(
            size="M",
            outline=Curve.polyline(points, closed=True),
            corners=[Station(i, 0.0) for i in range(4)],
            corner_names=["top-left", "left", "right", "top-right"],
            notches=[Notch(name="n", station=Station(1, 0.05))] if notch else [],
        )

    return Pattern(
        name="panels",
        pieces=(
            Piece(name="One", shapes=(panel(0.0),)),
            Piece(name="Two", shapes=(panel(400.0),)),
        ),
        sizes=("M",),
        base_size="M",
        seams=(_seam("seam", "One", "top-right", "right", "Two", "top-left", "left"),),
    )


def test_cut_lines_are_drawn_anew() -> None:
    before = theatre().map_shapes(lambda p, s: make_cut_line(s, 10.0).shape)
    for step, options in (
        ("alter-armhole", {"amount": "15 mm"}),
        ("alter-shoulder-slope", {"amount": "8 mm"}),
        ("alter-back", {"amount": "6 mm"}),
        ("move-seam", {"seam": "side", "width": "10 mm"}),
    ):
        after, _ = run(before, step, **options)
        assert after is not before
        for shape in after.piece("Back").shapes:
            assert shape.cut_line is not None
            far = shape.cut_line.nearest(_edge(shape, "underarm", "shoulder").flatten(0.1))
            assert far.distances == pytest.approx(np.full_like(far.distances, 10.0), abs=0.02)


@pytest.mark.parametrize(
    ("step", "options", "code"),
    [
        ("alter-armhole", {"amount": "-99 mm"}, "alter.no-armhole"),
        ("alter-shoulder-slope", {"amount": "60 mm"}, "alter.no-armhole"),
        ("move-seam", {"seam": "side", "width": "190 mm"}, "alter.no-move"),
        ("move-seam", {"seam": "sleeve, underarm", "width": "1 cm"}, "alter.no-move"),
        ("move-seam", {"seam": "sides", "width": "1 cm"}, "alter.no-move"),
    ],
)
def test_what_cannot_be_is_refused(step: str, options: dict[str, str], code: str) -> None:
    before = theatre()
    after, record = run(before, step, **options)
    assert after is before
    assert {f.code for f in record.findings} == {code}


def test_a_notch_on_the_strip_is_not_lost() -> None:
    before = _panels(notch=True)
    after, record = run(before, "move-seam", seam="seam", width="1 mm", end_width="30 mm")
    assert after is before
    assert [f.code for f in record.findings] == ["alter.no-move"]


def test_darts_in_the_way() -> None:
    def darted(name: str, shape: Shape) -> Shape:
        if name != "Front":
            return shape
        edge = shape.corner("underarm").station.segment
        dart = Dart(
            name="d", left=Station(edge, 0.2), right=Station(edge, 0.3), apex=(100.0, 250.0)
        )
        return shape.but(darts=(dart,))

    before = theatre().map_shapes(lambda p, s: darted(p.name, s))
    after, record = run(before, "alter-armhole", amount="1 cm")
    assert after is before
    assert [f.code for f in record.findings] == ["alter.no-armhole"]
    assert "dart" in record.findings[0].message


def test_without_a_cap() -> None:
    bare = theatre().but(seams=())
    for step in ("alter-armhole", "alter-shoulder-slope", "alter-back"):
        after, record = run(bare, step, amount="1 cm")
        assert after is bare
        assert [f.code for f in record.findings] == ["alter.no-cap"]
