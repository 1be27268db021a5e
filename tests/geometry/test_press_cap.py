"""Pressing a cap: what it keeps, whatever is taken out and however the drawing lies."""

from __future__ import annotations

import pickle
import subprocess
import sys

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from seamwright.geometry import Curve, GeometryError
from seamwright.geometry.press import (
    PressedEdge,
    PressError,
    Taken,
    Wedge,
    bend_rod,
    bend_rods,
    deepest,
    edge_to_curves,
    equal_sided_wedge,
    inward_side,
    press_cap,
    slash_wedge,
)

DRAFT = Curve.from_segments(
    np.array(
        [
            [(-169, 0), (-146, 5), (-128, 20), (-112, 42)],
            [(-112, 42), (-96, 64), (-82, 90), (-62, 109)],
            [(-62, 109), (-44.8, 125.34), (-24, 135), (0, 135)],
            [(0, 135), (23, 135), (40, 124), (55, 107)],
            [(55, 107), (73, 86.6), (81, 62), (96, 40)],
            [(96, 40), (112.5, 15.8), (134, 4), (161, 0)],
        ],
        dtype=float,
    )
)
TOP = float(DRAFT.cumulative[3])
widths = st.floats(0.3, 8.0)
places = st.floats(35.0, 90.0)
quick = settings(max_examples=12, deadline=None)


def tucks(
    edge: Curve,
    top: float,
    back: tuple[float, float],
    front: tuple[float, float],
    depth: float = 50.0,
) -> list[Wedge]:
    """Two tucks, given as (distance from the top, width)."""
    return [
        equal_sided_wedge(edge, at=top - back[0], width=back[1], depth=depth),
        equal_sided_wedge(edge, at=top + front[0], width=front[1], depth=depth),
    ]


def turned(angle: float, dx: float, dy: float, mirror: bool = False) -> np.ndarray:
    c, s = np.cos(angle), np.sin(angle)
    m = -1.0 if mirror else 1.0
    return np.array([[m * c, -s, dx], [m * s, c, dy]])


def old_pieces(edge: PressedEdge) -> np.ndarray:
    """For each piece of the new edge but its jogs, from where to where it lay on the old (N, 2)."""
    first = edge.taken.before(edge.lengths)
    ends = edge.taken.ends[:, None]
    places_of = edge.taken.places[:, None]
    at_tuck = np.abs(edge.lengths - places_of) < 1e-9
    begins = np.where(at_tuck.any(axis=0), (ends * at_tuck).sum(axis=0), first)
    return np.stack([begins[:-1], first[1:]], axis=1)


@given(widths, widths, places, places, st.sampled_from([0.1, 1.0]))
@quick
def test_every_length_along_the_edge_is_held(
    w1: float, w2: float, p1: float, p2: float, compression: float
) -> None:
    wedges = tucks(DRAFT, TOP, (p1, w1), (p2, w2))
    edge = press_cap(DRAFT, wedges, marks=[TOP], size=8.0, compression=compression)
    pieces = old_pieces(edge)
    kept = np.diff(pieces, axis=1)[:, 0]
    np.testing.assert_allclose(kept, np.diff(edge.lengths), atol=1e-9)
    chords = np.hypot(*(DRAFT.point_at(pieces[:, 1]) - DRAFT.point_at(pieces[:, 0])).T)
    np.testing.assert_allclose(np.hypot(*np.diff(edge.points, axis=0).T), chords, atol=1e-10)
    assert edge.length == pytest.approx(DRAFT.length - w1 - w2, abs=1e-10)
    assert edge.taken.after(TOP) == pytest.approx(TOP - w1, abs=1e-10)
    # The line between the ends is not touched, to the last digit.
    assert (edge.points[0] == DRAFT.start).all()
    assert (edge.points[-1] == DRAFT.end).all()


