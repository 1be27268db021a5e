"""check-true and true-seams: two panels whose hem breaks over the side seam, and what is none."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from seamwright.geometry import Curve, FloatArray
from seamwright.model import (
    Dart,
    Ease,
    InternalKind,
    InternalLine,
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
from seamwright.plan import walk
from seamwright.plugins.api import StepRecord
from seamwright.testing.profile import tries

_QUICK = tries(25)


def _run(pattern: Pattern, use: str, **options: Any) -> tuple[Pattern, StepRecord]:
    after, record = Pipeline([Use(use, **options)]).run(pattern)
    return after, record.steps[0]


def _side(marks: str) -> Seam:
    a, b = marks.split()
    return Seam(
        name="side",
        sew=Run(parts=(RunPart(piece="Front", marks=(a, b)),)),
        to=Run(parts=(RunPart(piece="Back", marks=(a, b)),)),
    )


def _body(hem: float, *, size: str = "M", width: float = 250.0, length: float = 400.0) -> Shape:
    """A panel: side seam on the right from "top" down to "hem"; the hem meets it at an inside
    angle of `hem` degrees."""
    drop = width / np.tan(np.radians(hem))
    points = np.array([[0, 0], [0, drop - length], [width, -length], [width, 0]], dtype=np.float64)
    return build_shape(
        size=size,
        outline=Curve.polyline(points, closed=True),
        corner_names=["centre-top", "centre-hem", "hem", "top"],
        corners=[Curve.polyline(points, closed=True).station_at(s) for s in _starts(points)],
    )


def _starts(points: FloatArray) -> list[float]:
    steps = np.hypot(*np.diff(points, axis=0).T)
    return [0.0, *np.cumsum(steps).tolist()]


def _two(front: Sequence[Shape], back: Sequence[Shape], **seam: Any) -> Pattern:
    import dataclasses

    sizes = tuple(s.size for s in front)
    side = dataclasses.replace(_side("top hem"), **seam)
    return Pattern(
        name="skirt",
        pieces=(Piece(name="Front", shapes=tuple(front)), Piece(name="Back", shapes=tuple(back))),
        sizes=sizes,
        base_size=sizes[0],
        seams=(side,),
    )


_break = st.floats(-20, 20).filter(lambda d: abs(d) > 4)


@_QUICK
@given(
    front=st.floats(75, 105), off=_break, turn=st.floats(-180, 180), mirrored=st.booleans()
)  # fmt: skip
def test_the_break_is_what_the_angles_lack(
    front: float, off: float, turn: float, mirrored: bool
) -> None:
    back = 180.0 - front - off
    a = np.radians(turn)
    sign = -1.0 if mirrored else 1.0
    m = [[np.cos(a), -sign * np.sin(a), 40.0], [np.sin(a), sign * np.cos(a), -7.0]]
    pattern = _two([_body(front)], [transform(_body(back), m)])
    same, step = _run(pattern, "check-true")
    assert same is pattern
    hem = [row for row in step.figures["ends"] if row["end"] == "side: hem"]
    assert [row["turn"] for row in hem] == pytest.approx([off], abs=1e-9)
    found = [f for f in step.findings if f.code == "seam-end.kink" and f.edge == "side: hem"]
    assert [f.measured for f in found] == pytest.approx([off], abs=1e-9)
    assert ("point" if off > 0 else "hollow") in found[0].message


@_QUICK
@given(front=st.floats(80, 100), off=_break, within=st.floats(10, 100))
def test_trued_it_runs_on_and_the_seam_is_as_long_as_it_was(
    front: float, off: float, within: float
) -> None:
    pattern = _two([_body(front)], [_body(180.0 - front - off)])
    after, step = _run(pattern, "true-seams", within=within)
    assert [f.code for f in step.findings] == ["seam-end.trued"]
    _, again = _run(after, "check-true")
    (row,) = [r for r in again.figures["ends"] if r["end"] == "side: hem"]
    assert row["turn"] == pytest.approx(0.0, abs=1e-6)
    was, now = walk(pattern), walk(after)
    assert np.abs(now.sew_lengths - was.sew_lengths).max() < 1e-9
    assert np.abs(now.to_lengths - was.to_lengths).max() < 1e-9
    for name in ("Front", "Back"):
        old, new = pattern.piece(name).shapes[0], after.piece(name).shapes[0]
        assert not len(new.seam_line.self_intersections().own)
        edge = old.edge_curve(1).reversed()  # from the seam on
        reach = min(within, 0.45 * edge.length)
        far = edge.point_at(np.linspace(reach + 1e-6, edge.length, 20))
        assert new.seam_line.nearest(far).distances.max() < 1e-9
        # Half the break each: 27/256 of tan(k/2) d at three quarters of the way.
        shift = new.seam_line.nearest(edge.point_at(np.array([0.25 * reach]))).distances[0]
        assert shift == pytest.approx(27 / 256 * np.tan(np.radians(abs(off) / 2)) * reach, rel=0.03)
    largest = max(row["largest_shift"] for row in step.figures["ends"])
    assert step.findings[0].measured == pytest.approx(largest)
    assert max(step.moved.values()) == pytest.approx(largest, rel=0.03)


def test_a_curved_edge_keeps_its_bend_away_from_the_seam() -> None:
    """A circle's arc swung by 4 degrees over 40 mm: its bend plus the second derivative of the
    move, as the formula has it."""
    circle = Curve.arc((0.0, 0.0), 120.0, 0.0, 60.0)
    from seamwright_truing.swing import swing

    new = swing(circle.part(circle.length - 40.0, circle.length), 4.0)
    s = np.linspace(0.0, new.curve.length, 60)[1:-1]
    u = s / new.curve.length
    wanted = 1 / 120.0 + np.tan(np.radians(4.0)) / 40.0 * (12 * u**2 - 6 * u)
    assert np.abs(new.curve.curvature_at(s) - wanted).max() < 6e-4
    assert np.array_equal(new.curve.end, circle.end)
    old = circle.tangent_at(circle.length) @ np.array([1, 1j])
    now = new.curve.tangent_at(new.curve.length) @ np.array([1, 1j])
    assert np.degrees(np.angle(now / old)) == pytest.approx(4.0, abs=1e-9)
    # One bump: the curvature changes its slope once at most, and nothing breaks inside.
    bend = new.curve.curvature_at(s)
    assert bend[-1] > bend[0]
    assert not len(new.curve.corner_segments(0.05))


def test_every_size_and_one_finding() -> None:
    sizes = [f"s{i:02d}" for i in range(20)]
    front = [_body(90 + 0.5 * i, size=s) for i, s in enumerate(sizes)]
    back = [_body(90, size=s) for s in sizes]
    _, step = _run(_two(front, back), "check-true")
    found = [f for f in step.findings if f.edge == "side: hem"]
    assert len(found) == 1
    assert "in 13 of 20 sizes, most in s19" in found[0].message
    after, step = _run(_two(front, back), "true-seams", kink=0.2)
    _, again = _run(after, "check-true", kink=0.11)
    assert again.findings == ()


def test_a_step_is_found_and_left() -> None:
    pattern = _two([_body(90, length=404.0)], [_body(90)])
    _, step = _run(pattern, "check-true")
    (found,) = [f for f in step.findings if f.code == "seam-end.step"]
    assert found.measured == pytest.approx(4.0)
    assert found.piece == "Front"
    after, trued = _run(pattern, "true-seams")
    assert after is pattern
    assert [f.code for f in trued.findings] == ["seam-end.step"]


def test_ease_that_is_intended_is_no_step() -> None:
    eased = _two([_body(90, length=404.0)], [_body(90)], ease=Ease(at_least=3.0, at_most=5.0))
    _, step = _run(eased, "check-true")
    assert step.findings == ()


def test_laid_together_from_the_nearest_notches() -> None:
    def with_notch(shape: Shape, down: float) -> Shape:
        edge = shape.edge_curve(2)  # hem > top
        at = shape.seam_line.nearest(edge.point_at(np.array([edge.length - down])))
        station = shape.seam_line.station_at(float(at.lengths[0]))
        return shape.but(notches=(Notch(name="hip", station=station),))

    front = with_notch(_body(90, length=402.0), 203.0)
    pattern = _two([front], [with_notch(_body(90), 200.0)], meet=(("hip", "hip"),))
    _, step = _run(pattern, "check-true", ends=["side: top"])
    by_end = {row["end"]: row["step"] for row in step.figures["ends"]}
    assert by_end["side: top"] == pytest.approx(3.0)
    assert by_end["side: hem"] == pytest.approx(-1.0)


def test_a_large_break_is_a_corner_that_is_meant() -> None:
    pattern = _two([_body(60)], [_body(60)])
    _, step = _run(pattern, "check-true")
    assert [f for f in step.findings if f.edge == "side: hem"] == []
    after, trued = _run(pattern, "true-seams")
    assert after is pattern
    assert [f.code for f in trued.findings] == ["seam-end.corner"]
    after, _ = _run(pattern, "true-seams", corners_above=80)
    assert after is not pattern


def test_an_end_can_be_left_out_and_a_misspelt_one_is_told() -> None:
    pattern = _two([_body(80)], [_body(90)])
    _, step = _run(pattern, "check-true", except_ends=["side: hem"])
    assert step.findings == ()
    _, step = _run(pattern, "check-true", except_ends=["side: hemm"])
    (found,) = step.findings
    assert found.code == "seam-end.unknown"
    assert "side: hem" in (found.hint or "")


def test_a_fold_is_square_at_both_ends() -> None:
    body = _body(90)
    tilted = transform(body, [[1.0, 0.0, 0.0], [0.1, 1.0, 0.0]])  # top and hem slope to the fold
    fold = InternalLine(kind=InternalKind.FOLD, curve=tilted.edge_curve(0), name="fold")
    half = tilted.but(internal_lines=(fold,), mirrored_half=True)
    pattern = Pattern(
        name="half", pieces=(Piece(name="Back", shapes=(half,)),), sizes=("M",), base_size="M"
    )
    slope = np.degrees(np.arctan(0.1))
    _, step = _run(pattern, "check-true")
    turns = {f.edge: f.measured for f in step.findings}
    assert turns["Back: centre-top"] == pytest.approx(-2 * slope)
    assert turns["Back: centre-hem"] == pytest.approx(2 * slope)
    after, _ = _run(pattern, "true-seams")
    _, again = _run(after, "check-true")
    assert again.findings == ()
    assert [row["angle"] for row in again.figures["ends"]] == pytest.approx([90.0, 90.0])


def test_over_a_closed_dart() -> None:
    body = _body(90)
    top = body.edge_curve(3)  # top > centre-top, 250 long
    at = [body.seam_line.nearest(top.point_at(np.array([s]))).lengths[0] for s in (110.0, 140.0)]
    left, right = (body.seam_line.station_at(float(a)) for a in at)
    dart = Dart(name="waist dart", left=left, right=right, apex=(125.0, -90.0))
    pattern = Pattern(
        name="d",
        pieces=(Piece(name="Front", shapes=(body.but(darts=(dart,)),)),),
        sizes=("M",),
        base_size="M",
    )
    _, step = _run(pattern, "check-true")
    (found,) = step.findings
    # Straight across an open mouth: each leg leans by 15 in 90, closed it makes a hollow or point.
    assert abs(found.measured or 0.0) == pytest.approx(2 * np.degrees(np.arctan(15 / 90)))
    assert found.edge == "Front: waist dart"
    (row,) = step.figures["ends"]
    assert row["step"] == pytest.approx(0.0, abs=1e-9)
    after, trued = _run(pattern, "true-seams", within=40)
    assert [f.code for f in trued.findings] == ["seam-end.dart", "seam-end.trued"]
    _, again = _run(after, "check-true")
    assert again.findings == ()
    (was,), (now,) = body.but(darts=(dart,)).darts, after.pieces[0].shapes[0].darts
    new = after.pieces[0].shapes[0].seam_line
    for end in ("left", "right"):
        before, moved = body.seam_line.point_of(getattr(was, end)), new.point_of(getattr(now, end))
        assert before == pytest.approx(moved, abs=1e-9)
    assert now.apex == was.apex
    # Farther than 40 mm from the mouth, and across it, nothing moved.
    kept = np.concatenate([top.point_at(np.array(s)) for s in ((0.0, 69.0), (115.0, 135.0),
                                                               (181.0, 250.0))])  # fmt: skip
    assert new.nearest(kept).distances.max() < 1e-9


def test_a_stretch_stops_before_a_dart_that_lies_near_the_seam() -> None:
    body = _body(80)
    hem = body.edge_curve(1)
    at = float(body.seam_line.nearest(hem.point_at(np.array([hem.length - 30.0]))).lengths[0])
    left, right = (body.seam_line.station_at(at + a) for a in (0.0, 20.0))
    dart = Dart(name="dart", left=left, right=right, apex=(230.0, -300.0))
    pattern = _two([body.but(darts=(dart,))], [_body(90)])
    after, step = _run(pattern, "true-seams", within=60, except_ends=["Front: dart"])
    rows = [row for row in step.figures["ends"] if row["piece"] == "Front"]
    assert [row["within"] for row in rows] == pytest.approx([9.0])
    mouth = body.seam_line.part(at, at + 20.0).point_at(np.linspace(0.0, 20.0, 9))
    assert after.piece("Front").shapes[0].seam_line.nearest(mouth).distances.max() < 1e-9


def test_a_cut_line_does_not_survive_beside_a_new_seam_line() -> None:
    def with_cut(shape: Shape) -> Shape:
        return make_cut_line(shape, 10.0).shape

    pattern = _two([with_cut(_body(84))], [with_cut(_body(90))])
    after, step = _run(pattern, "true-seams")
    assert {f.code for f in step.findings} == {"seam-end.trued"}
    for piece in after.pieces:
        shape = piece.shapes[0]
        assert shape.cut_line is not None
        places = shape.seam_line.point_at(np.linspace(0, shape.seam_line.length, 200)[:-1])
        apart = shape.cut_line.nearest(places).distances
        assert apart.min() > 9.97 and np.median(apart) == pytest.approx(10.0, abs=0.01)
    # Widths unknown: a small swing's cut line follows its parallel, a large one's cannot.
    no_widths = pattern.map_shapes(lambda _, s: s.but(allowances=()))
    after, step = _run(no_widths, "true-seams")
    assert {f.code for f in step.findings} == {"seam-end.trued"}
    pattern = _two([with_cut(_body(70))], [with_cut(_body(90))])
    no_widths = pattern.map_shapes(lambda _, s: s.but(allowances=()))
    after, step = _run(no_widths, "true-seams")
    assert "cut-line.dropped" in {f.code for f in step.findings}
    assert all(p.shapes[0].cut_line is None for p in after.pieces)


def test_marks_stay_on_the_line_in_their_order() -> None:
    def marked(shape: Shape) -> Shape:
        edge = shape.edge_curve(1)  # centre-hem > hem
        spots = edge.point_at(edge.length * np.array([0.3, 0.9, 0.95]))
        lengths = shape.seam_line.nearest(spots).lengths
        return shape.but(
            notches=tuple(
                Notch(name=f"n{i}", station=shape.seam_line.station_at(float(s)))
                for i, s in enumerate(lengths)
            )
        )

    pattern = _two([marked(_body(80))], [_body(90)])
    after, _ = _run(pattern, "true-seams", within=60)
    new, old = after.piece("Front").shapes[0], pattern.piece("Front").shapes[0]
    at = [new.seam_line.length_of(n.station) for n in new.notches]
    was = [old.seam_line.length_of(n.station) for n in old.notches]
    assert [n.name for n in new.notches] == ["n0", "n1", "n2"]
    assert at == sorted(at)
    assert at == pytest.approx(was, abs=0.5)
    assert at[0] == pytest.approx(was[0], abs=1e-9)


def test_the_chorus_blouse() -> None:
    """An armhole over the shoulder is judged, the point under the arm is not."""
    from importlib.resources import files

    from seamwright.demo.blouse import blouse
    from seamwright.plan import apply_plan, load_plan

    text = (files("seamwright.demo") / "data" / "chorus-blouse.plan.toml").read_bytes()
    pattern, _ = apply_plan(blouse(), load_plan(text, "plan"))
    _, step = _run(pattern, "check-true")
    judged = {row["end"] for row in step.figures["ends"]}
    assert "shoulder: shoulder" in judged
    assert "side: hem-side" in judged
    aside = {row["end"]: row["why"] for row in step.figures["set_aside"]}
    assert aside["side: underarm"] == "four seams meet here"
    _, step = _run(pattern, "check-true", four_seams=True)
    assert "side: underarm" in {row["end"] for row in step.figures["ends"]}
    # Neckline, armhole, hem and wrist of the draft run on across their seams.
    _, step = _run(pattern, "check-true")
    assert step.findings == ()
    after, trued = _run(pattern, "true-seams", kink=0.5)
    _, again = _run(after, "check-true", kink=0.5)
    assert [f for f in again.findings if f.code == "seam-end.kink"] == []
    assert not [k for k in trued.invariants if k.moved > k.limit]


def _part(piece: str, *marks: str) -> RunPart:
    return RunPart(piece=piece, marks=marks)


def _band(name: str) -> Piece:
    """A band 500 long; its upper edge runs from "b" through the notch "mid" to "a"."""
    points = np.array([[0, 0], [0, -40], [500, -40], [500, 0]], dtype=np.float64)
    outline = Curve.polyline(points, closed=True)
    shape = build_shape(
        size="M",
        outline=outline,
        corners=[outline.station_at(s) for s in (0.0, 40.0, 540.0, 580.0)],
        corner_names=["a", "low-a", "low-b", "b"],
        notches=[Notch(name="mid", station=outline.station_at(830.0))],
    )
    return Piece(name=name, shapes=(shape,))


_FRONT, _BACK = _part("Front", "centre-hem", "hem"), _part("Back", "hem", "centre-hem")


@pytest.mark.parametrize(
    ("runs", "why"),
    [
        ([], ""),
        ([(_part("Band", "a", "mid", "b"), (_FRONT, _BACK))], ""),
        (
            [
                (_part("Band", "a", "mid"), (_FRONT,)),
                (_part("Band", "mid", "b"), (_BACK,)),
            ],
            "",
        ),
        (
            [(_part("Band", "mid", "a"), (_part("Front", "hem", "centre-hem"),))],
            "of the crossing edges one is sewn and the other is not",
        ),
        (
            [(_part("Back", "hem", "centre-hem"), (_part("Front", "hem", "centre-hem"),))],
            "the crossing edges are sewn to one another",
        ),
        (
            [
                (_part("Band", "a", "mid"), (_FRONT,)),
                (_part("Other", "mid", "b"), (_BACK,)),
            ],
            "four seams meet here",
        ),
    ],
)
def test_which_ends_are_meant_to_run_on(
    runs: list[tuple[RunPart, tuple[RunPart, ...]]], why: str
) -> None:
    """Free hems; one band over both hems by one run or by two; a band on one hem only; hems sewn to
    each other, as a collar's; two bands that are not one."""
    pattern = _two([_body(80)], [_body(90)])
    seams = tuple(
        Seam(name=f"hem {i}", sew=Run(parts=(sew,)), to=Run(parts=to))
        for i, (sew, to) in enumerate(runs)
    )
    pattern = pattern.but(
        pieces=(*pattern.pieces, _band("Band"), _band("Other")), seams=(*pattern.seams, *seams)
    )
    _, step = _run(pattern, "check-true")
    aside = {row["end"]: row["why"] for row in step.figures["set_aside"]}
    judged = {row["end"] for row in step.figures["ends"]}
    assert aside.get("side: hem", "") == why
    assert ("side: hem" in judged) == (why == "")
    # A name among `ends` is judged whatever lies there.
    _, step = _run(pattern, "check-true", ends=["side: hem"])
    assert "side: hem" in {row["end"] for row in step.figures["ends"]}
