"""Rule tables: the grammar, the three readings, and how a reading is proved."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from dxf_zoo import GROWTH, PLAIN, Tag, encode, piece, style, tags_of, write
from hypothesis import given
from hypothesis import strategies as st

from seamwright.plugins.api import Context, ReadResult, SeamwrightError, Severity, Source
from seamwright_dxf.options import DxfIn
from seamwright_dxf.read import read
from seamwright_dxf.rules.deltas import READINGS, Reading, decide, deltas_of, offsets_of
from seamwright_dxf.rules.table import parse_table

TABLE = """ASTM/D13Proposal 1 Version: D6673-10
AUTHOR: wardrobe
CREATION DATE: 12-03-2024
CREATION TIME: 10:15
UNITS: METRIC
GRADE RULE TABLE: CHORUS
NUMBER OF SIZES: 5
SIZE LIST: XS S M L XL
SAMPLE SIZE: M
RULE: DELTA 1
-10.0,1.0 -5.0,0.5 0.0,0.0 5.0,-0.5 10.0,-1.0
RULE: DELTA 2 0,0 0,0
0,0
0,2.5 0,5
END
"""


def test_header_and_rules() -> None:
    table = parse_table(TABLE, file="x.rul")
    assert (table.author, table.date, table.time) == ("wardrobe", "12-03-2024", "10:15")
    assert (table.units, table.name, table.sample) == ("METRIC", "CHORUS", "M")
    assert table.sizes == ("XS", "S", "M", "L", "XL")
    assert sorted(table.rules) == [1, 2]
    assert table.rules[1].tolist() == [[-10, 1], [-5, 0.5], [0, 0], [5, -0.5], [10, -1]]
    assert table.rules[2].tolist() == [[0, 0], [0, 0], [0, 0], [0, 2.5], [0, 5]]
    assert not table.findings


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("SIZE LIST: XS S M L XL", "size list : XS, S, M, L, XL"),
        ("RULE: DELTA 1", "rule:delta 1"),
        ("-10.0,1.0 -5.0,0.5", "-10.0, 1.0   -5.0 ,0.5"),
        ("-10.0,1.0 -5.0,0.5", "-10.0,1.0\t-5.0,0.5"),
        ("\n", "\r\n"),
        ("AUTHOR: wardrobe\n", "AUTHOR: wardrobe\n\n\n"),
    ],
)
def test_forgiven_forms(old: str, new: str) -> None:
    plain, other = parse_table(TABLE, file=None), parse_table(TABLE.replace(old, new), file=None)
    assert plain.sizes == other.sizes
    for number, rows in plain.rules.items():
        assert np.array_equal(rows, other.rules[number])


@pytest.mark.parametrize(
    "pairs",
    [
        "-10,0;1,0 -5,0;0,5 0,0;0,0 5,0;-0,5 10,0;-1,0",
        "-10,0 1,0 -5,0 0,5 0,0 0,0 5,0 -0,5 10,0 -1,0",
        "-10,0,1,0 -5,0,0,5 0,0,0,0 5,0,-0,5 10,0,-1,0",
    ],
)
def test_a_decimal_comma_is_read_with_a_warning(pairs: str) -> None:
    text = TABLE.replace("-10.0,1.0 -5.0,0.5 0.0,0.0 5.0,-0.5 10.0,-1.0", pairs)
    table = parse_table(text, file=None)
    assert table.rules[1].tolist() == [[-10, 1], [-5, 0.5], [0, 0], [5, -0.5], [10, -1]]
    assert [f.code for f in table.findings] == ["rules.decimal-comma"]


@pytest.mark.parametrize(
    ("old", "new", "line"),
    [
        ("NUMBER OF SIZES: 5", "NUMBER OF SIZES: 6", None),
        ("NUMBER OF SIZES: 5", "NUMBER OF SIZES: many", 7),
        ("SIZE LIST: XS S M L XL", "SIZE LIST: XS S S L XL", None),
        ("SAMPLE SIZE: M", "SAMPLE SIZE: XXL", None),
        ("10.0,-1.0\n", "\n", 10),
        ("-10.0,1.0", "-10.0,nan", 11),
        ("-10.0,1.0", "-10.0,1e9", 11),
        ("-10.0,1.0 -5.0,0.5 0.0,0.0", "-10.0 1,0 -5.0 0.5 0.0 0.0", 10),
        ("SIZE LIST: XS S M L XL\n", "", 1),
    ],
)
def test_damage_is_refused_with_its_line(old: str, new: str, line: int | None) -> None:
    with pytest.raises(SeamwrightError) as caught:
        parse_table(TABLE.replace(old, new), file="x.rul")
    assert caught.value.finding.code == "rules.damaged"
    assert caught.value.finding.line == line or line is None


def test_a_missing_end_and_a_rule_twice_are_told() -> None:
    text = TABLE.replace("END\n", "") + "RULE: DELTA 2\n1,1 1,1 0,0 1,1 1,1\n"
    codes = [f.code for f in parse_table(text, file=None).findings]
    assert codes == ["rules.twice", "rules.no-end"]


# -- readings ----------------------------------------------------------------------------------

LINEAR = {
    "cumulative": [-10, -5, 0, 5, 10],
    "step-outward": [-5, -5, 0, 5, 5],
    "step-ascending": [0, 5, 5, 5, 5],
}
"""A linear 5 mm grade of XS S M L XL, sample M, in the three readings."""


def deltas(values: list[float]) -> np.ndarray:
    return np.stack((np.array(values, dtype=float), np.zeros(len(values))), axis=1)


@pytest.mark.parametrize("reading", READINGS)
def test_the_linear_grade_in_three_readings(reading: Reading) -> None:
    raw = deltas([float(v) for v in LINEAR[reading]])
    offsets = offsets_of(raw, 2, reading)
    assert offsets[:, 0].tolist() == [-10, -5, 0, 5, 10]
    assert np.array_equal(deltas_of(offsets, 2, reading), raw)
    found = decide({1: raw, 2: 2 * raw}, 2)
    assert found.reading == reading


@given(
    steps=st.lists(st.integers(-9, 9), min_size=2, max_size=9), data=st.data(),
    reading=st.sampled_from(READINGS),
)  # fmt: skip
def test_deltas_and_offsets_are_inverse(
    steps: list[int], data: st.DataObject, reading: Reading
) -> None:
    sample = data.draw(st.integers(0, len(steps) - 1))
    offsets = np.stack((np.cumsum(steps), -np.cumsum(steps)), axis=1).astype(float)
    offsets -= offsets[sample]
    again = offsets_of(deltas_of(offsets, sample, reading), sample, reading)
    assert np.allclose(again, offsets, atol=1e-12)


@pytest.mark.parametrize(
    ("table", "sample"),
    [
        ([[0, 0, 5, 10]], 1),  # S and M alike, what follows could be any
        ([[-5, 0, 5], [-3, 0, 3]], 1),  # three sizes: cumulative and outward come to the same
        ([[0, 3, 6]], 0),  # one rule alone proves nothing
    ],
)
def test_what_the_numbers_leave_open_is_not_guessed(table: list[list[float]], sample: int) -> None:
    rules = {i: deltas([float(v) for v in row]) for i, row in enumerate(table)}
    found = decide(rules, sample)
    if table == [[-5, 0, 5], [-3, 0, 3]]:
        assert found.reading == "cumulative" and "the same" in found.reason
    else:
        assert found.reading is None and found.reason


def test_no_reading_fits_numbers_everywhere() -> None:
    assert decide({1: deltas([1.0, 2.0, 3.0, 4.0])}, 1).reading is None


# -- beside a drawing -----------------------------------------------------------------------------


def read_with(data: bytes, table: str, options: DxfIn | None = None) -> ReadResult:
    source = Source(name="x.dxf", data=data, beside={".rul": table.encode()})
    return read(source, options or DxfIn(), Context())


def base_with_rules() -> bytes:
    """The base size alone, with rule numbers at the corners of the front."""
    item = piece("FRONT", "M")
    tags = tags_of(PLAIN, [item])
    at = tags.index((0, "ENDBLK"))
    marks: list[Tag] = []
    for number, k in enumerate(item.turns, start=1):
        x, y = item.outline[k]
        marks += [(0, "TEXT"), (8, "1"), (10, f"{x:.4f}"), (20, f"{y:.4f}"), (40, 5.0)]
        marks.append((1, f"# {number}"))
    return encode([*tags[:at], *marks, *tags[at:]])


def test_grade_points_and_rules_of_a_base_size() -> None:
    result = read_with(base_with_rules(), TABLE)
    shape = result.pattern.piece("FRONT").in_size("M")
    assert [g.rule for g in shape.grade_points] == [1, 2, 3, 4, 5, 6]
    corners = {c.station for c in shape.corners}
    assert all(g.station in corners for g in shape.grade_points)
    rules = result.pattern.grade_rules
    assert rules is not None and rules.base_size == "M" and rules.date == "12-03-2024 10:15"
    assert rules.offsets[1].tolist() == [[-10, 1], [-5, 0.5], [0, 0], [5, -0.5], [10, -1]]
    assert result.pattern.sizes == ("M",)


def test_a_table_that_can_be_read_in_several_ways_is_not_used_but_kept() -> None:
    open_table = TABLE.replace(
        "-10.0,1.0 -5.0,0.5 0.0,0.0 5.0,-0.5 10.0,-1.0", "0,0 0,0 0,0 5,0 5,0"
    )
    open_table = open_table.replace("0,2.5 0,5", "0,2.5 0,4.2")
    result = read_with(base_with_rules(), open_table)
    assert result.pattern.grade_rules is None
    (finding,) = [f for f in result.findings if f.code == "rules.reading-open"]
    assert finding.severity is Severity.ERROR and "deltas" in (finding.hint or "")
    assert any(f.where == "rule table" and "DELTA" in f.data for f in result.pattern.foreign)
    for reading, far in (("cumulative", 5.0), ("step-outward", 10.0), ("step-ascending", 10.0)):
        asked = read_with(base_with_rules(), open_table, DxfIn(deltas=reading))  # type: ignore[arg-type]
        assert asked.pattern.grade_rules is not None
        assert asked.pattern.grade_rules.offsets[1][4].tolist() == [far, 0.0]


@pytest.mark.parametrize("reading", READINGS)
def test_a_nest_beside_decides_for_certain(reading: Reading) -> None:
    """Three sizes alone prove nothing; the sizes that are drawn do."""
    items = style()
    corner = 1  # the lower right corner moves by the growth in x
    tags = tags_of(PLAIN, items)
    out: list[Tag] = []
    for tag in tags:
        if tag == (0, "ENDBLK") and len([t for t in out if t == (0, "ENDBLK")]) == 1:
            x, y = items[1].outline[items[1].turns[corner]]
            out += [(0, "TEXT"), (8, "1"), (10, x), (20, y), (40, 5.0), (1, "# 7")]
        out.append(tag)
    truth = np.array([[GROWTH[s], 0.0] for s in ("S", "M", "L")])
    raw = deltas_of(truth, 1, reading)
    table = (
        "UNITS: METRIC\nNUMBER OF SIZES: 3\nSIZE LIST: S M L\nSAMPLE SIZE: M\nRULE: DELTA 7\n"
        + " ".join(f"{a:g},{b:g}" for a, b in raw)
        + "\nEND\n"
    )
    result = read_with(encode(out), table)
    assert result.pattern.grade_rules is not None
    assert np.allclose(result.pattern.grade_rules.offsets[7], truth)


def test_inches_and_a_damaged_table() -> None:
    inches = TABLE.replace("METRIC", "ENGLISH")
    rules = read_with(base_with_rules(), inches).pattern.grade_rules
    assert rules is not None and rules.offsets[1][0].tolist() == [-254.0, 25.4]
    broken = read_with(base_with_rules(), TABLE.replace("-10.0,1.0", "-10.0,x"))
    (finding,) = [f for f in broken.findings if f.code == "rules.damaged"]
    assert finding.line == 11 and finding.file == "x.rul"
    assert broken.pattern.pieces


def test_a_table_that_is_named_and_missing_is_noted() -> None:
    dialect = replace(
        PLAIN,
        extra=lambda: [(0, "TEXT"), (8, "1"), (10, 0.0), (20, 0.0), (40, 5.0),
                       (1, "Grade Rule Table: CHORUS")],
    )  # fmt: skip
    result = read(Source(name="x.dxf", data=write(dialect)), DxfIn(), Context())
    assert "rules.missing" in [f.code for f in result.findings]