@given(widths, widths, places, places)
@quick
def test_sides_of_the_smooth_edge_lose_exactly_their_tucks(
    w1: float, w2: float, p1: float, p2: float
) -> None:
    wedges = tucks(DRAFT, TOP, (p1, w1), (p2, w2))
    edge = press_cap(DRAFT, wedges, marks=[TOP], size=8.0)
    smooth = edge_to_curves(edge, DRAFT, split=[TOP - w1])
    np.testing.assert_allclose(smooth.sides, [TOP - w1, DRAFT.length - TOP - w2], rtol=0, atol=1e-8)
    curve = smooth.curve
    # Three cubics a side smooth the tuck; a wide one takes another, to come within 0.2 mm.
    assert 6 <= curve.n <= 9
    assert smooth.deviation < (0.3 if curve.n == 6 else 0.2)  # half a pencil line at most
    assert len(curve.corner_segments(1e-4)) == 0
    assert (curve.start == DRAFT.start).all()
    assert (curve.end == DRAFT.end).all()
    np.testing.assert_allclose(curve.tangent_at(0.0), DRAFT.tangent_at(0.0), atol=1e-9)
    np.testing.assert_allclose(
        curve.tangent_at(curve.length), DRAFT.tangent_at(DRAFT.length), atol=1e-9
    )


@given(st.floats(-3.1, 3.1), st.floats(-500, 500), st.floats(-500, 500), st.booleans())
@quick
def test_a_moved_turned_or_mirrored_cap_gives_the_same(
    angle: float, dx: float, dy: float, mirror: bool
) -> None:
    matrix = turned(angle, dx, dy, mirror)
    moved = DRAFT.transformed(matrix)
    here = press_cap(DRAFT, tucks(DRAFT, TOP, (57, 4), (57, 3)), marks=[TOP], size=8.0)
    there = press_cap(moved, tucks(moved, TOP, (57, 4), (57, 3)), marks=[TOP], size=8.0)
    np.testing.assert_allclose(
        there.points, here.points @ matrix[:, :2].T + matrix[:, 2], atol=1e-6
    )
    a = edge_to_curves(here, DRAFT, split=[TOP - 4]).curve.segments
    b = edge_to_curves(there, moved, split=[TOP - 4]).curve.segments
    np.testing.assert_allclose(b, a @ matrix[:, :2].T + matrix[:, 2], atol=1e-4)


def test_travelled_the_other_way() -> None:
    back = DRAFT.reversed()
    top = DRAFT.length - TOP
    here = press_cap(DRAFT, tucks(DRAFT, TOP, (57, 4), (57, 3)), marks=[TOP])
    there = press_cap(back, tucks(back, top, (57, 3), (57, 4)), marks=[top])
    # The mesh's grid is the same, but ties between its diagonals may fall the other way.
    np.testing.assert_allclose(there.points[::-1], here.points, atol=2e-3)


def test_a_symmetric_cap_stays_symmetric() -> None:
    half = [[(-160, 0), (-110, 6), (-70, 130), (0, 130)]]
    cap = Curve.from_segments([*half, [(-x, y) for x, y in half[0]][::-1]])
    top = float(cap.cumulative[1])
    edge = press_cap(cap, tucks(cap, top, (60, 5), (60, 5)), marks=[top])
    mirrored = edge.points[::-1] * (-1.0, 1.0)
    np.testing.assert_allclose(edge.points, mirrored, atol=2e-3)


def test_several_tucks_and_their_order() -> None:
    wedges = [
        equal_sided_wedge(DRAFT, at=at, width=3, depth=40)
        for at in (TOP - 75, TOP - 45, TOP + 45, TOP + 75)
    ]
    edge = press_cap(DRAFT, wedges, marks=[TOP], size=8.0)
    shuffled = press_cap(DRAFT, [wedges[i] for i in (2, 0, 3, 1)], marks=[TOP], size=8.0)
    np.testing.assert_array_equal(edge.points, shuffled.points)
    assert edge.length == pytest.approx(DRAFT.length - 12, abs=1e-10)
    assert edge.apexes.shape == (4, 2, 2)


