"""Text keywords and the rule table's grammar, as far as they are known from outside.

Piece system text: quoted from D6673 cl. 4.3.1.2 as reported (Piece Name, Quantity, Rotation, Flip,
Tilt, Fold; edition -10 adds Material). Units: METRIC is millimetres with 2 decimals, ENGLISH inches
with 4 (cl. 4.3.1.1, second-hand). Style system text and the grammar of the rule table: from memory,
consistent with excerpts; how its numbers count is not settled from any text that could be opened.
"""

from __future__ import annotations

import numpy as np
import pytest

from seamwright_dxf.meaning.keywords import grade_number, quantity, said_by
from seamwright_dxf.meaning.units import unit_of_word
from seamwright_dxf.rules.table import parse_table


@pytest.mark.parametrize(
    ("text", "key", "value"),
    [
        ("Piece Name:FRONT", "name", "FRONT"),
        ("Quantity:1,1", "quantity", "1,1"),
        ("Rotation:180", "rotation", "180"),
        ("Flip:X", "flip", "X"),
        ("Tilt:-5", "tilt", "-5"),
        ("Fold:Y", "fold", "Y"),
        ("Material:SHELL", "material", "SHELL"),
        ("PIECE NAME : Front", "name", "Front"),
        ("Size: 38", "size", "38"),
        ("Category: BODY", "category", "BODY"),
    ],
)
def test_piece_system_text(text: str, key: str, value: str) -> None:
    said = said_by(text)
    assert (said.kind, said.key, said.value) == ("piece", key, value)


@pytest.mark.parametrize(
    ("text", "key"),
    [
        ("Style Name: A", "Style Name"),
        ("Creation Date: 1-1-2020", "Creation Date"),
        ("Creation Time: 10:15", "Creation Time"),
        ("Author: B", "Author"),
        ("Sample Size: M", "Sample Size"),
        ("Grade Rule Table: C", "Grade Rule Table"),
        ("Units: METRIC", "Units"),
        ("Curve Tolerance: 0.05", "Curve Tolerance"),
        ("ASTM/D13Proposal 1 Version: D6673-04", "Version"),
        ("ANSI/AAMA-292", "Version"),
    ],
)
def test_style_system_text(text: str, key: str) -> None:
    said = said_by(text)
    assert (said.kind, said.key) == ("style", key)


def test_units() -> None:
    assert unit_of_word("METRIC") == 1.0
    assert unit_of_word("ENGLISH") == 25.4


@pytest.mark.parametrize(
    ("text", "counts"),
    [("2", (2, 0)), ("1,1", (1, 1)), ("2,0", (2, 0)), ("2,00", (2, 0)), ("x", None)],
)
def test_quantity_is_right_and_left(text: str, counts: tuple[int, int] | None) -> None:
    """A "2,0" reads either way as two; so does the decimal comma of "2,00"."""
    assert quantity(text) == counts


def test_grade_points_are_texts_with_a_number_sign() -> None:
    assert grade_number("# 12") == 12 and grade_number("#3") == 3 and grade_number("# a") is None


def test_the_grammar_of_a_rule_table() -> None:
    text = (
        "ASTM/D13Proposal 1 Version: D6673-04\nAUTHOR: a\nCREATION DATE: d\nCREATION TIME: t\n"
        "UNITS: METRIC\nGRADE RULE TABLE: g\nNUMBER OF SIZES: 3\nSIZE LIST: 8 10 12\n"
        "SAMPLE SIZE: 10\nRULE: DELTA 1\n-5.00,0.00 0.00,0.00 5.00,0.00\nEND\n"
    )
    table = parse_table(text, file=None)
    assert table.sizes == ("8", "10", "12") and table.sample == "10"
    assert np.array_equal(table.rules[1], [[-5, 0], [0, 0], [5, 0]])
