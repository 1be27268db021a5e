"""Damaged files: nothing is recovered into nothing, and every complaint has its place."""

from __future__ import annotations

import pytest
from dxf_zoo import DIALECTS, PLAIN, Tag, encode, tags_of, write
from hypothesis import given, settings
from hypothesis import strategies as st

from seamwright.plugins.api import Context, Limits, ReadResult, SeamwrightError, Source
from seamwright_dxf.options import DxfIn
from seamwright_dxf.read import read


def read_bytes(data: bytes, options: DxfIn | None = None) -> ReadResult:
    return read(Source(name="x.dxf", data=data), options or DxfIn(), Context())


def refused(data: bytes, options: DxfIn | None = None) -> SeamwrightError:
    with pytest.raises(SeamwrightError) as caught:
        read_bytes(data, options)
    return caught.value


def codes(result: ReadResult) -> list[str]:
    return [f.code for f in result.findings]


def assert_counts_add_up(result: ReadResult) -> None:
    for name, counts in result.facts["entities"].items():
        assert sum(v for k, v in counts.items() if k != "read") == counts["read"], name


@pytest.mark.parametrize(
    "data",
    [
        b"",
        b"   \n\n",
        b"<!DOCTYPE html><html><body>404</body></html>",
        b"AC1015\x00\x00\x00\x00\x00",
        b"PK\x03\x04 a zip file",
        b"0\nNOTHING\n0\nEOF\n",
        b"\x00\x01\x02\x03\x04",
    ],
)
def test_what_is_no_dxf_is_refused_as_such(data: bytes) -> None:
    assert refused(data).finding.code == "dxf.not-dxf"


def test_a_file_without_its_eof_line_is_read_with_a_warning() -> None:
    tags = tags_of(PLAIN)
    assert tags[-1] == (0, "EOF")
    for data in (encode(tags[:-1]), encode(tags[:-1]) + b"  0\n", encode(tags[:-1]) + b"  0\nEO"):
        result = read_bytes(data)
        assert "dxf.no-eof" in codes(result)
        assert len(result.pattern.pieces) == 2


@pytest.mark.parametrize("share", [0.02, 0.1, 0.3, 0.5, 0.7, 0.9, 0.97, 0.995])
def test_a_file_that_is_cut_off_is_refused_with_the_place(share: float) -> None:
    whole = write(PLAIN)
    cut = whole[: int(len(whole) * share)]
    error = refused(cut)
    assert error.finding.code == "dxf.truncated"
    assert error.finding.line == len(cut.splitlines())
    assert "entities stand before the cut" in error.finding.message


def test_a_cut_file_is_read_to_the_cut_when_asked() -> None:
    whole = write(PLAIN)
    cut = whole[: int(len(whole) * 0.5)]
    result = read_bytes(cut, DxfIn(damaged="read to the cut"))
    assert "dxf.truncated" in codes(result)
    assert_counts_add_up(result)
    # The first piece stood wholly before the cut, in all sizes.
    whole_front = read_bytes(whole).pattern.piece("FRONT")
    front = result.pattern.piece("FRONT")
    assert front.sizes == ("S", "M", "L")
    for a, b in zip(front.shapes, whole_front.shapes, strict=True):
        assert a.seam_line.length == b.seam_line.length