def test_what_is_held_comes_back_as_it_was() -> None:
    edge = press_cap(
        DRAFT, tucks(DRAFT, TOP, (57, 5), (57, 5)), marks=[TOP], fixed_below=(100.0, 90.0)
    )
    curve = edge_to_curves(edge, DRAFT, split=[TOP - 5]).curve
    np.testing.assert_array_equal(curve.segments[0], DRAFT.segments[0])
    np.testing.assert_array_equal(curve.segments[-1], DRAFT.segments[-1])
    before, after = DRAFT.part(0, 100), DRAFT.part(DRAFT.length - 90, DRAFT.length)
    np.testing.assert_array_equal(curve.segments[: before.n], before.segments)
    np.testing.assert_array_equal(curve.segments[-after.n :], after.segments)
    assert len(curve.corner_segments(1e-4)) == 0


@pytest.mark.parametrize("count", [200, 60])
def test_a_cap_drawn_out_in_straight_pieces(count: int) -> None:
    s = np.sort(np.append(np.linspace(0, DRAFT.length, count + 1), TOP))
    drawn = Curve.polyline(DRAFT.point_at(s))
    top = float(drawn.cumulative[np.flatnonzero(s == TOP)[0]])
    edge = press_cap(drawn, tucks(drawn, top, (57, 4), (57, 4)), marks=[top])
    smooth = edge_to_curves(edge, drawn, split=[top - 4])
    np.testing.assert_allclose(smooth.sides, [top - 4, drawn.length - top - 4], atol=1e-8)
    plain = press_cap(DRAFT, tucks(DRAFT, TOP, (57, 4), (57, 4)), marks=[TOP])
    curve = edge_to_curves(plain, DRAFT, split=[TOP - 4]).curve
    assert curve.nearest(smooth.curve.joints).distances.max() < 0.12
    assert smooth.curve.n == 8


def test_a_cap_in_one_segment() -> None:
    cap = Curve.from_segments([[(-165, 0), (-60, 190), (60, 190), (165, 0)]])
    top = cap.length / 2
    edge = press_cap(cap, tucks(cap, top, (57, 4), (57, 4)), marks=[top])
    smooth = edge_to_curves(edge, cap, split=[top - 4])
    np.testing.assert_allclose(smooth.sides, [top - 4, top - 4], atol=1e-8)
    assert len(smooth.curve.corner_segments(1e-4)) == 0


def test_a_pointed_cap_keeps_its_point() -> None:
    """Straight sides that stay straight would meet where two circles do."""
    cap = Curve.polyline([(-165, 0), (0, 135), (165, 0)])
    top = float(cap.cumulative[1])
    edge = press_cap(cap, tucks(cap, top, (57, 4), (57, 4)), marks=[top])
    smooth = edge_to_curves(edge, cap, split=[top - 4])
    assert len(smooth.curve.corner_segments(60)) == 1
    assert len(smooth.curve.corner_segments(0.01)) == 1
    tip = smooth.curve.point_at(top - 4)
    straight = np.sqrt((top - 4) ** 2 - 165**2)
    assert tip[0] == pytest.approx(0.0, abs=1e-3)
    assert straight - 0.2 < tip[1] <= straight + 1e-9


@pytest.mark.parametrize(
    "foot",
    [
        [[(-169, 0), (-146, -12), (-128, 20), (-112, 42)]],  # dips under the line
        [[(-169, 0), (-140, 0), (-128, 20), (-112, 42)]],  # sets out along it
        [
            [(-169, 0), (-156, 0), (-142, 0), (-129, 0)],  # runs along it
            [(-129, 0), (-120, 0), (-118, 30), (-112, 42)],
        ],
    ],
)
def test_underarms_along_or_under_the_foot(foot: list[list[tuple[float, float]]]) -> None:
    cap = Curve.from_segments(np.concatenate([foot, DRAFT.segments[1:]]))
    top = float(cap.cumulative[len(foot) + 1])
    edge = press_cap(cap, tucks(cap, top, (57, 4), (57, 4)), marks=[top])
    assert edge.held[0] > 0.0
    smooth = edge_to_curves(edge, cap, split=[top - 4])
    np.testing.assert_allclose(smooth.sides, [top - 4, cap.length - top - 4], atol=1e-8)
    before = cap.part(0.0, edge.held[0])
    np.testing.assert_array_equal(smooth.curve.segments[: before.n], before.segments)


