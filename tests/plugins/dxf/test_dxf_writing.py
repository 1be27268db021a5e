"""Writing: legal files, nothing lost in silence, the same bytes for the same pattern."""

from __future__ import annotations

import hashlib
import io
import os
import subprocess
import sys
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import r12_rules
from dxf_zoo import DIALECTS, PLAIN, Dialect, encode, style, tags_of, write
from ezdxf import recover
from ezdxf.filemanagement import read as read_strictly
from hypothesis import HealthCheck, given, settings

from seamwright.geometry import Curve, Station
from seamwright.model import (
    GradeRules,
    InternalKind,
    InternalLine,
    Notch,
    NotchType,
    Pattern,
    Piece,
    Text,
    build_shape,
)
from seamwright.plugins import registry as registries
from seamwright.plugins import writing
from seamwright.plugins.api import Context, Severity, Source
from seamwright.testing.strategies import patterns
from seamwright_dxf.options import DxfIn, DxfOut
from seamwright_dxf.raw.tags import read_tags
from seamwright_dxf.read import read
from seamwright_dxf.write import write as write_dxf

KINDS: list[dict[str, Any]] = [
    {},
    {"unit": "in"},
    {"letters": "transliterate"},
    {"kind": "cad-r12"},
    {"kind": "cad-r12", "curves": "arcs"},
    {"kind": "cad-r2010"},
    {"kind": "cad-r2010", "curves": "arcs"},
    {"kind": "cad-r2010", "curves": "splines"},
]


def read_bytes(data: bytes, **beside: bytes) -> Pattern:
    named = {"." + k: v for k, v in beside.items()}
    return read(Source(name="x.dxf", data=data, beside=named), DxfIn(), Context()).pattern


def written(pattern: Pattern, **options: Any) -> bytes:
    return write_dxf(pattern, DxfOut(**options), Context()).parts[0].data


def curved() -> Pattern:
    """A sleeve-like piece with cubics, and names from everywhere."""
    outline = Curve.from_segments(
        [
            [(0, 0), (40, 60), (90, 120), (170, 125)],
            [(170, 125), (250, 130), (300, 60), (340, 0)],
            [(340, 0), (333, -130), (320, -260), (310, -400)],
            [(310, -400), (210, -400), (130, -400), (30, -400)],
            [(30, -400), (20, -260), (7, -130), (0, 0)],
        ],
        [1, 1, 0, 0, 0],
        closed=True,
    )
    shape = build_shape(
        size="Größe 38",
        outline=outline,
        notches=[
            Notch(
                name="", station=Station(0, 0.5), type=NotchType.V, depth=4.0, width=3.0, angle=5.0
            )
        ],
        internal_lines=(
            InternalLine(
                kind=InternalKind.INTERNAL,
                curve=Curve.from_segments([[(100, -50), (120, 0), (220, 0), (240, -50)]]),
            ),
        ),
        texts=(Text(text="Ärmel 線 ½^%%c", at=(150.0, -200.0), height=12.0, rotation=30.0),),
    )
    piece = Piece(name="Ärmel/線", shapes=(shape,), quantity=(1, 1), material="Köper")
    return Pattern(
        name="Chorblüse", pieces=(piece,), sizes=("Größe 38",), base_size="Größe 38",
        notes=(("Author", "Mme. Ö."), ("Production", "The chorus")),
    )  # fmt: skip


# -- round trips --------------------------------------------------------------------------------


@pytest.mark.parametrize("name", DIALECTS)
def test_dxf_to_dxf_keeps_vertices_points_and_texts(name: str) -> None:
    data = write(DIALECTS[name])
    first = read_bytes(data)
    again = written(first)
    second = read_bytes(again)
    for a, b in zip(first.pieces, second.pieces, strict=True):
        assert (a.name, a.quantity, a.material, a.category) == (
            b.name, b.quantity, b.material, b.category,
        )  # fmt: skip
        for s, t in zip(a.shapes, b.shapes, strict=True):
            assert np.abs(s.seam_line.segments - t.seam_line.segments).max() <= 1e-6
            assert [c.station for c in s.corners] == [c.station for c in t.corners]
            assert s.curve_points == t.curve_points
            assert [n.type for n in s.notches] == [n.type for n in t.notches]
            assert [x.text for x in s.texts] == [x.text for x in t.texts]
    if DIALECTS[name].scale == 1.0 and DIALECTS[name].where == "inserted":
        assert points_by_layer(again) == points_by_layer(data, of=DIALECTS[name])
        assert texts_of(data) <= texts_of(again)


