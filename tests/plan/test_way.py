"""Which way round the outline a run goes."""

from __future__ import annotations

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from seamwright.plan.way import WayError, way

# A rectangle 100 x 300, its corners at 0, 300, 400, 700; the whole is 800.
CORNERS = [0.0, 300.0, 400.0, 700.0]


def test_neighbouring_corners_take_the_edge_between_them() -> None:
    assert way([0, 300], 800, corners=CORNERS)
    assert not way([300, 0], 800, corners=CORNERS)
    # Across the start of the outline too.
    assert way([700, 0], 800, corners=CORNERS)
    assert not way([0, 700], 800, corners=CORNERS)


def test_a_notch_between() -> None:
    assert way([150, 300], 800, corners=CORNERS)
    assert not way([150, 0], 800, corners=CORNERS)
    # Notch to notch along one edge, however near the other way round may be.
    assert way([10, 290], 300 + 20, corners=[0.0, 300.0])


def test_with_as_many_corners_the_shorter_way() -> None:
    assert way([0, 250], 800)
    assert not way([0, 550], 800)
    # Opposite corners of the rectangle pass one corner either way, and both ways are 400.
    with pytest.raises(WayError, match="about as long") as caught:
        way([0, 400], 800, corners=CORNERS)
    assert "between" in caught.value.hint
    assert way([0, 150, 400], 800, corners=CORNERS)
    assert not way([0, 750, 400], 800, corners=CORNERS)


def test_within_a_twentieth_is_in_doubt() -> None:
    assert way([0, 380], 800)  # 380 against 420
    with pytest.raises(WayError):
        way([0, 392], 800)  # 392 against 408


def test_marks_between_say_it_outright() -> None:
    assert way([0, 350, 750], 800, corners=CORNERS)
    assert not way([0, 750, 700], 800, corners=CORNERS)
    with pytest.raises(WayError, match="do not follow"):
        way([0, 500, 300, 700], 800, corners=CORNERS)


def test_corners_of_a_darts_mouth_are_not_counted() -> None:
    # A waist edge from 0 to 300 with a dart drawn as two corners, and a piece whose other way
    # round passes one corner only.
    corners = [0.0, 120.0, 150.0, 300.0, 500.0]
    assert not way([0, 300], 800, corners=corners)
    assert way([0, 300], 800, corners=corners, mouths=[(120.0, 150.0)])


def test_the_same_mark_twice_is_the_whole_outline() -> None:
    assert way([30, 30], 800, corners=CORNERS)
    assert way([30, 200, 500, 30], 800, corners=CORNERS)
    assert not way([30, 500, 200, 30], 800, corners=CORNERS)


@given(st.lists(st.integers(0, 799), min_size=3, max_size=6, unique=True), st.integers(0, 799))
def test_marks_in_order_and_in_the_other_order(marks: list[int], turn: int) -> None:
    ordered = [float((m + turn) % 800) for m in sorted(marks)]
    assert way(ordered, 800)
    assert not way(ordered[::-1], 800)


@given(
    st.integers(0, 799), st.integers(0, 799), st.lists(st.integers(0, 799), max_size=6, unique=True)
)
def test_there_and_back_is_the_same_way(a: int, b: int, corners: list[int]) -> None:
    assume(a != b)
    try:
        there = way([a, b], 800, corners=corners)
    except WayError:
        with pytest.raises(WayError):
            way([b, a], 800, corners=corners)
        return
    assert way([b, a], 800, corners=corners) is not there