@pytest.mark.parametrize(("away", "height"), [(57, 67), (70, 90), (57, 100), (90, 60)])
def test_slashes_lose_what_was_asked_for(away: float, height: float) -> None:
    wedges = [
        slash_wedge(DRAFT, at=TOP - away, width=5, hinge=(-2, height)),
        slash_wedge(DRAFT, at=TOP + away, width=5, hinge=(2, height)),
    ]
    edge = press_cap(DRAFT, wedges, marks=[TOP])
    assert edge.length == pytest.approx(DRAFT.length - 10, abs=1e-10)
    for wedge in wedges:
        assert wedge.mouth[1] - wedge.mouth[0] >= wedge.width
    wide = [w for w in wedges if abs(w.jog) > 0.25]
    assert len(edge.jogs) == len(wide) > 0
    for (first, last), wedge in zip(edge.jogs, wide, strict=True):
        mouth = edge.mouths[wedges.index(wedge)]
        assert mouth[1] - mouth[0] >= wedge.mouth[1] - wedge.mouth[0]
        sides = np.hypot(*(DRAFT.point_at(mouth) - wedge.apex).T)
        step = np.hypot(*(edge.points[last] - edge.points[first]))
        assert step == pytest.approx(abs(sides[1] - sides[0]), rel=0.1)
    smooth = edge_to_curves(edge, DRAFT, split=[TOP - 5])
    np.testing.assert_allclose(smooth.sides, [TOP - 5, DRAFT.length - TOP - 5], atol=1e-8)
    assert len(smooth.curve.corner_segments(1e-4)) == 0
    assert smooth.deviation < 0.3
    steps = np.hypot(*(edge.points[edge.jogs[:, 1]] - edge.points[edge.jogs[:, 0]]).T)
    assert 0.3 * steps.max() < smooth.trued <= 0.5 * steps.max()
    # Tuck and slash are two ways of doing one thing.
    tuck = press_cap(DRAFT, tucks(DRAFT, TOP, (away, 5), (away, 5)), marks=[TOP])
    other = edge_to_curves(tuck, DRAFT, split=[TOP - 5]).curve
    assert other.nearest(smooth.curve.joints).distances.max() < 2.0


@given(st.floats(-0.75, 0.75), st.floats(1.0, 8.0))
@quick
def test_a_slash_square_or_slanted(slant: float, width: float) -> None:
    """A straight edge: what is lost is what the two parts pass one another by."""
    edge = Curve.polyline([(-200, 0), (200, 0)])
    hinge = np.array([60 * np.tan(slant), -60.0])
    wedge = slash_wedge(edge, at=200, width=width, hinge=hinge)
    mouth = np.array([[wedge.mouth[0] - 200, 0.0], [wedge.mouth[1] - 200, 0.0]])
    way = (mouth - hinge) / np.hypot(*(mouth - hinge).T)[:, None]
    cross = way[0, 0] * way[1, 1] - way[0, 1] * way[1, 0]
    half = 0.5 * float(np.arctan2(cross, (way[0] * way[1]).sum()))
    turn = np.array([[np.cos(half), -np.sin(half)], [np.sin(half), np.cos(half)]])
    one = turn @ (mouth[0] - hinge)
    two = turn.T @ (mouth[1] - hinge)
    along = (two - one)[0]
    lost = (mouth[1] - mouth[0])[0] - abs(along)
    assert lost == pytest.approx(width, rel=0.03)


@given(
    st.lists(st.floats(0.5, 6.0), min_size=1, max_size=4),
    st.lists(st.floats(0, 446), max_size=5),
)
@settings(max_examples=30, deadline=None)
def test_lengths_carry_over(gone: list[float], asked: list[float]) -> None:
    taken = Taken.of([(40.0 + 80 * i, 40.0 + 80 * i + w) for i, w in enumerate(gone)])
    s = np.array([0.0, *asked])
    new = taken.after(s)
    assert (np.diff(taken.after(np.sort(s))) >= -1e-12).all()
    outside = ((s[:, None] <= taken.starts) | (s[:, None] >= taken.ends + 1e-9)).all(axis=1)
    np.testing.assert_allclose(taken.before(new[outside]), s[outside], atol=1e-9)
    assert taken.after(446.0) == pytest.approx(446.0 - sum(gone), abs=1e-9)
    np.testing.assert_allclose(taken.after(taken.starts), taken.places, atol=1e-12)