def points_by_layer(data: bytes, of: Dialect | None = None) -> dict[str, set[tuple[float, float]]]:
    tags = read_tags(data)
    out: dict[str, set[tuple[float, float]]] = {}
    values = [v.decode("utf-8", "replace").strip() for v in tags.values]
    for i in np.flatnonzero(tags.codes == 0).tolist():
        if values[i] != "POINT":
            continue
        got: dict[int, str] = {}
        for k in range(i + 1, tags.n):
            if tags.codes[k] == 0:
                break
            got.setdefault(int(tags.codes[k]), values[k])
        layer = got[8]
        if of is not None:
            layer = next((str(n) for n in range(100) if of.layer(n).strip() == layer), layer)
        out.setdefault(layer, set()).add((round(float(got[10]), 5), round(float(got[20]), 5)))
    if of is not None and not of.points:
        # The writer adds the turn points that the standard wants.
        out["2"] = points_by_layer(written(read_bytes(data)))["2"]
    if of is not None and of.points == (3,):
        out["2"] = points_by_layer(written(read_bytes(data)))["2"]
    if of is not None and of.notch == "line":
        for layer in ("4", "80", "81", "83"):
            out[layer] = points_by_layer(written(read_bytes(data)))[layer]
    return out


def texts_of(data: bytes) -> set[str]:
    tags = read_tags(data)
    found = set()
    for i in np.flatnonzero(tags.codes == 1).tolist():
        if tags.values[i - 1] != b"x":
            found.add(tags.values[i].decode("utf-8", "replace").strip())
    return {t for t in found if ":" in t or "GRAIN" in t}


@pytest.mark.parametrize("options", KINDS, ids=str)
def test_every_kind_comes_back_within_its_tolerance(options: dict[str, Any]) -> None:
    pattern = curved()
    result = write_dxf(pattern, DxfOut(**options), Context())
    back = read_bytes(result.parts[0].data)
    assert back.name == "Chorblüse"
    assert dict(back.notes) == dict(pattern.notes)
    piece, original = back.pieces[0], pattern.pieces[0]
    assert (piece.name, piece.quantity, piece.material) == ("Ärmel/線", (1, 1), "Köper")
    shape, wanted = piece.shapes[0], original.shapes[0]
    assert shape.size == "Größe 38"
    samples = wanted.seam_line.point_at(np.linspace(0, wanted.seam_line.length * 0.9999, 3000))
    limit = 2e-6 if options.get("curves") == "splines" else 0.05 + 2e-6
    assert shape.seam_line.nearest(samples).distances.max() <= limit
    (notch,) = shape.notches
    place = wanted.seam_line.point_of(wanted.notches[0].station)
    assert np.hypot(*(shape.seam_line.point_of(notch.station) - place)) <= limit
    assert notch.type is NotchType.V
    assert (notch.depth, notch.width) == pytest.approx((4.0, 3.0), abs=2e-5)
    assert notch.angle == pytest.approx(5.0, abs=1.5)
    (text,) = shape.texts
    assert (text.text, text.rotation) == ("Ärmel 線 ½^%%c", 30.0)
    assert len(shape.corners) == len(wanted.corners)


@settings(max_examples=12, deadline=None, suppress_health_check=list(HealthCheck))
@given(pattern=patterns())
def test_no_loss_goes_unannounced(pattern: Pattern, tmp_path_factory: Any) -> None:
    """The core writes, reads back and compares; a difference that nobody announced is an error."""
    folder = tmp_path_factory.mktemp("dxf")
    registry = registries.default()
    for number, options in enumerate(KINDS):
        target = folder / f"{number}.dxf"
        got = writing.write(pattern, target, options=options, registry=registry, overwrite=True)
        bad = [f.message for f in got.findings if f.severity is Severity.ERROR]
        assert not bad, (options, bad)


# -- legal files -------------------------------------------------------------------------------


@pytest.mark.parametrize("options", [k for k in KINDS if k.get("kind") != "cad-r2010"], ids=str)
def test_r12_files_break_no_rule_of_r12(options: dict[str, Any]) -> None:
    for pattern in (curved(), read_bytes(write(PLAIN))):
        data = written(pattern, **options)
        assert not r12_rules.faults(data, tables=options.get("kind") == "cad-r12")


@pytest.mark.parametrize("options", KINDS, ids=str)
def test_files_open_without_an_audit_error(options: dict[str, Any]) -> None:
    for pattern in (curved(), read_bytes(write(PLAIN))):
        data = written(pattern, **options)
        _, auditor = recover.read(io.BytesIO(data))
        assert not auditor.errors and not auditor.fixes
        strict = read_strictly(io.StringIO(data.decode("utf-8").replace("\r\n", "\n")))
        assert not strict.audit().errors


