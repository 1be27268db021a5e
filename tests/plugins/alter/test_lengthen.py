"""Pieces longer and shorter at a line: closed forms, generated pieces, the drafted blouse."""

from __future__ import annotations

from functools import cache
from importlib.resources import files
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from seamwright.demo.blouse import blouse
from seamwright.geometry import Curve, Station
from seamwright.model import (
    Dart,
    DrillHole,
    GrainLine,
    InternalKind,
    InternalLine,
    LineRole,
    Notch,
    Pattern,
    Piece,
    Run,
    RunPart,
    Seam,
    Shape,
    build_shape,
)
from seamwright.model.edit import make_cut_line, transform, wedge_of
from seamwright.pipeline import Pipeline, Use
from seamwright.plan import apply_plan, load_plan, walk
from seamwright.plugins.record import Record
from seamwright.testing.strategies import sleeves

SIDES = ["Front: underarm > hem-side @ 40 %", "Back: underarm > hem-side @ 40 %"]


@cache
def theatre() -> Pattern:
    plan = files("seamwright.demo").joinpath("data", "chorus-blouse.plan.toml").read_text()
    return apply_plan(blouse(), load_plan(plan))[0]


def lengthened(pattern: Pattern, **options: Any) -> tuple[Pattern, Record]:
    return Pipeline([Use("lengthen", **options)]).run(pattern)


def panel(size: str = "M", *, flare: float = 40.0, notches: tuple[float, ...] = ()) -> Shape:
    """A skirt panel: centre upright, side slanted outwards to the hem; notches by their distance
    down the centre."""
    points = np.array([[0.0, 0.0], [0.0, -400.0], [200.0 + flare, -400.0], [200.0, 0.0]])
    return build_shape(
        size=size,
        outline=Curve.polyline(points, closed=True),
        corners=[Station(i, 0.0) for i in range(4)],
        corner_names=["waist-centre", "hem-centre", "hem-side", "waist-side"],
        notches=[
            Notch(name=f"at-{d:g}", station=Station(0, d / 400.0), depth=5.0) for d in notches
        ],
        grain_line=GrainLine(start=(90.0, -350.0), end=(90.0, -50.0)),
        drill_holes=(DrillHole(at=(50.0, -40.0)), DrillHole(at=(50.0, -380.0))),
        internal_lines=(
            InternalLine(
                kind=InternalKind.INTERNAL, curve=Curve.line((30.0, -20.0), (30.0, -390.0))
            ),
        ),
    )


def skirt(flares: tuple[float, float] = (40.0, 90.0), sizes: int = 1, **how: Any) -> Pattern:
    names = tuple(f"s{i}" for i in range(sizes))
    pieces = tuple(
        Piece(
            name=name, shapes=tuple(panel(s, flare=flare + i, **how) for i, s in enumerate(names))
        )
        for name, flare in zip(("Front", "Back"), flares, strict=True)
    )
    runs = [Run(parts=(RunPart(piece=p.name, marks=("waist-side", "hem-side")),)) for p in pieces]
    return Pattern(
        name="skirt",
        pieces=pieces,
        sizes=names,
        base_size=names[0],
        seams=(Seam(name="side", sew=runs[0], to=runs[1]),),
    )


def lengths(shape: Shape) -> dict[str, float]:
    return {e.name: e.length for e in shape.edges}


def points(shape: Shape) -> dict[str, np.ndarray]:  # type: ignore[type-arg]
    return {c.name: shape.seam_line.point_of(c.station) for c in shape.corners}


