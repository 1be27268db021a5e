"""Full and small bust: what must not change does not, and what changes is told."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from seamwright.geometry import CUBIC, LINE, Curve, Station, line_segments
from seamwright.model import Notch, Pattern, Piece, Shape, build_shape
from seamwright.model.edit import transform, wedge_of
from seamwright.model.marking import Dart, DrillHole, GrainLine
from seamwright.pipeline import Pipeline, Use

NAMES = ["hem-centre", "hem-side", "underarm", "tip", "neck", "neck-centre"]
SIDE = "Front: underarm > hem-side @ 30 %"
PLACES: dict[str, Any] = {"point": "Front: bust", "slash": "Front: armhole", "side": SIDE}


def front(size: str, k: float, *, waist_dart: bool = False) -> Shape:
    """The front half of a bodice with a level hem, centre on the left, k times as large."""
    straight = line_segments(
        np.array([[0, 0], [240, 0], [195, 390], [0, 340]], float),
        np.array([[240, 0], [255, 200], [75, 430], [0, 0]], float),
    )
    segments = k * np.array(
        [
            straight[0],
            straight[1],
            [[255, 200], [210, 205], [185, 260], [195, 390]],
            straight[2],
            [[75, 430], [72, 370], [40, 345], [0, 340]],
            straight[3],
        ]
    )
    outline = Curve.from_segments(segments, [LINE, LINE, CUBIC, LINE, CUBIC, LINE], closed=True)
    darts = []
    if waist_dart:
        darts = [Dart(name="waist", left=Station(0, 95 / 240), right=Station(0, 125 / 240),
                      apex=(110.0 * k, 160.0 * k))]  # fmt: skip
    return build_shape(
        size=size,
        outline=outline,
        corners=[Station(i, 0.0) for i in range(6)],
        corner_names=NAMES,
        darts=darts,
        notches=[Notch(name="armhole", station=Station(2, 0.35))],
        grain_line=GrainLine(start=(40 * k, 60 * k), end=(40 * k, 280 * k)),
        drill_holes=(DrillHole(at=(110 * k, 190 * k), name="bust"),),
    )


def style(count: int = 2, **fields: Any) -> Pattern:
    sizes = tuple(f"{k}" for k in range(count))
    return Pattern(
        name="blouse",
        pieces=(
            Piece(
                name="Front",
                shapes=tuple(front(s, 0.9 + 0.02 * k, **fields) for k, s in enumerate(sizes)),
            ),
        ),
        sizes=sizes,
        base_size=sizes[0],
    )


def sewn(shape: Shape) -> dict[str, float]:
    """Edges' lengths, darts stepped over."""
    seam = shape.seam_line
    out = {e.name: e.length for e in shape.edges}
    starts = np.array([float(seam.cumulative[c.station.segment]) for c in shape.corners])
    for d in shape.darts:
        k = int(np.argmin((seam.length_of(d.left) - starts) % seam.length))
        out[shape.edges[k].name] -= wedge_of(shape, d).mouth
    return out


def codes(record: Any) -> set[str]:
    return {f.code for f in record.findings}


def mirrored(pattern: Pattern) -> Pattern:
    return pattern.map_shapes(lambda _, s: transform(s, [[-1, 0, 0], [0, 1, 0]]))


def flipped(name: str) -> str:
    a, b = name.split(" > ")
    return f"{b} > {a}"


@settings(max_examples=20, deadline=None)
@given(
    st.floats(3, 30), st.sampled_from(["Front: armhole", "Front: neck > tip @ 60 %"]),
    st.floats(0.15, 0.6), st.booleans(), st.booleans(), st.sampled_from([1, 2]),
)  # fmt: skip
def test_a_full_bust_keeps_what_is_sewn_above(
    amount: float, slash: str, share: float, mirror: bool, waist: bool, count: int
) -> None:
    pattern = style(count, waist_dart=waist)
    if mirror:
        pattern = mirrored(pattern)
    side = f"Front: underarm > hem-side @ {100 * share:.3f} %"
    after, record = Pipeline(
        [Use("full-bust", point="Front: bust", slash=slash, side=side, amount=amount)]
    ).run(pattern)
    if after is pattern:  # a slash that is too short for the amount says so
        assert codes(record) == {"fullness.refused"}
        assume(False)
    rows = record.steps[0].figures["bust"]
    for old, new, row in zip(
        pattern.piece("Front").shapes, after.piece("Front").shapes, rows, strict=True
    ):
        was, now = sewn(old), sewn(new)
        assert set(was) == set(now)
        hem = "hem-centre > hem-side" if not mirror else "hem-side > hem-centre"
        centre = "neck-centre > hem-centre" if not mirror else "hem-centre > neck-centre"
        for name in set(was) - {hem, centre}:  # shoulder, neck, armhole, side
            assert now[name] == pytest.approx(was[name], abs=1e-9)
        assert now[hem] - was[hem] == pytest.approx(0.0 if waist else amount, abs=1e-9)
        down = row["point_moved_down"]
        if down >= 0.0:
            assert now[centre] - was[centre] == pytest.approx(down, abs=1e-9)
        assert row["point_moved_out"] == pytest.approx(amount, abs=1e-9)
        dart = next(d for d in new.darts if d.name == "bust-dart")
        w = wedge_of(new, dart)
        assert w.angle == pytest.approx(abs(row["turned_degrees"]), abs=1e-9)
        assert w.legs[0] == pytest.approx(w.legs[1], abs=1e-9)
        assert w.intake == pytest.approx(
            2.0 * w.legs[0] * np.sin(np.radians(w.angle) / 2.0), abs=1e-9
        )
        # The hem is level as it was: both its ends went down alike.
        ends = [new.seam_line.point_of(new.corner(n).station) for n in ("hem-centre", "hem-side")]
        assert ends[0][1] == pytest.approx(ends[1][1], abs=1e-9)
        assert new.grain_line == old.grain_line
        hole = np.array(new.drill_holes[0].at)
        assert hole == pytest.approx([row["point_x"], row["point_y"]], abs=1e-9)
        assert not len(new.seam_line.self_intersections().own)
    assert {"bust.try-on", "bust.edge-turned"} <= codes(record)


