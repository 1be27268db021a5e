"""Lines in few letters: what is packed comes out again, to the hundredth of a millimetre."""

from __future__ import annotations

import re

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from seamwright.geometry import CUBIC, LINE
from seamwright.model import Pattern
from seamwright.plugins.api import Record
from seamwright.testing.strategies import patterns
from seamwright_report.packing import LETTERS, Book, Strokes, packed, path_text
from seamwright_report.timeline import timeline_of


def unpacked(text: str) -> list[int]:
    """By the definition of variable-length quantities, letter for letter."""
    out, whole, shift = [], 0, 0
    for letter in text.encode():
        digit = LETTERS.index(letter)
        whole |= (digit & 31) << shift
        shift += 5
        if not digit & 32:
            out.append(-(whole >> 1) if whole & 1 else whole >> 1)
            whole = shift = 0
    return out


@settings(max_examples=200)
@given(values=st.lists(st.integers(-(10**9), 10**9), max_size=40))
def test_numbers_come_back(values: list[int]) -> None:
    text = packed(values)
    assert unpacked(text) == values
    assert re.fullmatch("[A-Za-z0-9_-]*", text)


def columns(book: Book, number: int, sizes: int) -> list[tuple[str, np.ndarray] | None]:
    """A column unfolded again: the sums undone, size after size."""
    out: list[tuple[str, np.ndarray] | None] = [None] * sizes
    for ops, order, letters, own in book.columns[number]:
        own = own or list(range(sizes))
        rows = np.array(unpacked(letters)).reshape(len(own), -1)
        if order == 2:
            rows[1:] = np.cumsum(rows[1:], axis=0)
        rows = np.cumsum(rows, axis=0)
        for z, row in zip(own, rows, strict=True):
            out[z] = (ops, np.cumsum(row.reshape(-1, 2), axis=0))
    return out


@settings(max_examples=40, deadline=None)
@given(pattern=patterns())
def test_pieces_come_back_in_every_size(pattern: Pattern) -> None:
    timeline = timeline_of(Record(before=pattern, after=pattern), pattern.sizes)
    book = Book()
    told = timeline.to_json(book)
    for piece, entry in zip(pattern.pieces, told, strict=True):
        assert entry["n"] == piece.name
        ((state, layers),) = entry["t"]
        assert state == 0
        found = columns(book, layers["s"], len(pattern.sizes))
        for z, size in enumerate(pattern.sizes):
            shape = next((s for s in piece.shapes if s.size == size), None)
            row = found[z]
            assert (shape is None) == (row is None)
            if shape is None or row is None:
                continue
            line = shape.seam_line
            cubics, lines = (int((line.kinds == kind).sum()) for kind in (CUBIC, LINE))
            closing = int(line.kinds[-1] == LINE)
            assert len(row[1]) == 1 + 3 * cubics + lines - closing
            start = np.array([line.start[0], -line.start[1]])
            assert np.abs(row[1][0] / 100 - start).max() <= 0.005 + 1e-9
            ends = line.segments[: line.n - closing, 3] * [1, -1]
            kinds = line.kinds[: line.n - closing]
            at = np.cumsum(np.where(kinds == CUBIC, 3, 1))
            assert np.abs(row[1][at] / 100 - ends).max() <= 0.005 + 1e-9


def test_the_same_line_is_kept_once() -> None:
    line = Strokes("ml2z", np.array([[0, 0], [10, 0], [10, 10]]))
    again = Strokes("ml2z", np.array([[0, 0], [10, 0], [10, 10]]))
    book = Book()
    assert book.column([line, None]) == book.column([again, None]) == 0
    assert book.column([None, None]) is None
    assert len(book.columns) == 1


@pytest.mark.parametrize(
    ("ops", "points", "path"),
    [
        ("ml2z", [(0, 0), (10, 0), (10, -10)], "m0 0l10 0 0-10z"),
        ("mcz", [(5, 5), (6, 6), (7, 7), (8, 5)], "m5 5c1 1 2 2 3 0z"),
        # After closing, the pen is where the outline began.
        ("mlzml", [(1, 1), (2, 1), (5, 5), (6, 5)], "m1 1l1 0zm4 4l1 0"),
    ],
)
def test_path_text(ops: str, points: list[tuple[int, int]], path: str) -> None:
    assert path_text(Strokes(ops, np.array(points))) == path


def test_a_nest_graded_evenly_costs_little_more_than_two_sizes() -> None:
    rng = np.random.default_rng(3)
    base = rng.integers(-50_000, 50_000, (60, 2))
    grade = rng.integers(-300, 300, (60, 2))

    def size(count: int) -> int:
        book = Book()
        book.column([Strokes("mc19l2z", base + k * grade) for k in range(count)])
        return len(book.columns[0][0][2])

    assert size(20) < size(2) + 18 * 120 * 1.01
