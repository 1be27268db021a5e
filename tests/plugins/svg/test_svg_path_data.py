"""Path data: every command, the compact grammar, and faults with their place."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from seamwright.findings import Severity
from seamwright_svg.drawing.path_data import BadPath, parse_path


def points(data: str) -> list[list[float]]:
    """Start and end points of all segments, subpath by subpath, flattened."""
    out = []
    for sub in parse_path(data):
        out.append(sub.segments[0, 0].tolist())
        out += sub.segments[:, 3].tolist()
    return out


class TestCommands:
    def test_lines(self) -> None:
        data = "M1,2 L3,4 l1,1 H10 h-2 V0 v5"
        assert points(data) == [[1, 2], [3, 4], [4, 5], [10, 5], [8, 5], [8, 0], [8, 5]]

    def test_further_pairs_after_a_move_are_lines(self) -> None:
        assert points("M1 1 2 2 3 3m1 1 1 1") == [[1, 1], [2, 2], [3, 3], [4, 4], [5, 5]]

    def test_quadratics_are_raised_exactly(self) -> None:
        (sub,) = parse_path("M0 0Q30 60 60 0")
        t = np.linspace(0, 1, 7)[:, None]
        p = sub.segments[0]
        cubic = (
            (1 - t) ** 3 * p[0]
            + 3 * (1 - t) ** 2 * t * p[1]
            + 3 * (1 - t) * t**2 * p[2]
            + t**3 * p[3]
        )
        quadratic = 2 * (1 - t) * t * np.array([30, 60]) + t**2 * np.array([60, 0])
        assert np.allclose(cubic, quadratic, atol=1e-12)

    def test_smooth_cubic_reflects(self) -> None:
        (sub,) = parse_path("M0 0C1 2 3 4 5 6S9 9 10 6")
        assert sub.segments[1, 1].tolist() == [7, 8]

    def test_smooth_cubic_after_a_line_does_not(self) -> None:
        (sub,) = parse_path("M0 0L5 6S9 9 10 6")
        assert sub.segments[1, 1].tolist() == [5, 6]

    def test_smooth_quadratic_reflects(self) -> None:
        long, short = parse_path("M0 0Q5 10 10 0Q15 -10 20 0"), parse_path("M0 0Q5 10 10 0T20 0")
        assert np.allclose(long[0].segments, short[0].segments, atol=1e-12)

    def test_after_z_the_pen_is_at_the_start(self) -> None:
        first, second = parse_path("M1 1h5v5z l9 9")
        assert first.closed and not second.closed
        assert second.segments[0, 0].tolist() == [1, 1]

    def test_z_in_the_middle_splits(self) -> None:
        assert [s.closed for s in parse_path("M0 0h9v9z M20 0h9v9Z")] == [True, True]

    def test_move_alone_is_nothing(self) -> None:
        assert parse_path("M5 5") == [] == parse_path("") == parse_path("none")

    def test_arc_flags_without_spaces(self) -> None:
        assert np.allclose(
            parse_path("M0 0a5 5 0 0110 10")[0].segments,
            parse_path("M0 0 a 5,5 0 0 1 10,10")[0].segments,
        )

    def test_arc_without_radius_is_a_line(self) -> None:
        assert points("M0 0A0 5 0 0 1 10 10") == [[0, 0], [10, 10]]

    def test_compact_numbers(self) -> None:
        assert points("M.5.5-1e-3.25L1.5.5") == [[0.5, 0.5], [-1e-3, 0.25], [1.5, 0.5]]


@given(
    st.lists(
        st.tuples(
            st.sampled_from("LlHhVvCcQqSsTt"),
            st.lists(st.integers(-9999, 9999), min_size=12, max_size=12),
        ),
        min_size=1,
        max_size=30,
    )
)
def test_long_runs_give_what_single_commands_give(commands: list[tuple[str, list[int]]]) -> None:
    """Implicit repeats are drawn by arrays, single commands by floats: bit for bit the same."""
    takes = {"L": 2, "H": 1, "V": 1, "C": 6, "Q": 4, "S": 4, "T": 2}
    long, short = ["M1 2"], ["M1 2"]
    for letter, numbers in commands:
        n = takes[letter.upper()]
        values = [k / 8 for k in numbers * 4]
        rows = [values[i : i + n] for i in range(0, len(values) - n + 1, n)]
        long.append(letter + " ".join(" ".join(map(str, r)) for r in rows))
        short += [letter + ",".join(map(str, r)) for r in rows]
    for a, b in zip(
        parse_path("".join(long)), parse_path("M1 2 " + " ".join(short[1:])), strict=True
    ):
        assert np.array_equal(a.segments, b.segments)
        assert np.array_equal(a.kinds, b.kinds)


BROKEN = [
    ("M0 0 L10 10 foo 20 20", "foo", "M0 0 L10 10"),
    ("M0 0 L10 10 L20", "L20", "M0 0 L10 10"),
    ("M0,5,5 L10,5,3,5", "M0,5,5", "M0,5"),
    ("M0 0 L nan 10", "nan", "M0 0"),
    ("M0 0 L5 5 inf 3", "inf", "M0 0 L5 5"),
    ("M0 0 L10 10,,3 4", ",3", "M0 0 L10 10"),
    ("L1 1", "L", ""),
    ("M0 0 Z 5 5", "5", "M0 0 Z"),
    ("M0 0 A5 5 0 2 1 9 9", "2", "M0 0"),
    ("M0 0 L1e999 0", "1e999", "M0 0"),
    ("M", "M", ""),
]


@pytest.mark.parametrize(("data", "text", "good"), BROKEN)
def test_faults_have_place_and_text(data: str, text: str, good: str) -> None:
    with pytest.raises(BadPath) as caught:
        parse_path(data)
    assert text in caught.value.text
    assert data[: caught.value.good] == good
    parse_path(data[: caught.value.good])  # what is good can be drawn


@given(st.text(alphabet="MmZzLlCcAaQqTt0123456789.,-+e \n", max_size=40))
def test_any_text_is_read_or_refused_with_a_place(data: str) -> None:
    try:
        subpaths = parse_path(data)
    except BadPath as fault:
        assert 0 <= fault.at <= len(data)
        assert 0 <= fault.good <= len(data)
        parse_path(data[: fault.good])
    else:
        assert all(np.isfinite(s.segments).all() for s in subpaths)


class TestBrokenInADrawing:
    """The fault is reported with id, line and text; half a path is never drawn unasked."""

    CASES = [
        ('<path id="p" d="M0 0 L10 10 foo 20 20"/>', "svg.path-data", "foo"),
        ('<path id="p" d="M0 0 L10 10 L20"/>', "svg.path-data", "L20"),
        ('<path id="p" d="M0,5,5 L10,5,3,5"/>', "svg.path-data", "M0,5,5"),
        ('<g id="p" transform="translate(abc)"><path d="M0 0h9v9z"/></g>', "svg.transform", "abc"),
        ('<polygon id="p" points="0,0 10,0 10"/>', "svg.path-data", "10,0 10"),
        ('<path id="p" d="M0 0 L nan 10"/>', "svg.path-data", "nan"),
        ('<rect id="p" width="nan" height="10"/>', "svg.attribute", "nan"),
        ('<rect id="p" width="-5" height="10"/>', "svg.attribute", "-5"),
        ('<circle id="p" r="x"/>', "svg.attribute", "x"),
    ]

    @pytest.mark.parametrize(("element", "code", "text"), CASES)
    def test_is_an_error_and_left_out(self, svg: Any, element: str, code: str, text: str) -> None:
        read = svg.read(svg.doc(f"\n\n{element}\n"))
        found = read.one(code)
        assert found.severity is Severity.ERROR
        assert '"p"' in found.message and text in found.message
        assert found.line == 3
        assert found.hint
        assert not read.pattern.pieces

    @pytest.mark.parametrize(("element", "code", "text"), CASES)
    def test_lenient_takes_what_is_good(self, svg: Any, element: str, code: str, text: str) -> None:
        read = svg.read(svg.doc(f"\n\n{element}\n"), lenient=True)
        (found,) = read.found(code)[:1]
        assert found.severity is Severity.WARNING or "negative" in found.message

    def test_decimal_commas_are_named(self, svg: Any) -> None:
        found = svg.read('<path id="p" d="M0,5,5 L10,5,3,5"/>').one("svg.path-data")
        assert "10.5" in (found.hint or "")

    def test_lenient_draws_up_to_the_fault(self, svg: Any) -> None:
        read = svg.read('<path id="p" d="M0 0H100V80H0V0 L foo"/>', lenient=True)
        assert sum(read.edges("p")) == pytest.approx(360.0)
