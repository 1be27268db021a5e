"""Fullness added by slash and spread, through the pipeline."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from seamwright.geometry import CUBIC, LINE, Curve, Station, line_segments
from seamwright.model import (
    InternalKind,
    InternalLine,
    Notch,
    Pattern,
    Piece,
    Shape,
    build_shape,
)
from seamwright.model.edit import transform
from seamwright.model.marking import Dart, GrainLine
from seamwright.pipeline import Pipeline, Use

RUNS: dict[str, Any] = {
    "hinge": "Skirt: waist-side > waist-centre",
    "opens": "Skirt: hem-side > hem-centre",
}
NAMES = ["waist-centre", "hem-centre", "hem-side", "waist-side"]


def panel(size: str, k: float, **fields: Any) -> Shape:
    """A skirt panel with a curved hem, centre on the left."""
    straight = k * line_segments(
        np.array([[0, 600], [230, 12], [180, 600]], float),
        np.array([[0, 0], [180, 600], [0, 600]], float),
    )
    hem = k * np.array([[0, 0], [80, 0], [160, 4], [230, 12]], float)
    outline = Curve.from_segments(
        np.stack((straight[0], hem, straight[1], straight[2])),
        [LINE, CUBIC, LINE, LINE],
        closed=True,
    )
    return build_shape(
        size=size,
        outline=outline,
        corners=[Station(i, 0.0) for i in range(4)],
        corner_names=NAMES,
        notches=[Notch(name="hip", station=Station(2, 0.6))],
        grain_line=GrainLine(start=(20 * k, 100 * k), end=(20 * k, 500 * k)),
        **fields,
    )


def style(count: int = 2, **fields: Any) -> Pattern:
    sizes = tuple(f"{k}" for k in range(count))
    shapes = tuple(panel(s, 1.0 + 0.03 * k, **fields) for k, s in enumerate(sizes))
    return Pattern(
        name="skirt", pieces=(Piece(name="Skirt", shapes=shapes),), sizes=sizes, base_size=sizes[0]
    )


def codes(record: Any) -> set[str]:
    return {f.code for f in record.findings}


def length(shape: Shape, start: str, end: str) -> float:
    return next(e.length for e in shape.edges if {e.start, e.end} == {start, end})


@settings(max_examples=20, deadline=None)
@given(
    st.integers(1, 6), st.floats(5, 200), st.floats(0, 60), st.booleans(), st.booleans(),
    st.sampled_from([1, 3]),
)  # fmt: skip
def test_edges_gain_what_was_asked_and_sides_nothing(
    slashes: int, amount: float, at_hinge: float, mirror: bool, backwards: bool, count: int
) -> None:
    pattern = style(count)
    if mirror:
        pattern = pattern.map_shapes(lambda _, s: transform(s, [[-1, 0, 0], [0, 1, 0]]))
    runs = RUNS
    if backwards:
        runs = {
            "hinge": "Skirt: waist-centre > waist-side",
            "opens": "Skirt: hem-centre > hem-side",
        }
    at_hinge = at_hinge if at_hinge > 0.1 else 0.0
    after, record = Pipeline(
        [Use("add-fullness", slashes=slashes, amount=amount, at_hinge=at_hinge, edge="straight",
             **runs)]
    ).run(pattern)  # fmt: skip
    assert codes(record) == set()
    for old, new in zip(pattern.piece("Skirt").shapes, after.piece("Skirt").shapes, strict=True):
        was, now = ({n: length(s, *n) for n in _EDGES} for s in (old, new))
        assert now["hem-centre", "hem-side"] == pytest.approx(
            was["hem-centre", "hem-side"] + amount, abs=1e-8
        )
        assert now["waist-centre", "waist-side"] == pytest.approx(
            was["waist-centre", "waist-side"] + at_hinge, abs=1e-8
        )
        for side in (("waist-centre", "hem-centre"), ("waist-side", "hem-side")):
            assert now[side] == pytest.approx(was[side], abs=1e-9)
        assert [c.name for c in new.corners] == [c.name for c in old.corners]
        assert new.grain_line == old.grain_line
        assert not len(new.seam_line.self_intersections().own)
        seam = new.seam_line
        hip = seam.length_of(new.notch("hip").station)
        corner = seam.length_of(new.corner("waist-side").station)
        before = old.seam_line
        assert abs(hip - corner) == pytest.approx(
            abs(
                before.length_of(old.notch("hip").station)
                - before.length_of(old.corner("waist-side").station)
            ),
            abs=1e-9,
        )


_EDGES = [
    ("hem-centre", "hem-side"),
    ("waist-centre", "waist-side"),
    ("waist-centre", "hem-centre"),
    ("waist-side", "hem-side"),
]


def test_a_parallel_spread_of_a_rectangle_is_a_wider_rectangle() -> None:
    shape = build_shape(
        size="M",
        outline=Curve.polyline(
            np.array([[0, 0], [200, 0], [200, 600], [0, 600]], float), closed=True
        ),
        corners=[Station(3, 0.0), Station(0, 0.0), Station(1, 0.0), Station(2, 0.0)],
        corner_names=NAMES,
    )  # fmt: skip
    pattern = Pattern(
        name="p", pieces=(Piece(name="Skirt", shapes=(shape,)),), sizes=("M",), base_size="M"
    )
    after, record = Pipeline(
        [Use("add-fullness", slashes=4, amount="8 cm", at_hinge="8 cm", gathers=True, **RUNS)]
    ).run(pattern)
    new = after.piece("Skirt").shapes[0]
    assert new.seam_line.area == pytest.approx(280.0 * 600.0, abs=1e-6)
    x0, y0, x1, y1 = new.seam_line.bbox
    assert (x1 - x0, y1 - y0) == pytest.approx((280.0, 600.0), abs=1e-9)
    names = {n.name for n in new.notches}
    assert names == {f"gathers-{a}-{b}" for a in ("hinge", "opens") for b in ("start", "end")}
    # From beside the first opening to beside the last: three strips and four openings.
    seam = new.seam_line
    for edge in ("hinge", "opens"):
        at = [seam.length_of(new.notch(f"gathers-{edge}-{e}").station) for e in ("start", "end")]
        assert abs(at[1] - at[0]) == pytest.approx(3 * 40.0 + 4 * 20.0, abs=1e-8)
    row = record.steps[0].figures["spread"][0]
    assert row["opens_ratio"] == pytest.approx(1.4, abs=1e-9)
    assert row["turned_degrees"] == 0.0


def test_a_smooth_hem_has_no_kinks_and_its_length_is_told() -> None:
    after, record = Pipeline([Use("add-fullness", slashes=3, amount="12 cm", **RUNS)]).run(style())
    for shape, row in zip(
        after.piece("Skirt").shapes, record.steps[0].figures["spread"], strict=True
    ):
        seam = shape.seam_line
        corners = {c.station.segment for c in shape.corners}
        waist = shape.corner("waist-side").station.segment
        kinks = [int(k) for k in seam.corner_segments(0.01) if int(k) not in corners]
        assert all(k > waist or k < shape.corner("hem-centre").station.segment for k in kinks)
        assert row["opens_after"] == pytest.approx(
            length(shape, "hem-centre", "hem-side"), abs=1e-9
        )
        assert row["opens_spread"] == pytest.approx(row["opens_before"] + 120.0, abs=1e-8)
        assert abs(row["opens_after"] - row["opens_spread"]) < 1.0
        assert row["hinge_after"] == pytest.approx(row["hinge_before"], abs=1e-9)


def test_amounts_for_each_slash() -> None:
    one, _ = Pipeline([Use("add-fullness", slashes=3, amount=90.0, **RUNS)]).run(style())
    each, _ = Pipeline([Use("add-fullness", slashes=3, amount=30.0, each=True, **RUNS)]).run(
        style()
    )
    for a, b in zip(one.piece("Skirt").shapes, each.piece("Skirt").shapes, strict=True):
        assert a.seam_line.segments == pytest.approx(b.seam_line.segments, abs=1e-12)


@pytest.mark.parametrize(
    ("options", "code", "said"),
    [
        ({"opens": "Skirt: hem-centre > hem-side"}, "fullness.refused", "cross"),
        ({"opens": "Skirt: hem-sidee > hem-centre"}, "plan.mark", "hem-side"),
        ({"amount": "200 cm", "slashes": 1}, "fullness.refused", "wider than the slash"),
        ({"hinge": "Skirt: hem-side > hem-centre"}, "fullness.refused", ""),
    ],
)
def test_refusals_change_nothing(options: dict[str, Any], code: str, said: str) -> None:
    pattern = style()
    given_: dict[str, Any] = {"slashes": 3, "amount": "9 cm", **RUNS, **options}
    after, record = Pipeline([Use("add-fullness", **given_)]).run(pattern)
    assert after is pattern
    assert codes(record) == {code}
    assert said in f"{record.findings[0].message} {record.findings[0].hint}"


def test_a_dart_in_the_way_is_told() -> None:
    def darted(_: Piece, shape: Shape) -> Shape:
        seam = shape.seam_line
        top = seam.length_of(shape.corner("waist-side").station)
        wide = length(shape, "waist-centre", "waist-side")
        a, b = (seam.station_at(top + x * wide) for x in (0.4, 0.6))
        return shape.but(darts=(Dart(name="d", left=a, right=b, apex=(90.0, 450.0)),))

    pattern = style(1).map_shapes(darted)
    after, record = Pipeline([Use("add-fullness", slashes=1, amount="4 cm", **RUNS)]).run(pattern)
    assert after is pattern and "mouth" in record.findings[0].message
    fine, _ = Pipeline([Use("add-fullness", slashes=2, amount="4 cm", **RUNS)]).run(pattern)
    assert [d.name for d in fine.piece("Skirt").shapes[0].darts] == ["d"]


def test_a_cut_line_is_drawn_anew() -> None:
    steps = [
        Use("add-allowance", width="15 mm"),
        Use("add-fullness", slashes=3, amount="9 cm", **RUNS),
        Use("check-allowance", tolerance="0.05 mm"),
    ]
    after, record = Pipeline(steps).run(style(1))
    assert "cut-line.remade" in codes(record) and "allowance.off" not in codes(record)
    assert after.piece("Skirt").shapes[0].cut_line is not None


@pytest.mark.parametrize("slashes", [2, 5, 9])
def test_an_edge_aslant_to_the_slashes_opens_without_waves(slashes: int) -> None:
    outline = Curve.polyline(np.array([[0, 300], [0, 0], [300, 0], [300, 520]], float), closed=True)
    shape = build_shape(
        size="0",
        outline=outline,
        corners=[Station(i, 0.0) for i in range(4)],
        corner_names=["high", "low", "low-side", "side"],
        grain_line=GrainLine(start=(150.0, 50.0), end=(150.0, 200.0)),
    )
    pattern = Pattern(
        name="sleeve", pieces=(Piece(name="Sleeve", shapes=(shape,)),), sizes=("0",),
        base_size="0",
    )  # fmt: skip
    use = Use(
        "add-fullness",
        {
            "hinge": "Sleeve: low > low-side",
            "opens": "Sleeve: high > side",
            "slashes": slashes,
            "amount": "90 mm",
            "at-hinge": "90 mm",
        },
    )
    after, _ = Pipeline([use]).run(pattern)
    new = after.pieces[0].shapes[0]
    edge = next(i for i, e in enumerate(new.edges) if {e.start, e.end} == {"high", "side"})
    curve = new.edge_curve(edge)
    at = np.linspace(0.0, curve.length, 400)
    along = np.diff(curve.point_at(at), axis=0)
    angles = np.degrees(np.unwrap(np.arctan2(along[:, 1], along[:, 0])))
    # It leaves its ends as it did and turns flatter between: once there and once back.
    assert np.abs(np.diff(angles)).sum() < 2.6 * float(np.ptp(angles))


def test_the_fold_of_a_half_piece_is_not_opened() -> None:
    """A piece cut on the fold whose fold edge is spread is no half any more; the hem beside it may
    be."""
    whole = style(1)
    (shape,) = whole.pieces[0].shapes
    fold = InternalLine(
        kind=InternalKind.FOLD, curve=Curve.line((0.0, 0.0), (0.0, 600.0)), name="fold"
    )
    half = whole.map_shapes(lambda _, s: s.but(internal_lines=(fold,), mirrored_half=True))
    across: dict[str, Any] = {
        "hinge": "Skirt: waist-side > hem-side",
        "opens": "Skirt: waist-centre > hem-centre",
    }
    after, record = Pipeline([Use("add-fullness", slashes=2, amount="4 cm", **across)]).run(half)
    assert after is half and codes(record) == {"fullness.refused"}
    assert "fold" in record.findings[0].message
    opened, record = Pipeline([Use("add-fullness", slashes=2, amount="4 cm", **RUNS)]).run(half)
    assert opened is not half and "fullness.refused" not in codes(record)
    assert shape is not opened.pieces[0].shapes[0]
