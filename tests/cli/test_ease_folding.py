"""The arithmetic of folding: what the tucks take, where they sit, and when they cannot."""

from __future__ import annotations

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from seamwright.findings import SeamwrightError
from seamwright.paper import WIDEST_EVER, cloths, find_cloth, folding, read_cloths
from seamwright.paper.tucks import CLEAR, LARGEST_SHARE, NEAR_ENOUGH, NOTCH_CLEAR

NEED = st.floats(0.06, 60)
RUN = st.floats(120, 400)
LARGEST = st.floats(1.0, 8.0)
PLACE = st.floats(20, 120)
ROOM = st.one_of(st.none(), st.floats(15, 200))
APART = st.floats(5, 40)


@given(NEED, RUN, LARGEST, PLACE, ROOM, APART)
def test_tucks_are_equal_few_and_between_shoulder_and_notch(
    need: float, run: float, largest: float, place: float, room: float | None, apart: float
) -> None:
    found = folding(need=need, run=run, place=place, largest=largest, room=room, apart=apart)
    end = 0.6 * run if room is None else room - NOTCH_CLEAR
    widths = {t.width for t in found.tucks}
    assert len(widths) <= 1
    for tuck in found.tucks:
        assert tuck.width <= min(largest, WIDEST_EVER) + 1e-9
        assert tuck.at - tuck.width / 2 >= CLEAR - 1e-9
        assert tuck.at + tuck.width / 2 <= end + 1e-9
    for a, b in zip(found.tucks, found.tucks[1:], strict=False):
        assert (b.at - b.width / 2) - (a.at + a.width / 2) >= apart - 1e-9
    if not found.why:
        assert found.taken == pytest.approx(need, abs=1e-9)
        assert found.short == 0
        # One tuck fewer would have to be too wide.
        if len(found.tucks) > 1:
            assert need / (len(found.tucks) - 1) > largest - 1e-6
    else:
        assert found.taken < need
        assert found.short == pytest.approx(need - found.taken)
    assert found.taken <= LARGEST_SHARE * run + 1e-9


@given(NEED, RUN, LARGEST, PLACE)
def test_tucks_lie_about_the_place_asked_for_when_there_is_room(
    need: float, run: float, largest: float, place: float
) -> None:
    found = folding(need=need, run=run, place=place, largest=largest, room=None)
    assume(found.tucks and abs(found.moved) < 1e-9)
    middle = (found.tucks[0].at + found.tucks[-1].at) / 2
    assert middle == pytest.approx(place)


@given(st.floats(-50, NEAR_ENOUGH), RUN)
def test_nothing_is_folded_where_nothing_is_over(need: float, run: float) -> None:
    found = folding(need=need, run=run)
    assert found.tucks == () and found.taken == 0 and found.why == "" and found.short == 0


def test_the_usual_case() -> None:
    # 3/16 in out of a half of 225 mm, in one tuck 2 1/4 in down.
    one = folding(need=4.7625, run=225, room=125)
    assert [(t.at, t.width) for t in one.tucks] == [(57.15, 4.7625)] and one.moved == 0
    # A hair more takes a second tuck.
    assert len(folding(need=4.77, run=225, room=125).tucks) == 2


def test_what_keeps_tucks_from_taking_all_is_named() -> None:
    assert folding(need=40, run=200).why == "share"
    narrow = folding(need=12, run=225, room=34)
    assert narrow.why == "room" and len(narrow.tucks) == 1
    none = folding(need=12, run=225, room=12)
    assert none.why == "room" and none.tucks == () and none.short == 12


def test_lengths_that_make_no_sense_are_refused() -> None:
    for wrong in ({"run": 0.0}, {"run": 200.0, "largest": 0.0}, {"run": 200.0, "place": -1.0}):
        with pytest.raises(ValueError, match="above 0"):
            folding(need=5, **wrong)


def test_every_row_of_the_table_has_a_source_and_a_sane_range() -> None:
    names = [c.name for c in cloths()]
    assert len(names) == len(set(names)) and {"firm woven", "coat wool with a sleeve head"} <= {
        *names
    }
    for cloth in cloths():
        assert cloth.source and cloth.source != "given by the user"
        for side in ("back", "front"):
            span = cloth.side(side)
            assert 0 <= (span.at_least or 0) <= span.at_most <= 30


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("not toml [", "not TOML"),
        ("[cloth]\nname = 'x'", "rows"),
        ("x = 1", "rows"),
        ("[[cloth]]\nback = 1", "no name"),
        ("[[cloth]]\nname = 'x'\nbak = 1", "bak"),
        ("[[cloth]]\nname = 'x'", "no at-most"),
        ("[[cloth]]\nname='x'\nback={at-most='1 in'}\nfront={at-most=12}", "with its unit"),
        ("[[cloth]]\nname='x'\nback={at-most='1 in'}\nfront={at-most='1 ft'}", "unit of length"),
        ("[[cloth]]\nname='x'\nback={at-most='1 in', at-least='2 in'}\nfront={}", "above"),
        ("[[cloth]]\nname='x'\nback={at-most='-1 in'}\nfront={at-most='1 in'}", "below 0"),
        ("[[cloth]]\nname='x'\nsource=3\nback={at-most='1 in'}\nfront={}", "texts"),
    ],
)
def test_a_wrong_table_is_refused_by_row(text: str, says: str) -> None:
    with pytest.raises(SeamwrightError, match=says) as caught:
        read_cloths(text, name="mine.toml")
    assert caught.value.finding.file == "mine.toml"


def test_own_cloths_come_before_the_table() -> None:
    (own,) = read_cloths(
        "[[cloth]]\nname='Firm woven'\nback={at-most='1 mm'}\nfront={at-most='2 mm'}", name="x"
    )
    assert find_cloth("firm  WOVEN", [own]).back.at_most == 1.0
    assert find_cloth("firm woven").back.at_most == pytest.approx(15.875)