@pytest.mark.parametrize("amount", [30.0, -30.0, 150.0])
def test_a_slanted_side_against_plane_geometry(amount: float) -> None:
    before = skirt()
    after, _ = lengthened(before, at=["Front: waist-centre > hem-centre @ 50 %"], amount=amount)
    shape = after.piece("Front").shapes[0]
    found = lengths(shape)
    assert found["waist-centre > hem-centre"] == pytest.approx(400.0 + amount, abs=1e-9)
    # From corner to corner straight: the side of a right-angled triangle.
    assert found["hem-side > waist-side"] == pytest.approx(
        float(np.hypot(40.0, 400.0 + amount)), abs=1e-9
    )
    assert found["hem-centre > hem-side"] == pytest.approx(240.0, abs=1e-9)
    assert shape.seam_line.area == pytest.approx((400.0 + amount) * 220.0, abs=1e-6)
    assert shape.grain_line is not None
    # Both parts are of a size: the smaller one, above, is moved.
    (upper,) = [h for h in shape.drill_holes if h.at[1] > -200.0]
    assert upper.at == pytest.approx((50.0, -40.0 + amount), abs=1e-9)
    assert shape.internal_lines[0].curve.length == pytest.approx(370.0 + amount, abs=1e-9)
    assert shape.grain_line.end[1] - shape.grain_line.start[1] == pytest.approx(300.0 + amount)
    assert after.piece("Back") is before.piece("Back")


def test_near_the_line_what_lies_beyond_is_as_it_was() -> None:
    before = skirt()
    after, _ = lengthened(
        before,
        at=["Front: waist-centre > hem-centre @ 60 %"],
        amount="20 mm",
        edges="near the line",
        within="50 mm",
    )
    old, new = before.piece("Front").shapes[0], after.piece("Front").shapes[0]
    side = new.edge_curve(2)
    upper = side.flatten(0.01)[side.flatten(0.01)[:, 1] > -190.0]
    lower = side.flatten(0.01)[side.flatten(0.01)[:, 1] < -311.0] + np.array([0.0, 20.0])
    assert len(upper) and len(lower)
    assert old.seam_line.nearest(np.concatenate([upper, lower])).distances.max() < 1e-9
    # Smooth: no joint turns.
    assert len(side.corner_segments(0.01)) == 0
    assert lengths(new)["waist-centre > hem-centre"] == pytest.approx(420.0, abs=1e-9)
    # Between the straight bridge and the straight line from corner to corner.
    assert np.hypot(40.0, 420.0) < side.length < np.hypot(40.0, 400.0) + 20.0


@settings(max_examples=25, deadline=None)
@given(
    st.tuples(st.floats(0.0, 120.0), st.floats(0.0, 120.0)),
    st.sampled_from([-60.0, -12.0, 7.0, 90.0]),
    st.sampled_from(["whole edge", "near the line"]),
    st.integers(20, 80),
    st.floats(-180.0, 180.0),
)
def test_sides_that_are_sewn_keep_their_ease_exactly(
    flares: tuple[float, float], amount: float, edges: str, share: int, degrees: float
) -> None:
    a = np.radians(degrees)
    turn = [[np.cos(a), -np.sin(a), 10.0], [np.sin(a), np.cos(a), 20.0]]
    before = skirt(flares, sizes=2).map_shapes(lambda p, s: transform(s, turn))
    after, record = lengthened(
        before,
        at=[f"{name}: waist-centre > hem-centre @ {share} %" for name in ("Front", "Back")],
        amount=amount,
        edges=edges,
        within="100 mm",
    )
    if after is before:
        assert {f.code for f in record.findings} == {"alter.no-line"}
        return
    assert np.abs(walk(after).ease - walk(before).ease).max() < 1e-9
    for piece in after.pieces:
        for shape in piece.shapes:
            old = before.piece(piece.name).in_size(shape.size)
            found = lengths(shape)
            assert found["waist-centre > hem-centre"] == pytest.approx(400.0 + amount, abs=1e-9)
            assert len(shape.seam_line.self_intersections().own) == 0
            # What gives way to make the sides equal: the moved end's corner, by a little.
            for name in ("waist-side > waist-centre", "hem-centre > hem-side"):
                assert found[name] == pytest.approx(lengths(old)[name], abs=0.12 * abs(amount))
            assert [c.name for c in shape.corners] == [c.name for c in old.corners]


