"""Promises are measured: each invariant sees the change that it is there for, and no other."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from importlib.resources import files
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from seamwright.demo.blouse import blouse
from seamwright.geometry import Curve, Station
from seamwright.model import Pattern, Shape
from seamwright.pipeline.changes import changed, moved, seams_of
from seamwright.pipeline.invariants import Before, breaches, verify
from seamwright.pipeline.keeps import LIMITS, limit_of
from seamwright.plan import apply_plan, load_plan


@cache
def chorus() -> Pattern:
    """The demonstration blouse in two sizes, with its seams."""
    plan = files("seamwright.demo").joinpath("data/chorus-blouse.plan.toml").read_bytes()
    return apply_plan(blouse(["B", "E"]), load_plan(plan))[0]


def sides(after: Pattern, *, selected: frozenset[str] | None = None) -> Before:
    before = chorus()
    return Before(
        before=before,
        after=after,
        seams_before=seams_of(before),
        seams_after=seams_of(after),
        selected=selected,
    )


def kept(after: Pattern, **how: Any) -> dict[str, float]:
    return {k.name: k.moved for k in verify(tuple(LIMITS), sides(after, **how))}


def broken(after: Pattern, **how: Any) -> set[str]:
    return {k.name for k in breaches(verify(tuple(LIMITS), sides(after, **how)))}


def only(piece: str, change: Any) -> Pattern:
    return chorus().map_shapes(lambda p, s: change(s) if p.name == piece else s)


def control(piece: str, segment: int, handle: int, by: tuple[float, float]) -> Pattern:
    """One handle of one segment moved."""

    def change(shape: Shape) -> Shape:
        segments = np.array(shape.seam_line.segments)
        segments[segment, handle] += by
        return shape.but(
            seam_line=Curve.from_segments(segments, shape.seam_line.kinds, closed=True)
        )

    return only(piece, change)


def test_nothing_changed_nothing_moved() -> None:
    before = chorus()
    assert set(kept(before)) == set(LIMITS)
    assert set(kept(before).values()) == {0.0}
    again = before.map_shapes(lambda _, s: s.but())
    assert broken(again) == set()


@given(st.floats(-200, 200), st.floats(-200, 200))
def test_a_moved_sleeve_keeps_its_measures(dx: float, dy: float) -> None:
    after = only("Sleeve", lambda s: s.but(seam_line=s.seam_line.translated(dx, dy)))
    found = kept(after)
    distance = float(np.hypot(dx, dy))
    assert found["corners"] == pytest.approx(distance, abs=1e-9)
    for name in ("bicep-width", "run-lengths", "notch-stations", "area"):
        assert found[name] < 1e-6
    assert found["bodice"] == found["segment-count"] == found["cut-quantity"] == 0.0


def curved(piece: str) -> int:
    """The longest curved segment of a piece's smallest size."""
    line = chorus().piece(piece).shapes[0].seam_line
    return int(np.argmax(np.where(line.kinds != 0, line.segment_lengths, 0.0)))


def test_a_handle_of_the_cap_moved_changes_lengths_not_the_bicep() -> None:
    found = broken(control("Sleeve", curved("Sleeve"), 1, (10.0, 20.0)))
    assert {"run-lengths", "seam-lengths", "area"} <= found
    assert not found & {"bicep-width", "bodice", "corners", "segment-count", "outline-closed"}


def test_the_bodice_is_every_piece_but_the_sleeve() -> None:
    found = kept(control("Back", curved("Back"), 1, (0.0, 1e-6)))
    assert found["bodice"] == pytest.approx(1e-6)
    assert "bodice" in broken(control("Back", curved("Back"), 1, (0.0, 1e-6)))
    assert "other-pieces" not in found  # it was to act on all
    selected = kept(control("Back", curved("Back"), 1, (0.0, 1e-6)), selected=frozenset({"Back"}))
    assert selected["other-pieces"] == 0.0