def test_a_polyline_in_which_the_file_breaks_off_is_no_outline() -> None:
    data = write(PLAIN)
    at = data.index(b"SEQEND", len(data) // 2)
    cut = data[: data.rindex(b"VERTEX", 0, at) - 4]
    result = read_bytes(cut, DxfIn(damaged="read to the cut"))
    for piece in result.pattern.pieces:
        for shape in piece.shapes:
            assert shape.seam_line.n == 28 or shape.seam_line.n == len(shape.seam_line.joints)
    assert_counts_add_up(result)


def test_trash_after_the_end_is_noted() -> None:
    result = read_bytes(write(PLAIN) + b"trash\nmore trash\n")
    assert len(result.pattern.pieces) == 2


def test_empty_lines_among_the_tags_are_skipped() -> None:
    data = b"\n\n" + write(PLAIN).replace(b"  0\nTEXT\n", b"  0\nTEXT\n\n", 1)
    result = read_bytes(data)
    assert "dxf.empty-line" in codes(result)
    plain = read_bytes(write(PLAIN))
    assert result.pattern.pieces[0].shapes[0].texts == plain.pattern.pieces[0].shapes[0].texts


def test_a_bom_and_utf16_are_no_obstacle() -> None:
    text = write(PLAIN).decode()
    for data in (b"\xef\xbb\xbf" + text.encode(), text.encode("utf-16")):
        assert len(read_bytes(data).pattern.pieces) == 2


def test_a_polyline_without_seqend_is_read_with_a_warning() -> None:
    tags = tags_of(PLAIN)
    i = tags.index((0, "SEQEND"))
    result = read_bytes(encode(tags[:i] + tags[i + 2 :]))
    assert "dxf.no-seqend" in codes(result)
    plain = read_bytes(write(PLAIN))
    assert (
        result.pattern.pieces[0].shapes[0].seam_line.n
        == plain.pattern.pieces[0].shapes[0].seam_line.n
    )


def test_a_vertex_without_a_polyline_is_an_error_and_counted() -> None:
    extra: list[Tag] = [(0, "VERTEX"), (8, "1"), (10, "1.0"), (20, "1.0")]
    tags = tags_of(PLAIN)
    at = tags.index((2, "ENTITIES")) + 1
    result = read_bytes(encode(tags[:at] + extra + tags[at:]))
    assert "dxf.lone-vertex" in codes(result)
    assert_counts_add_up(result)


@pytest.mark.parametrize(
    "bad", ["1.0E 20", "nan", "inf", "-inf", "1e300", "12..5", "abc", "1_000", "", "--3", "0x10"]
)
def test_an_invalid_number_is_an_error_with_its_line_and_the_geometry_withheld(bad: str) -> None:
    tags = tags_of(PLAIN)
    at = next(i for i, t in enumerate(tags) if t == (0, "LINE"))
    place = next(i for i in range(at, len(tags)) if tags[i][0] == 11)
    tags[place] = (11, bad)
    result = read_bytes(encode(tags))
    (finding,) = [f for f in result.findings if f.code == "dxf.number"]
    assert finding.line == 2 * place + 2
    assert finding.severity.value == "error"
    assert result.pattern.pieces[0].shapes[0].grain_line is None
    assert result.pattern.pieces[1].shapes[0].grain_line is not None
    assert_counts_add_up(result)


def test_a_polyline_with_a_bad_vertex_is_left_out_whole() -> None:
    tags = tags_of(PLAIN)
    at = next(i for i, t in enumerate(tags) if t == (0, "VERTEX"))
    place = next(i for i in range(at, len(tags)) if tags[i][0] == 20)
    tags[place] = (20, "1,5")
    error = refused(encode(tags))
    assert error.finding.code == "dxf.decimal-mixed"
    tags[place] = (20, "oops")
    result = read_bytes(encode(tags))
    assert "dxf.number" in codes(result)
    assert result.facts["entities"]["POLYLINE"]["left out"] == 1
    assert_counts_add_up(result)


def test_a_line_without_an_end_does_not_end_at_the_origin() -> None:
    tags = tags_of(PLAIN)
    at = next(i for i, t in enumerate(tags) if t == (0, "LINE"))
    place = next(i for i in range(at, len(tags)) if tags[i][0] == 11)
    del tags[place]
    result = read_bytes(encode(tags))
    assert "dxf.incomplete" in codes(result)
    assert result.pattern.pieces[0].shapes[0].grain_line is None


def test_decimal_commas_throughout_are_read_with_a_warning() -> None:
    tags: list[Tag] = [
        (c, str(v).replace(".", ",") if 10 <= c < 60 else v) for c, v in tags_of(PLAIN)
    ]
    result = read_bytes(encode(tags))
    assert "dxf.decimal-comma" in codes(result)
    plain = read_bytes(write(PLAIN)).pattern
    for a, b in zip(plain.pieces, result.pattern.pieces, strict=True):
        assert a.shapes[0].seam_line.length == b.shapes[0].seam_line.length
    asked = read_bytes(encode(tags), DxfIn(decimal="comma"))
    assert "dxf.decimal-comma" not in codes(asked)


def test_mixed_decimal_signs_are_refused_with_line_and_value() -> None:
    tags = tags_of(PLAIN)
    place = next(i for i, t in enumerate(tags) if t[0] == 10)
    tags[place] = (10, "10,5")
    error = refused(encode(tags))
    assert error.finding.code == "dxf.decimal-mixed"
    assert error.finding.line == 2 * place + 2
    assert '"10,5"' in error.finding.message
    tags[place] = (10, "1.234,5")
    assert refused(encode(tags)).finding.code == "dxf.decimal-mixed"


def test_a_block_without_its_end_is_mended_and_told() -> None:
    tags = tags_of(PLAIN)
    i = tags.index((0, "ENDBLK"))
    result = read_bytes(encode(tags[:i] + tags[i + 2 :]))
    assert "dxf.block-open" in codes(result)
    assert len(result.pattern.pieces) == 2


def test_a_section_without_its_end_is_told() -> None:
    tags = tags_of(PLAIN)
    i = len(tags) - 2
    assert tags[i] == (0, "ENDSEC")
    result = read_bytes(encode(tags[:i] + tags[i + 1 :]))
    assert "dxf.section-open" in codes(result)
    assert len(result.pattern.pieces) == 2


def test_a_stray_line_is_skipped_and_named() -> None:
    data = write(PLAIN)
    lines = data.split(b"\n")
    at = lines.index(b"LINE") + 1
    result = read_bytes(b"\n".join([*lines[:at], b"a torn text", *lines[at:]]))
    (finding,) = [f for f in result.findings if f.code == "dxf.stray-line"]
    assert finding.line == at + 1
    assert len(result.pattern.pieces) == 2


def test_too_many_entities_are_refused() -> None:
    source = Source(name="x.dxf", data=write(PLAIN))
    with pytest.raises(SeamwrightError) as caught:
        read(source, DxfIn(), Context(limits=Limits(elements=20)))
    assert caught.value.finding.code == "limit.elements"


@settings(max_examples=60, deadline=None)
@given(st.data())
def test_flipped_bytes_end_in_a_pattern_or_in_one_placed_error(data: st.DataObject) -> None:
    name = data.draw(st.sampled_from(["metric blocks", "everything in ENTITIES"]))
    raw = bytearray(write(DIALECTS[name]))
    for _ in range(data.draw(st.integers(1, 6))):
        at = data.draw(st.integers(0, len(raw) - 1))
        raw[at] = data.draw(st.integers(0, 255))
    try:
        result = read_bytes(bytes(raw))
    except SeamwrightError as error:
        assert error.finding.code.startswith(("dxf.", "limit."))
        assert error.finding.hint
    else:
        assert_counts_add_up(result)
