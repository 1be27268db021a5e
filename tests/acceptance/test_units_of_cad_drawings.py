"""The unit of a DXF file: what it says, what is assumed aloud, and what ours say."""

from __future__ import annotations

from typing import Any

import pytest

HEADER = "0\nSECTION\n2\nHEADER\n{}0\nENDSEC\n"
PIECE = '<g id="Front"><path d="M0,0h250v130c-40,10 -90,-20 -250,0z"/></g>'


def cad(size: float, header: str | None) -> str:
    """A rectangle `size` wide and two thirds of it high; without HEADER section for None."""
    corners = [(0.0, 0.0), (size, 0.0), (size, size * 2 / 3), (0.0, size * 2 / 3)]
    line = "0\nLWPOLYLINE\n8\ncut\n90\n4\n70\n1\n" + "".join(
        f"10\n{x}\n20\n{y}\n" for x, y in corners
    )
    head = "" if header is None else HEADER.format(header)
    return f"{head}0\nSECTION\n2\nENTITIES\n{line}0\nENDSEC\n0\nEOF\n"


def width(told: Any) -> float:
    x0, _, x1, _ = told.shapes[0]["bbox"]
    return float(x1 - x0)


def test_inches_in_the_header(seamwright: Any) -> None:
    seamwright.put("a.dxf", cad(10, "9\n$INSUNITS\n70\n1\n"))
    assert width(seamwright("info", "a.dxf", "--json")) == pytest.approx(254.0, abs=1e-9)


@pytest.mark.parametrize("header", ["9\n$INSUNITS\n70\n0\n", "", None])
def test_no_unit_is_said_with_the_size_in_three_units(seamwright: Any, header: str | None) -> None:
    """Unit 0, none, and no HEADER at all: millimetres aloud, never metres in silence."""
    seamwright.put("a.dxf", cad(900, header))
    told = seamwright("info", "a.dxf", "--json")
    assert width(told) == 900.0
    finding = told.one("unit.unknown")
    assert finding["severity"] == "warning" and "unit =" in finding["hint"]
    for said in ("90.0 cm", "900.0 cm", "2286.0 cm"):  # read as mm, as cm, as inches
        assert said in finding["message"]
    assert width(seamwright("info", "a.dxf", "--unit", "cm", "--json")) == 9000.0


def test_an_implausible_unit_is_followed_and_doubted(seamwright: Any) -> None:
    seamwright.put("a.dxf", cad(900, "9\n$INSUNITS\n70\n1\n"))
    told = seamwright("info", "a.dxf", "--json")
    assert width(told) == pytest.approx(22860.0)
    finding = told.one("unit.implausible")
    assert "2286 cm" in finding["message"] and finding["measured"] == pytest.approx(22860.0)


def test_a_drawing_of_many_pieces_is_not_called_a_piece(seamwright: Any) -> None:
    """Loose lines are no pieces yet when the unit is judged: what is measured is the drawing."""
    tags = []
    for k in range(24):
        a, b, c = (k * 300.0, 0.0), (k * 300.0 + 250.0, 0.0), (k * 300.0, 200.0)
        for p, q in ((a, b), (b, c), (c, a)):
            tags.append(f"0\nLINE\n8\ncut\n10\n{p[0]}\n20\n{p[1]}\n11\n{q[0]}\n21\n{q[1]}\n")
    text = HEADER.format("9\n$INSUNITS\n70\n4\n") + "0\nSECTION\n2\nENTITIES\n" + "".join(tags)
    seamwright.put("a.dxf", text + "0\nENDSEC\n0\nEOF\n")
    told = seamwright("info", "a.dxf", "--json")
    assert len(told.json["pieces"]) == 24
    assert "the drawing is 715 cm long" in told.one("unit.implausible")["message"]


def test_a_header_that_contradicts_itself_is_noted(seamwright: Any) -> None:
    seamwright.put("a.dxf", cad(300, "9\n$INSUNITS\n70\n4\n9\n$MEASUREMENT\n70\n0\n"))
    told = seamwright("info", "a.dxf", "--json")
    assert width(told) == 300.0
    assert told.one("unit.contradiction")["severity"] == "note"


def test_what_we_write_states_its_unit_in_the_raw_text(seamwright: Any) -> None:
    seamwright.put(
        "a.svg",
        '<svg xmlns="http://www.w3.org/2000/svg" width="300mm" height="200mm" '
        f'viewBox="0 0 300 200">{PIECE}</svg>',
    )
    raw = {}
    for kind in ("standard", "cad-r12", "cad-r2010"):
        assert seamwright("convert", "a.svg", f"{kind}.dxf", "--kind", kind).status == 0
        raw[kind] = (seamwright.folder / f"{kind}.dxf").read_bytes().replace(b"\r\n", b"\n")
        told = seamwright("info", f"{kind}.dxf", "--json")
        assert width(told) == pytest.approx(250.0, abs=1e-6)
        assert not told.found("unit.unknown")
    tags = [v.strip() for v in raw["cad-r2010"].split(b"\n")]
    assert tags[tags.index(b"$INSUNITS") + 2] == b"4"
    assert tags[tags.index(b"$MEASUREMENT") + 2] == b"1"
    assert b"999\nunit: mm\n" in raw["cad-r12"] and b"SCALE_SQUARE_100_MM" in raw["cad-r12"]
    assert b"Units: METRIC" in raw["standard"]