@settings(max_examples=25, deadline=None)
@given(sleeves(), st.sampled_from([-40.0, 15.0, 60.0]), st.floats(-180.0, 180.0))
def test_a_sleeve_longer_below_the_elbow_keeps_its_cap_and_its_seam(
    drawn: tuple[Shape, float], amount: float, degrees: float
) -> None:
    a = np.radians(degrees)
    shape = transform(drawn[0], [[np.cos(a), -np.sin(a), 0.0], [np.sin(a), np.cos(a), 0.0]])
    way = np.array([-np.sin(a), np.cos(a)])
    middle = shape.seam_line.flatten(1.0).mean(axis=0)
    grain = GrainLine(start=tuple(middle), end=tuple(middle + 50.0 * way))
    run = [
        Run(parts=(RunPart(piece="Sleeve", marks=(f"underarm-{s}", f"wrist-{s}")),))
        for s in ("front", "back")
    ]
    before = Pattern(
        name="sleeve",
        pieces=(Piece(name="Sleeve", shapes=(shape.but(grain_line=grain),)),),
        sizes=("M",),
        base_size="M",
        seams=(Seam(name="underarm", sew=run[0], to=run[1]),),
    )
    after, _ = lengthened(before, at=["Sleeve: underarm-back > wrist-back @ 60 %"], amount=amount)
    assert after is not before
    new = after.piece("Sleeve").shapes[0]
    assert np.abs(walk(after).ease - walk(before).ease).max() < 1e-9
    was, now = points(shape), points(new)
    for name in was:
        shift = now[name] - was[name]
        if name.startswith("underarm"):
            assert np.array_equal(shift, [0.0, 0.0])
        else:
            assert float(-shift @ way) == pytest.approx(amount, abs=0.15 * abs(amount))
    caps = [s.seam_line.part(*(s.seam_line.length_of(s.corner(n).station) for n in
            ("underarm-front", "underarm-back"))) for s in (shape, new)]  # fmt: skip
    assert np.array_equal(caps[0].segments, caps[1].segments)


@pytest.mark.parametrize("edges", ["whole edge", "near the line"])
@pytest.mark.parametrize("amount", ["30 mm", "-25 mm"])
def test_the_blouse_in_every_size_with_its_notches_meeting(edges: str, amount: str) -> None:
    before = theatre()
    after, record = lengthened(before, at=SIDES, amount=amount, edges=edges)
    assert after is not before
    assert not [f for f in record.findings if f.code == "alter.seam"]
    was, now = walk(before), walk(after)
    assert np.abs(now.ease - was.ease).max() < 1e-9
    assert np.nanmax(np.abs(now.pair_sew - now.pair_to - was.pair_sew + was.pair_to)) < 1e-9
    assert after.piece("Sleeve") is before.piece("Sleeve")
    for name in ("Front", "Back"):
        for old, new in zip(before.piece(name).shapes, after.piece(name).shapes, strict=True):
            # The waist's notch lies above or below the line; it keeps its way to that end.
            side = lengths(new)["hem-side > underarm"] - lengths(old)["hem-side > underarm"]
            start = [s.seam_line.length_of(s.corner("hem-side").station) for s in (old, new)]
            at = [s.seam_line.length_of(s.notch("waist").station) for s in (old, new)]
            moved = (at[1] - start[1]) - (at[0] - start[0])
            assert min(abs(moved), abs(moved - side)) < 1e-9
            assert [n.name for n in new.notches] == [n.name for n in old.notches]


def test_one_piece_alone_is_said_to_leave_its_seam() -> None:
    before = theatre()
    after, record = lengthened(before, at=SIDES[:1], amount="2 cm")
    (said,) = [f for f in record.findings if f.code == "alter.seam"]
    assert said.seam == "side"
    change = walk(after).ease - walk(before).ease
    assert change[walk(after).number("side")] == pytest.approx(20.0, abs=0.1)


def test_wider_at_a_line_along_the_grain() -> None:
    before = skirt()
    after, _ = lengthened(
        before,
        at=["Front: hem-centre > hem-side @ 50 %"],
        to=["Front: waist-side > waist-centre @ 50 %"],
        amount="14 mm",
    )
    shape = after.piece("Front").shapes[0]
    found = lengths(shape)
    assert found["hem-centre > hem-side"] == pytest.approx(254.0, abs=1e-9)
    assert found["waist-side > waist-centre"] == pytest.approx(214.0, abs=1e-9)
    assert found["hem-side > waist-side"] == pytest.approx(float(np.hypot(40, 400)), abs=1e-9)
    assert shape.grain_line is not None
    assert shape.grain_line.start[0] == pytest.approx(shape.grain_line.end[0], abs=1e-12)