@pytest.mark.parametrize("options", KINDS, ids=str)
def test_the_unit_stands_in_the_raw_text(options: dict[str, Any]) -> None:
    data = written(curved(), **options)
    text = data.decode("utf-8").replace("\r\n", "\n")
    if options.get("kind") == "cad-r2010":
        assert "$INSUNITS\n 70\n4\n" in text and "$MEASUREMENT\n 70\n1\n" in text
    elif options.get("kind") == "cad-r12":
        assert "999\nunit: mm\n" in text and "SCALE_SQUARE_100_MM" in text
    else:
        wanted = "Units: ENGLISH" if options.get("unit") == "in" else "Units: METRIC"
        assert wanted in text


def test_the_scale_square_is_100_mm() -> None:
    text = written(curved(), kind="cad-r12").decode().replace("\r\n", "\n")
    document = read_strictly(io.StringIO(text))
    (square,) = document.modelspace().query('POLYLINE[layer=="SCALE_SQUARE_100_MM"]')
    corners = [v.dxf.location.vec2 for v in square.vertices]  # type: ignore[attr-defined]
    points = np.array(corners)
    assert np.ptp(points, axis=0).tolist() == [100.0, 100.0]
    without = written(curved(), kind="cad-r12", scale_square=False)
    assert b"SCALE_SQUARE" not in without


def test_the_standards_file_has_no_tables_and_no_layouts() -> None:
    data = written(curved())
    assert data.isascii()
    assert b"TABLES" not in data and b"MODEL_SPACE" not in data.upper()


@pytest.mark.parametrize("options", KINDS, ids=str)
def test_numbers_are_fixed_point_with_at_most_six_decimals(options: dict[str, Any]) -> None:
    tags = read_tags(written(curved(), **options))
    start = next(
        i for i in range(tags.n)
        if tags.codes[i] == 2 and tags.values[i].strip() in (b"ENTITIES", b"BLOCKS")
        and tags.values[i - 1].strip() == b"SECTION"
        and (options.get("kind") != "cad-r2010" or tags.values[i].strip() == b"ENTITIES")
    )  # fmt: skip
    for i in range(start, tags.n):
        if tags.codes[i] == 0 and tags.values[i].strip() == b"ENDSEC":
            break
        if 10 <= tags.codes[i] < 60:
            text = tags.values[i].decode().strip()
            assert r12_rules._NUMBER.match(text) and text != "-0", text


# -- names, letters ----------------------------------------------------------------------------


def test_names_are_made_legal_and_unique_and_said() -> None:
    shape = read_bytes(write(PLAIN, style(("M",)))).pieces[0].shapes[0]
    names = ["Front", "FRONT", "front!", "a.b c", "Größe 線", "x" * 60, "x" * 59 + "y", "./../etc"]
    pattern = Pattern(
        name="n",
        pieces=tuple(Piece(name=n, shapes=(shape,)) for n in names),
        sizes=("M",),
        base_size="M",
    )
    result = write_dxf(pattern, DxfOut(), Context())
    assert not r12_rules.faults(result.parts[0].data, tables=False)
    said = [f.message for f in result.findings if f.code == "name.changed"]
    for name in names:
        if name != "FRONT":
            assert any(f'"{name}"' in m for m in said), name
    back = read_bytes(result.parts[0].data)
    assert [p.name for p in back.pieces] == names


def test_transliteration_gives_plain_letters_to_others_and_the_words_to_us() -> None:
    result = write_dxf(curved(), DxfOut(letters="transliterate"), Context())
    data = result.parts[0].data
    assert b"Piece Name: Aermel/?" in data and not r12_rules.faults(data, tables=False)
    (finding,) = [
        f for f in result.findings if f.code == "text.letters" and f.message.startswith("the piece")
    ]
    assert finding.severity is Severity.WARNING and '"Aermel/?"' in finding.message
    back = read_bytes(data)
    assert back.name == "Chorblüse" and back.pieces[0].name == "Ärmel/線"
    assert [t.text for t in back.pieces[0].shapes[0].texts] == ["Ärmel 線 ½^%%c"]


# -- curves ------------------------------------------------------------------------------------


def test_chords_keep_corners_and_put_nothing_into_straight_stretches() -> None:
    pattern = curved()
    back = read_bytes(written(pattern)).pieces[0].shapes[0]
    wanted = pattern.pieces[0].shapes[0]
    for corner in wanted.corners:
        place = wanted.seam_line.point_of(corner.station)
        assert np.abs(back.seam_line.joints - place).sum(axis=1).min() <= 1e-6
    low = back.seam_line.joints[:, 1] < -1e-6
    assert low.sum() == 2  # only the two lower corners stand below the sleeve's width
    assert back.seam_line.segment_lengths.min() > 0.01