def test_rods_of_several_sizes_at_once_are_each_their_own() -> None:
    sizes = [DRAFT.transformed(np.diag([k, k, 1.0])) for k in (0.7, 1.0, 1.25)]
    taken = [
        Taken.of(tucks(e, k * TOP, (50, 3), (50, 4)))
        for e, k in zip(sizes, (0.7, 1.0, 1.25), strict=True)
    ]
    marks = [[k * TOP] for k in (0.7, 1.0, 1.25)]
    held = [(0.0, 0.0), (40.0, 50.0), (60.0, 0.0)]
    together = bend_rods(sizes, taken, marks=marks, fixed_below=held)
    for i, edge in enumerate(together):
        alone = bend_rod(sizes[i], taken[i], marks=marks[i], fixed_below=held[i])
        np.testing.assert_allclose(edge.points, alone.points, atol=1e-9)
        assert edge.length == pytest.approx(sizes[i].length - 7, abs=1e-9)
        assert (edge.points[-1] == sizes[i].end).all()
        pieces = old_pieces(edge)
        ends = sizes[i].point_at(pieces.ravel()).reshape(-1, 2, 2)
        chords = np.hypot(*(ends[:, 1] - ends[:, 0]).T)
        np.testing.assert_allclose(np.hypot(*np.diff(edge.points, axis=0).T), chords, atol=1e-9)
        smooth = edge_to_curves(edge, sizes[i], split=[edge.taken.after(marks[i][0])])
        assert smooth.deviation < 0.05
        assert len(smooth.curve.corner_segments(1e-4)) == 0


def test_results_travel_between_processes() -> None:
    edge = press_cap(DRAFT, tucks(DRAFT, TOP, (57, 4), (57, 4)), marks=[TOP], size=8.0)
    again = pickle.loads(pickle.dumps(edge))
    np.testing.assert_array_equal(again.points, edge.points)
    fault = pickle.loads(pickle.dumps(PressError("apex", "why")))
    assert (fault.reason, str(fault)) == ("apex", "why")


def test_a_tuck_on_an_arc_round_its_own_apex() -> None:
    arc = Curve.arc((0, 0), 60, 180, -180)
    for at in (30.0, 50.0, 80.0):
        wedge = equal_sided_wedge(arc, at=at, width=5, depth=60)
        assert abs(wedge.jog) < 1e-3
        assert abs(0.5 * (wedge.start + wedge.end) - at) < 1.0


def test_inward_side() -> None:
    assert inward_side(DRAFT) == -1
    assert inward_side(DRAFT.reversed()) == 1


# -- refusals ---------------------------------------------------------------------------------


def refused(reason: str, *, says: str = "") -> pytest.RaisesExc:  # type: ignore[type-arg]
    return pytest.raises(PressError, match=says, check=lambda fault: fault.reason == reason)


def tuck(away: float, width: float = 4.0, depth: float = 50.0) -> Wedge:
    return equal_sided_wedge(DRAFT, at=TOP + away, width=width, depth=depth)


@pytest.mark.parametrize(
    ("reason", "says", "wedges", "held"),
    [
        ("overlap", "takes the mark", [tuck(1.0)], (0, 0)),
        ("overlap", "meet at the edge", [tuck(40), tuck(43)], (0, 0)),
        ("overlap", "cut one another", [tuck(-12, depth=90), tuck(12, depth=90)], (0, 0)),
        ("apex", r"4\.\d+ mm above the line", [tuck(-55, depth=140)], (0, 0)),
        ("apex", "below the line", [tuck(-55, depth=200)], (0, 0)),
        (
            "apex",
            "outside the piece",
            [Wedge(300, 304, (300, 304), np.array([140, 80.0]), (70.0, 70.0))],
            (0, 0),
        ),
        ("held", "must stay in place", [tuck(-150, depth=40)], (80, 80)),
        ("held", "left to move", [tuck(-57)], (300, 200)),
        ("width", "no wedge", [], (0, 0)),
    ],
)
def test_refusals(reason: str, says: str, wedges: list[Wedge], held: tuple[float, float]) -> None:
    with refused(reason, says=says):
        press_cap(DRAFT, wedges, marks=[TOP], size=8.0, fixed_below=held)