def underarm_moved(shape: Shape) -> Shape:
    at = shape.corner("underarm-back").station.segment
    segments = np.array(shape.seam_line.segments)
    segments[at, 0] += (0.25, 0.0)
    segments[at - 1, 3] += (0.25, 0.0)
    return shape.but(seam_line=Curve.from_segments(segments, shape.seam_line.kinds, closed=True))


def test_the_bicep_width_sees_an_underarm_point_that_moved() -> None:
    found = kept(only("Sleeve", underarm_moved))
    assert found["bicep-width"] == pytest.approx(0.25, abs=1e-3)
    assert found["corners"] == pytest.approx(0.25)


def test_notches_by_their_way_to_the_nearest_corner() -> None:
    def slide(shape: Shape) -> Shape:
        curve = shape.seam_line
        notches = tuple(
            replace(n, station=curve.station_at(curve.length_of(n.station) + 2.0))
            for n in shape.notches
        )
        return shape.but(notches=notches)

    assert kept(only("Back", slide))["notch-stations"] == pytest.approx(2.0, abs=1e-6)
    gone = kept(only("Back", lambda s: s.but(notches=s.notches[1:])))
    assert gone["notch-stations"] == np.inf


def test_grain_segments_quantity_and_corner_names() -> None:
    def turned(shape: Shape) -> Shape:
        assert shape.grain_line is not None
        x, y = shape.grain_line.end
        return shape.but(grain_line=replace(shape.grain_line, end=(x + 0.5, y)))

    assert kept(only("Front", turned))["grain"] == pytest.approx(0.5)
    assert kept(only("Front", lambda s: s.but(grain_line=None)))["grain"] == np.inf

    def split(shape: Shape) -> Shape:
        if shape.size != "B":
            return shape
        return shape.but(seam_line=shape.seam_line.insert_joints([Station(0, 0.5)]))

    assert kept(only("Front", split))["segment-count"] == 1.0
    more = chorus().with_pieces([chorus().piece("Front").but(quantity=(2, 1))])
    assert kept(more)["cut-quantity"] == 1.0
    nameless = only(
        "Front", lambda s: s.but(corners=tuple(replace(c, name=f"x{c.name}") for c in s.corners))
    )
    assert kept(nameless)["corners"] == np.inf


def test_a_seam_that_cannot_be_walked_any_more_is_a_breach() -> None:
    lost = only("Front", lambda s: s.but(corners=s.corners[:-1]))
    assert kept(lost)["run-lengths"] == np.inf


def test_a_piece_that_is_gone() -> None:
    before = chorus()
    without = before.but(pieces=before.pieces[:2], seams=())
    assert kept(without)["bicep-width"] == np.inf
    no_back = before.but(pieces=before.pieces[1:], seams=())
    assert kept(no_back)["bodice"] == np.inf


def test_a_limit_of_its_own() -> None:
    assert limit_of("run-lengths") == ("run-lengths", 0.05)
    assert limit_of("run-lengths 0.01 mm") == ("run-lengths", 0.01)
    with pytest.raises(ValueError, match="did you mean"):
        limit_of("run-length")


def test_what_changed_is_found_by_identity_and_measured() -> None:
    before = chorus()
    after = only("Sleeve", lambda s: s.but(seam_line=s.seam_line.translated(0.0, 7.0)))
    keys = changed(before, after)
    assert keys == (("Sleeve", "B"), ("Sleeve", "E"))
    assert list(moved(before, after, keys).values()) == pytest.approx([7.0, 7.0], abs=0.1)
    renamed = before.map_shapes(lambda p, s: s.but() if p.name == "Back" else s)
    assert moved(before, renamed, changed(before, renamed)) == {
        ("Back", "B"): 0.0, ("Back", "E"): 0.0,
    }  # fmt: skip
    assert changed(before, before) == ()


def other(after: Pattern, *, acted_on: set[str] | None, selected: set[str] | None = None) -> float:
    """What other-pieces tells; -1 where it has nothing to look at."""
    found = verify(
        ("other-pieces",),
        replace(
            sides(after),
            acted_on=None if acted_on is None else frozenset(acted_on),
            selected=None if selected is None else frozenset(selected),
        ),
    )
    return found[0].moved if found else -1.0