def test_splines_are_exact() -> None:
    back = read_bytes(written(curved(), kind="cad-r2010", curves="splines"))
    wanted = curved().pieces[0].shapes[0].seam_line
    got = back.pieces[0].shapes[0].seam_line
    assert got.n == wanted.n
    assert np.abs(got.segments - wanted.segments).max() <= 1e-6
    assert got.kinds.tolist() == wanted.kinds.tolist()


def test_layer_names_of_inner_lines_survive() -> None:
    line = Curve.polyline([(100.0, -300.0), (200.0, -300.0)])
    names = ["cut", "Größe 線", "a.b c"]
    shape = (
        curved()
        .pieces[0]
        .shapes[0]
        .but(
            internal_lines=tuple(
                InternalLine(
                    kind=InternalKind.INTERNAL, curve=line.translated(0, 5.0 * k), layer=name
                )
                for k, name in enumerate(names)
            )
        )
    )
    pattern = curved().with_pieces([curved().pieces[0].but(shapes=(shape,))])
    document = read_strictly(io.StringIO(written(pattern, kind="cad-r2010").decode()))
    assert {e.dxf.layer for e in document.modelspace().query("LINE")} == set(names)


# -- bytes, parts, refusals ----------------------------------------------------------------------

_CHILD = """
import sys, hashlib
sys.path[:0] = {path!r}
from test_dxf_writing import KINDS, curved, written
print(hashlib.sha256(b"".join(written(curved(), **k) for k in KINDS)).hexdigest())
"""


def test_the_same_pattern_gives_the_same_bytes_in_any_process() -> None:
    mine = hashlib.sha256(b"".join(written(curved(), **k) for k in KINDS)).hexdigest()
    code = _CHILD.format(path=[str(Path(__file__).parent)])
    for seed, zone in (("1", "UTC"), ("77", "Asia/Tokyo")):
        env = {**os.environ, "PYTHONHASHSEED": seed, "TZ": zone, "LC_ALL": "de_DE.UTF-8"}
        out = subprocess.run(
            [sys.executable, "-c", code], env=env, capture_output=True, text=True, check=True
        )
        assert out.stdout.strip() == mine


def test_rule_table_and_plan_are_parts_beside() -> None:
    pattern = read_bytes(write(PLAIN))
    rules = GradeRules(
        name="T", sizes=("S", "M", "L"), base_size="M",
        offsets={1: np.array([[-8.0, 1.0], [0.0, 0.0], [8.0, -1.0]])},
    )  # fmt: skip
    result = write_dxf(pattern.but(grade_rules=rules), DxfOut(), Context())
    assert [p.suffix for p in result.parts] == ["", ".rul"]
    back = read_bytes(result.parts[0].data, rul=result.parts[1].data)
    assert back.grade_rules is not None
    assert np.allclose(back.grade_rules.offsets[1], rules.offsets[1], atol=1e-9)
    without = write_dxf(pattern.but(grade_rules=rules), DxfOut(rule_table=False), Context())
    assert [p.suffix for p in without.parts] == [""]
    assert "rules.not-written" in [f.code for f in without.findings]


def test_a_coordinate_that_is_no_number_is_refused_before_anything_is_written() -> None:
    from seamwright.plugins.api import SeamwrightError
    from seamwright_dxf.writing.tagging import numbers

    for bad in (np.nan, np.inf):
        with pytest.raises(SeamwrightError) as caught:
            numbers(np.array([1.0, bad]), 6)
        assert caught.value.finding.code == "dxf.not-finite"


def test_number_texts() -> None:
    from seamwright_dxf.writing.tagging import numbers

    rng = np.random.default_rng(0)
    values = np.concatenate((rng.uniform(-1e6, 1e6, 10000), [1e-17, -0.0, -1e-9, 123456.7890123]))
    for text, value in zip(numbers(values, 6), values.tolist(), strict=True):
        assert r12_rules._NUMBER.match(text) and text != "-0"
        assert abs(float(text) - value) <= 0.501e-6


def test_nothing_to_write_is_refused() -> None:
    from seamwright.plugins.api import SeamwrightError

    with pytest.raises(SeamwrightError) as caught:
        written(Pattern(name="x", pieces=(), sizes=(), base_size=""))
    assert caught.value.finding.code == "dxf.nothing"


def test_a_file_written_from_another_unit_says_the_unit_it_is_in() -> None:
    inches = read_bytes(write(DIALECTS["inches, ENGLISH"]))
    data = written(inches)
    assert b"Units: METRIC" in data and b"ENGLISH" not in data
    other = read_bytes(data)
    a, b = inches.pieces[0].shapes[0], other.pieces[0].shapes[0]
    assert a.seam_line.length == pytest.approx(b.seam_line.length, abs=1e-4)
    assert encode(tags_of(PLAIN)) != data