def test_refusals_of_wedges() -> None:
    with refused("width", says="takes nothing out"):
        equal_sided_wedge(DRAFT, at=100, width=0.0, depth=50)
    with refused("width", says="wider than deep"):
        equal_sided_wedge(DRAFT, at=100, width=20, depth=15)
    with refused("overlap", says="over the end"):
        equal_sided_wedge(DRAFT, at=1, width=4, depth=50)
    slanting = DRAFT.point_at(60.0) + 50 * DRAFT.tangent_at(60.0) - 20 * DRAFT.normal_at(60.0)
    with refused("apex", says="6[0-9] degrees off square"):
        slash_wedge(DRAFT, at=60, width=4, hinge=slanting)
    with refused("overlap", says="overlap"):
        Taken.of([(10, 20), (15, 30)])


def test_refusals_of_edges() -> None:
    flat = Curve.polyline([(0, 0), (50, 7), (100, 0)])
    with refused("order", says="rises only"):
        press_cap(flat, [Wedge(20, 22, (20, 22), np.array([50, 6.0]), (30, 30))])
    with refused("order", says="encloses nothing"):
        inward_side(Curve.polyline([(0, 0), (100, 0)]))
    with refused("order", says="open curve"):
        press_cap(Curve.circle((0, 0), 50), [tuck(57)])
    loop = Curve.polyline([(-150, 0), (60, 120), (-60, 120), (150, 0)])
    with refused("order", says="crosses itself"):
        press_cap(loop, [Wedge(60, 64, (60, 64), np.array([-60, 20.0]), (30, 30))])


def test_too_much_taken_out_turns_the_sheet_over() -> None:
    wedges = [equal_sided_wedge(DRAFT, at=at, width=58, depth=60) for at in (TOP - 70, TOP + 70)]
    with refused("turned-over", says="folds over itself"):
        press_cap(DRAFT, wedges, marks=[TOP])


def test_too_much_taken_out_of_a_rod() -> None:
    with refused("solve", says="do not come back"):
        bend_rod(DRAFT, Taken.of([(60, 160), (280, 390)]))
    with refused("overlap", says="an end"):
        bend_rod(DRAFT, Taken.of([(0, 5)]))
    with refused("held", says="must stay"):
        bend_rod(DRAFT, Taken.of([(30, 35)]), fixed_below=(50, 0))


def test_refusals_are_geometry_errors() -> None:
    assert issubclass(PressError, GeometryError)


def test_scipy_and_shapely_wait_until_a_sheet_is_pressed() -> None:
    code = (
        "import sys, seamwright.geometry.press, seamwright.geometry.fair; "
        "sys.exit(any(m in sys.modules for m in ('scipy', 'shapely')))"
    )
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0


def test_how_deep_tucks_may_be() -> None:
    assert deepest(DRAFT, [TOP - 57, TOP + 57]) == 60.0
    narrow = Curve.from_segments(
        [[(-100, 0), (-40, 0), (-30, 150), (0, 150)], [(0, 150), (30, 150), (40, 0), (100, 0)]]
    )
    top = float(narrow.cumulative[1])
    for curve in (narrow, narrow.reversed(), narrow.transformed(turned(2.0, 5, 5, True))):
        depth = deepest(curve, [top - 55, top + 55])
        assert 15.0 < depth < 30.0
        press_cap(curve, tucks(curve, top, (55, 4), (55, 4), depth), marks=[top], size=8.0)
        with refused("overlap", says="cut one another"):
            press_cap(curve, tucks(curve, top, (55, 4), (55, 4), depth + 8), marks=[top])
    assert deepest(DRAFT, [20.0]) < 1.0