@settings(max_examples=15, deadline=None)
@given(st.floats(2, 12), st.booleans(), st.booleans())
def test_a_small_bust_takes_from_the_dart(amount: float, mirror: bool, waist: bool) -> None:
    pattern = style(2, waist_dart=waist)
    if mirror:
        pattern = mirrored(pattern)
    full, _ = Pipeline([Use("full-bust", amount=25.0, **PLACES)]).run(pattern)
    step = Use(
        "small-bust", amount=amount, point="Front: bust-dart", slash="Front: armhole",
        side="Front: bust-dart",
    )  # fmt: skip
    after, record = Pipeline([step]).run(full)
    assert "fullness.refused" not in codes(record), record.findings[0].message
    hem = "hem-centre > hem-side" if not mirror else "hem-side > hem-centre"
    centre = "neck-centre > hem-centre" if not mirror else "hem-centre > neck-centre"
    for old, new, row in zip(
        full.piece("Front").shapes, after.piece("Front").shapes,
        record.steps[0].figures["bust"], strict=True,
    ):  # fmt: skip
        was, now = sewn(old), sewn(new)
        for name in set(was) - {hem, centre}:
            assert now[name] == pytest.approx(was[name], abs=1e-9)
        assert now[hem] - was[hem] == pytest.approx(0.0 if waist else -amount, abs=1e-9)
        assert now[centre] - was[centre] == pytest.approx(row["point_moved_down"], abs=1e-9)
        assert row["dart_angle_before"] - row["dart_angle"] == pytest.approx(
            abs(row["turned_degrees"]), abs=1e-9
        )
        assert not len(new.seam_line.self_intersections().own)


def test_full_and_small_by_the_same_is_the_piece_again() -> None:
    """There and back: a dart that was there is as wide as before, and every edge as long."""
    start, _ = Pipeline([Use("full-bust", amount=20.0, **PLACES)]).run(style())
    more: dict[str, Any] = {
        "point": "Front: bust-dart",
        "slash": "Front: armhole",
        "side": "Front: bust-dart",
    }
    there, _ = Pipeline([Use("full-bust", amount=10.0, **more)]).run(start)
    back, record = Pipeline([Use("small-bust", amount=10.0, **more)]).run(there)
    assert "fullness.refused" not in codes(record)
    for a, b in zip(start.piece("Front").shapes, back.piece("Front").shapes, strict=True):
        assert sewn(b) == pytest.approx(sewn(a), abs=1e-8)
        assert wedge_of(b, b.darts[0]).angle == pytest.approx(
            wedge_of(a, a.darts[0]).angle, abs=1e-9
        )
        assert b.seam_line.area == pytest.approx(a.seam_line.area, abs=1e-4)


@pytest.mark.parametrize(
    ("step", "options", "code", "said"),
    [
        ("small-bust", {}, "fullness.refused", "name it as side"),
        ("full-bust", {"point": "Front: bost"}, "plan.inside", "bust"),
        ("full-bust", {"point": "Front: (900 mm, 100 mm)"}, "fullness.refused", "inside the piece"),
        ("full-bust", {"slash": "Front: armhol"}, "plan.mark", "armhole"),
        ("full-bust", {"level": "Front: underarm > hem-side @ 80 %"}, "fullness.refused", "follow"),
        (
            "full-bust",
            {"amount": "12 cm", "point": "Front: (175 mm, 190 mm)"},
            "fullness.refused",
            "short",
        ),
    ],
)
def test_refusals_change_nothing(step: str, options: dict[str, Any], code: str, said: str) -> None:
    pattern = style()
    after, record = Pipeline([Use(step, **{**PLACES, "amount": "2 cm", **options})]).run(pattern)
    assert after is pattern
    assert codes(record) == {code}
    assert said in f"{record.findings[0].message} {record.findings[0].hint}"


def test_the_bust_dart_is_trued_and_shortened_after() -> None:
    steps = [
        Use("add-allowance", width="1 cm"),
        Use("full-bust", amount="2 cm", **PLACES),
        Use("shift-dart-point", dart="Front: bust-dart", back="25 mm"),
        Use("true-dart", dart="Front: bust-dart", pressed="down"),
        Use("check-darts", widest="60 deg", kink="45 deg", pressed="down"),
    ]
    after, record = Pipeline(steps).run(style())
    assert {f.code for f in record.steps[-1].findings} == set()
    assert "cut-line.remade" in codes(record)
    assert all(s.cut_line is not None for s in after.piece("Front").shapes)