def test_other_pieces_are_those_on_which_the_step_was_not_to_act() -> None:
    back = control("Back", curved("Back"), 1, (0.0, 1e-3))
    assert other(back, acted_on={"Back"}) == 0.0  # though the style has a sleeve
    assert other(back, acted_on={"Front"}) == pytest.approx(1e-3)
    assert other(back, acted_on={"Sleeve"}) == pytest.approx(1e-3)
    assert other(back, acted_on=None) == -1.0
    assert other(back, acted_on=None, selected={"Back"}) == 0.0
    assert other(back, acted_on={"Front"}, selected={"Back", "Front"}) == pytest.approx(1e-3)
    sleeve = control("Sleeve", curved("Sleeve"), 1, (0.0, 1e-3))
    assert other(sleeve, acted_on={"Front"}) == pytest.approx(1e-3)
    assert other(chorus().map_shapes(lambda _, s: s.but()), acted_on={"Front"}) == 0.0


def shifted_notch(shape: Shape) -> Shape:
    first, *rest = shape.notches
    station = Station(first.station.segment, first.station.t / 2 + 0.25)
    return shape.but(notches=(replace(first, station=station), *rest))


def test_other_pieces_are_all_that_is_drawn_of_them() -> None:
    drawn = {
        "grain": lambda s: s.but(grain_line=None),
        "notch": shifted_notch,
        "notch gone": lambda s: s.but(notches=s.notches[1:]),
        "type": lambda s: s.but(notches=(replace(s.notches[0], depth=3.0), *s.notches[1:])),
        "text": lambda s: s.but(texts=tuple(replace(t, at=(0.0, 0.0)) for t in s.texts)),
        "lines": lambda s: s.but(internal_lines=()),
        "cut line": lambda s: s.but(cut_line=s.seam_line),
        "allowances": lambda s: s.but(allowances=(10.0,) * len(s.corners)),
        "segments": lambda s: s.but(seam_line=s.seam_line.insert_joints([Station(0, 0.5)])),
    }
    for what, change in drawn.items():
        after = only("Back", change)
        assert other(after, acted_on={"Front"}) > 1e-3, what
        assert other(after, acted_on={"Back"}) == 0.0, what


def test_other_pieces_renamed_taken_away_or_cut_otherwise() -> None:
    before = chorus()
    back = before.piece("Back")
    renamed = before.but(
        pieces=tuple(p.but(name="Rear") if p is back else p for p in before.pieces), seams=()
    )
    assert other(renamed, acted_on={"Front"}) == np.inf
    assert other(before.but(pieces=before.pieces[1:], seams=()), acted_on={"Front"}) == np.inf
    assert other(before.with_pieces([back.but(quantity=(4, 0))]), acted_on={"Front"}) == np.inf
    fewer = before.with_pieces([back.but(shapes=back.shapes[:1])])
    assert other(fewer, acted_on={"Front"}) == np.inf
    more = before.but(pieces=(*before.pieces, back.but(name="Facing")))
    assert other(more, acted_on={"Front"}) == 0.0  # nothing that was there has moved


def test_shapes_that_are_gone_keep_nothing() -> None:
    before = chorus()
    fewer = before.but(pieces=before.pieces[1:], seams=())
    for name in ("area", "cloth-area", "corners", "grain", "notch-stations", "cut-quantity"):
        assert kept(fewer)[name] == np.inf, name
    back = before.piece("Back")
    size_gone = before.with_pieces([back.but(shapes=back.shapes[:1])])
    assert kept(size_gone)["area"] == np.inf
    opened = back.shapes[0].seam_line.part(10.0, 500.0)
    new = back.but(
        name="New",
        shapes=(back.shapes[0].but(seam_line=opened, corners=(), notches=(), allowances=()),),
    )
    assert kept(before.but(pieces=(*before.pieces, new)))["outline-closed"] == np.inf
