"""Runs on outlines: where they begin and end, how long they are, darts stepped over."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from seamwright.findings import SeamwrightError
from seamwright.geometry import Curve, Station
from seamwright.model import Corner, Dart, Notch, Pattern, Piece, Run, RunPart, Shape, build_shape
from seamwright.plan import part_curve, resolve_run
from seamwright.testing.strategies import shapes


def run(*parts: tuple[str, ...]) -> Run:
    return Run(parts=tuple(RunPart(piece=p, marks=marks) for p, *rest in parts
                           for marks in [tuple(rest)]))  # fmt: skip


def one_piece(*made: Shape, base: str = "M") -> Pattern:
    piece = Piece(name="A", shapes=made)
    return Pattern(name="p", pieces=(piece,), sizes=tuple(s.size for s in made), base_size=base)


def rectangle(size: str, w: float, h: float, **fields: object) -> Shape:
    """Corners 1 to 4 from the upper left: down h, along w, up h, back w."""
    outline = Curve.polyline([(0, h), (0, 0), (w, 0), (w, h)], closed=True)
    return build_shape(size=size, outline=outline, **fields)  # type: ignore[arg-type]


@given(shapes(), st.data())
def test_a_run_is_the_curve_between_its_marks(shape: Shape, data: st.DataObject) -> None:
    pattern = one_piece(shape)
    all_marks: list[Corner | Notch] = [*shape.corners, *shape.notches]
    marks = [m.name for m in all_marks]
    a, b = data.draw(st.lists(st.sampled_from(marks), min_size=2, max_size=2, unique=True))
    try:
        found = resolve_run(pattern, run(("A", a, b))).parts[0]
    except SeamwrightError as error:
        assert error.finding.code == "plan.way"
        return
    if found.lengths[0] == 0.0:
        return  # two notches at one place
    curve = part_curve(shape, found, 0)
    assert abs(curve.length - found.lengths[0]) < 1e-8
    stations = {m.name: m.station for m in all_marks}
    assert np.hypot(*(curve.start - shape.seam_line.point_of(stations[a]))) < 1e-6
    assert np.hypot(*(curve.end - shape.seam_line.point_of(stations[b]))) < 1e-6
    # The other way round is the rest of the outline.
    back = resolve_run(pattern, run(("A", b, a))).parts[0]
    assert back.forward is not found.forward
    assert abs(back.lengths[0] - found.lengths[0]) < 1e-9


def test_all_sizes_go_the_way_of_the_base_size() -> None:
    # Two corners that are two edges apart: the shorter way in M is the longer one in S.
    def kite(size: str, left: float) -> Shape:
        outline = Curve.polyline([(0, 100), (-left, 0), (0, -100), (60, 0)], closed=True)
        names = ["top", "left", "foot", "right"]
        corners = [Station(i, 0.0) for i in range(4)]
        return build_shape(size=size, outline=outline, corners=corners, corner_names=names)

    pattern = one_piece(kite("S", 20.0), kite("M", 100.0))
    found = resolve_run(pattern, run(("A", "top", "foot")))
    assert found.lengths == pytest.approx([2 * np.hypot(60, 100)] * 2)
    other = one_piece(kite("S", 20.0), kite("M", 100.0), base="S")
    found = resolve_run(other, run(("A", "top", "foot")))
    assert found.lengths == pytest.approx([2 * np.hypot(20, 100), 2 * np.hypot(100, 100)])


def test_over_the_start_of_the_outline_and_over_several_pieces() -> None:
    shape = rectangle("M", 100, 300)
    pattern = Pattern(
        name="p",
        pieces=(Piece(name="A", shapes=(shape,)), Piece(name="B", shapes=(shape,))),
        sizes=("M",),
        base_size="M",
    )
    wanted = run(("A", "corner-4", "corner-2"), ("B", "corner-2", "corner-3"))
    with pytest.raises(SeamwrightError, match="both ways"):
        resolve_run(pattern, wanted)  # opposite corners of a rectangle
    wanted = run(("A", "corner-4", "corner-1", "corner-2"), ("B", "corner-2", "corner-3"))
    found = resolve_run(pattern, wanted)
    assert found.lengths == pytest.approx([100 + 300 + 100])
    assert [p.forward for p in found.parts] == [True, True]


def test_darts_are_stepped_over() -> None:
    # The waist edge 2 > 3 is 200 long, with a mouth of 30 at 80 to 110.
    dart = Dart(name="waist", left=Station(1, 0.40), right=Station(1, 0.55), apex=(95, 120))
    ends = [Notch(name="before", station=Station(1, 0.40)),
            Notch(name="inside", station=Station(1, 0.45)),
            Notch(name="after", station=Station(1, 0.55))]  # fmt: skip
    pattern = one_piece(rectangle("M", 200, 300, darts=[dart], notches=ends))

    def length(*marks: str) -> float:
        return float(resolve_run(pattern, run(("A", *marks))).lengths[0])

    assert length("corner-2", "corner-3") == pytest.approx(170)
    assert length("corner-3", "corner-2") == pytest.approx(170)
    assert length("corner-1", "corner-2", "corner-3") == pytest.approx(470)
    # The mouth itself, and a run that ends in it, are measured as they lie.
    assert length("before", "after") == pytest.approx(30)
    assert length("corner-2", "inside") == pytest.approx(90)
    assert length("corner-2", "before") == pytest.approx(80)
    assert length("corner-2", "after") == pytest.approx(80)
    assert length("corner-1", "corner-1") == pytest.approx(970)


def test_a_dart_drawn_as_two_runs() -> None:
    ends = [Notch(name="left", station=Station(1, 0.40)),
            Notch(name="right", station=Station(1, 0.55))]  # fmt: skip
    pattern = one_piece(rectangle("M", 200, 300, notches=ends))
    found = resolve_run(pattern, run(("A", "corner-2", "left"), ("A", "right", "corner-3")))
    assert found.lengths == pytest.approx([80 + 90])


def test_the_whole_of_a_round_piece() -> None:
    band = build_shape(
        size="M", outline=Curve.circle((0, 0), 50), notches=[Notch(name="n", station=Station(0, 0))]
    )
    found = resolve_run(one_piece(band), run(("A", "n", "n")))
    assert found.lengths == pytest.approx([2 * np.pi * 50], abs=1e-3)


def test_unknown_names_are_refused_with_the_nearest() -> None:
    pattern = one_piece(rectangle("M", 100, 300))
    with pytest.raises(SeamwrightError) as caught:
        resolve_run(pattern, run(("a", "corner-1", "corner-2")))
    assert (caught.value.finding.code, caught.value.finding.hint) == (
        "plan.piece",
        'did you mean "A"?',
    )
    with pytest.raises(SeamwrightError) as caught:
        resolve_run(pattern, run(("A", "cornet-1", "corner-2")))
    assert caught.value.finding.code == "plan.mark"
    assert '"corner-1"' in str(caught.value.finding.hint)