def test_the_cut_line_is_drawn_anew_or_taken_away() -> None:
    widths = skirt().map_shapes(lambda p, s: make_cut_line(s, 12.0).shape)
    at = ["Front: waist-centre > hem-centre @ 50 %"]
    after, _ = lengthened(widths, at=at, amount="25 mm")
    shape = after.piece("Front").shapes[0]
    assert shape.cut_line is not None
    far = shape.cut_line.nearest(shape.edge_curve(2).flatten(0.1)).distances
    assert far == pytest.approx(np.full_like(far, 12.0), abs=1e-6)
    unknown = widths.map_shapes(
        lambda p, s: s.but(
            allowances=(),
            notches=(Notch(name="n", station=Station(0, 0.5), line=LineRole.CUT),),
        )
    )
    after, record = lengthened(unknown, at=at, amount="25 mm")
    shape = after.piece("Front").shapes[0]
    assert shape.cut_line is None
    assert "alter.cut-line" in {f.code for f in record.findings}
    assert [(n.name, n.line) for n in shape.notches] == [("n", LineRole.SEAM)]


def test_a_dart_goes_with_its_side_and_keeps_equal_legs() -> None:
    points = np.array(
        [[0, 0], [0, -400], [230, -400], [220, -150], [219, -130], [218, -110], [200, 0]],
        dtype=np.float64,
    )
    shape = build_shape(
        size="M",
        outline=Curve.polyline(points, closed=True),
        corners=[Station(i, 0.0) for i in (0, 1, 2, 6)],
        corner_names=["waist-centre", "hem-centre", "hem-side", "waist-side"],
        darts=[
            Dart(name="bust", left=Station(3, 0.0), right=Station(5, 0.0), apex=(119.0, -135.0))
        ],
        grain_line=GrainLine(start=(90.0, -350.0), end=(90.0, -50.0)),
    )
    shape = shape.but(darts=tuple(_equal_legs(shape)))
    before = Pattern(
        name="p", pieces=(Piece(name="Front", shapes=(shape,)),), sizes=("M",), base_size="M"
    )
    after, _ = lengthened(before, at=["Front: waist-centre > hem-centre @ 75 %"], amount="40 mm")
    new = after.piece("Front").shapes[0]
    was, now = (wedge_of(s, s.darts[0]) for s in (shape, new))
    assert now.legs[0] == pytest.approx(now.legs[1], abs=1e-9)
    assert now.mouth == pytest.approx(was.mouth, abs=1e-9)
    # The side's direction turns a little; a dart moves with it by hairs, not by the amount.
    assert np.hypot(*(now.apex - was.apex)) < 3.0


def _equal_legs(shape: Shape) -> list[Dart]:
    from seamwright.model.edit import with_legs_equal

    return [with_legs_equal(shape, d)[0] for d in shape.darts]


@pytest.mark.parametrize(
    "options",
    [
        {"at": ["Front: waist-centre"], "amount": "2 cm"},  # a corner
        {"at": ["Front: hem-centre > hem-side @ 50 %"], "amount": "2 cm",
         "to": ["Front: hem-centre > hem-side @ 90 %"]},  # along an edge
        {"at": ["Front: waist-centre > hem-centre @ 50 %"], "amount": "-390 mm"},
        {"at": ["Front: waist-centre > hem-centre @ 50 %"], "amount": "-90 mm"},  # notches
        {"at": ["Front: at-150 + 1 mm", "Front: at-210 + 1 mm"], "amount": "1 mm"},  # twice
    ],
)  # fmt: skip
def test_refusals(options: dict[str, Any]) -> None:
    before = skirt(notches=(150.0, 210.0))
    after, record = lengthened(before, **options)
    assert after is before
    assert [f.code for f in record.findings] == ["alter.no-line"]


def test_names_are_helped() -> None:
    before = skirt()
    after, record = lengthened(before, at=["Frnt: waist-centre + 5 mm"], amount="2 cm")
    assert after is before
    said = record.steps[0].findings[0]
    assert said.code == "plan.piece" and said.hint is not None and "Front" in said.hint
