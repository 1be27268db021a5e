"""The unit of a drawing: what the file says, else what is plausible, and said either way."""

from __future__ import annotations

import pytest
from dxf_zoo import PLAIN, Tag, encode, write

from seamwright.plugins.api import Context, ReadResult, Severity, Source
from seamwright_dxf.options import DxfIn
from seamwright_dxf.read import read


def cad(size: float, *header: tuple[str, int, object], with_header: bool = True) -> bytes:
    """A plain drawing: one rectangle, `size` units wide and two thirds of it high."""
    tags: list[Tag] = []
    if with_header:
        tags += [(0, "SECTION"), (2, "HEADER")]
        for name, code, value in header:
            tags += [(9, name), (code, value)]
        tags.append((0, "ENDSEC"))
    tags += [(0, "SECTION"), (2, "ENTITIES")]
    corners = [(0.0, 0.0), (size, 0.0), (size, size * 2 / 3), (0.0, size * 2 / 3)]
    tags += [(0, "LWPOLYLINE"), (8, "cut"), (90, 4), (70, 1)]
    for x, y in corners:
        tags += [(10, x), (20, y)]
    tags += [(0, "ENDSEC"), (0, "EOF")]
    return encode(tags)


def read_bytes(data: bytes, options: DxfIn | None = None) -> ReadResult:
    return read(Source(name="x.dxf", data=data), options or DxfIn(), Context())


def width(result: ReadResult) -> float:
    x0, _, x1, _ = result.pattern.pieces[0].shapes[0].seam_line.bbox
    return float(x1 - x0)


def found(result: ReadResult, code: str) -> list[Severity]:
    return [f.severity for f in result.findings if f.code == code]


def test_insunits_inches() -> None:
    assert width(read_bytes(cad(10, ("$INSUNITS", 70, 1)))) == pytest.approx(254.0, abs=1e-9)


@pytest.mark.parametrize(
    "data", [cad(900, ("$INSUNITS", 70, 0)), cad(900), cad(900, with_header=False)]
)
def test_without_a_unit_millimetres_with_a_warning_never_metres(data: bytes) -> None:
    result = read_bytes(data)
    assert width(result) == 900.0
    (finding,) = [f for f in result.findings if f.code == "unit.unknown"]
    assert finding.severity is Severity.WARNING
    assert "90.0 cm" in finding.message and "900.0 cm" in finding.message
    assert "2286.0 cm" in finding.message


def test_the_option_overrides_everything() -> None:
    for data in (cad(10), cad(10, ("$INSUNITS", 70, 4)), write(PLAIN)):
        plain = read_bytes(data, DxfIn(unit="mm"))
        inch = read_bytes(data, DxfIn(unit="in"))
        assert width(inch) == pytest.approx(25.4 * width(plain), rel=1e-12)
        assert not found(inch, "unit.unknown")


def test_an_implausible_unit_is_followed_and_flagged() -> None:
    result = read_bytes(cad(900, ("$INSUNITS", 70, 1)))
    assert width(result) == pytest.approx(22860.0)
    assert found(result, "unit.implausible") == [Severity.WARNING]


def test_a_contradiction_in_the_header_is_a_note() -> None:
    result = read_bytes(cad(300, ("$INSUNITS", 70, 4), ("$MEASUREMENT", 70, 0)))
    assert width(result) == 300.0
    assert found(result, "unit.contradiction") == [Severity.NOTE]


def test_the_text_counts_more_than_the_header() -> None:
    from dataclasses import replace

    dialect = replace(PLAIN, header=(("$INSUNITS", 70, 1),))
    result = read_bytes(write(dialect))
    assert result.facts["unit"]["mm"] == 1.0
    assert found(result, "unit.contradiction") == [Severity.NOTE]


def test_where_the_unit_came_from_is_told() -> None:
    assert "METRIC" in read_bytes(write(PLAIN)).facts["unit"]["from"]
    assert "INSUNITS" in read_bytes(cad(10, ("$INSUNITS", 70, 1))).facts["unit"]["from"]
