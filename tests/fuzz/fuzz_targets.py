"""What is fuzzed: every reader of files, each as one function from bytes to what it found.

`folder` is a sandbox of the caller's; readers are reached through the core, as a user reaches
them. If asked, a share of what can be read goes on: measured, written in every format, read back.
"""

from __future__ import annotations

import zlib
from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any, Final

SEEDS: Final = Path(__file__).parent / "seeds"
#: Whether a share of what was read is measured, written and read back: a campaign's choice.
GOES_ON = False
CASES: Final = Path(__file__).parent / "cases"


@dataclass(frozen=True)
class Target:
    """One reader. words: of its format, strewn into files."""

    name: str
    suffix: str
    run: Callable[[bytes, Path], Any]
    words: tuple[bytes, ...] = ()

    def seeds(self) -> list[bytes]:
        """The seed files, in order of name."""
        return [p.read_bytes() for p in sorted((SEEDS / self.name).iterdir())]

    def cases(self) -> list[Path]:
        """Files that once broke this reader."""
        folder = CASES / self.name
        return sorted(folder.iterdir()) if folder.is_dir() else []


def _read(data: bytes, folder: Path, suffix: str, format_name: str) -> Any:
    from seamwright.plugins.reading import read

    path = folder / f"x{suffix}"
    path.write_bytes(data)
    loaded = read(path, format=format_name)
    found = [loaded.pattern, loaded.findings, dict(loaded.facts)]
    if GOES_ON and zlib.crc32(data) % 16 == 0:
        found += onward(loaded.pattern, folder)
    return found


def onward(pattern: Any, folder: Path) -> list[Any]:
    """The pattern measured as `info` does, walked, and written in every format that gives it
    back; what each had to say. A refusal is an answer."""
    from seamwright.cli.documents import info_document
    from seamwright.face import check
    from seamwright.findings import SeamwrightError
    from seamwright.plugins.writing import write

    found: list[Any] = [info_document(pattern, (), {})]
    found.append(check(pattern).findings)
    # Sheets and labels of a pattern kilometres wide take their time, whoever made it.
    small = all(float(s.seam_line.length) < 20_000 for p in pattern.pieces for s in p.shapes)
    for suffix in (".json", ".svg", ".dxf", *((".plt", ".pdf") if small else ())):
        try:
            found.append(write(pattern, folder / f"out{suffix}", overwrite=True).findings)
        except SeamwrightError as error:
            _again_if_fault(error)
    return found


def _again_if_fault(error: Any) -> None:
    from fuzz_judge import FAULTS

    if any(f.code in FAULTS for f in (error.finding, *error.others)):
        raise error


def _format(name: str, suffix: str) -> Callable[[bytes, Path], Any]:
    return lambda data, folder: _read(data, folder, suffix, name)


def _rules(data: bytes, folder: Path) -> Any:
    (folder / "x.rul").write_bytes(data)
    try:
        return _read((SEEDS / "beside" / "graded.dxf").read_bytes(), folder, ".dxf", "dxf")
    finally:
        (folder / "x.rul").unlink(missing_ok=True)


def _plan(data: bytes, folder: Path) -> Any:
    from seamwright.plan import apply_plan, load_plan

    plan = load_plan(data, "x.plan.toml")
    return [plan, apply_plan(drawn(), plan, file="x.plan.toml")]


@cache
def drawn() -> Any:
    """A pattern of two pieces in two sizes."""
    from seamwright.plugins.api import Context, Source
    from seamwright.plugins.registry import default

    reader = default().formats.find("json").thing.reader
    assert reader is not None
    data = (SEEDS / "json" / "graded.json").read_bytes()
    return reader.run(Source(name="x.json", data=data), reader.options(), Context()).pattern


def _pipeline(data: bytes, folder: Path) -> Any:
    from seamwright.pipeline import Pipeline

    path = folder / "x.toml"
    path.write_bytes(data)
    pipeline = Pipeline.load(path)
    pipeline.prepare()
    again = Pipeline.loads(pipeline.to_toml())
    assert again == pipeline, "what to_toml wrote says something else"
    return []


def _house(data: bytes, folder: Path) -> Any:
    from seamwright.house.load import load_house

    return load_house(data, "x.house.toml")


def _manifest(suffix: str) -> Callable[[bytes, Path], Any]:
    def run(data: bytes, folder: Path) -> Any:
        from seamwright.batch.manifest import read_manifest

        for name in ("a.dxf", "b.dxf"):
            (folder / name).write_bytes(b"")
        path = folder / f"styles{suffix}"
        path.write_bytes(data)
        return list(read_manifest(str(path)).findings)

    return run


def _words(text: str) -> tuple[bytes, ...]:
    return tuple(w.replace("·", " ").encode() for w in text.split())


_SVG: Final = _words(
    """<svg </svg> <g> </g> <g·id="S"> <path·d="M0,0h9v9z"/> <use·href="#a"/> <symbol·id="a">
    </symbol> <defs> </defs> <style> </style> <text> <tspan> transform="matrix(1·0·0·0·0·0)"
    transform="rotate(30)·scale(1e9)" viewBox="0·0·0·0" viewBox="0·0·1·1" width="1e300mm"
    preserveAspectRatio="none" display="none" visibility="hidden" clip-path="url(#a)" rx="5"
    <!DOCTYPE·svg> <!ENTITY·x·"y"> &x; <![CDATA[ ]]> <!-- --> inkscape:label="M"
    inkscape:groupmode="layer" data-role="notch" data-seam="" class="cut·line" style="font-size:0"
    id="a" href="#a" xlink:href="#b" d="M" A5·5·0·0110·10 Z M·1·1·1 C points="1,1·2" r="-5" % em px
    in mm"""
)
_DXF: Final = _words(
    """SECTION ENDSEC EOF HEADER TABLES BLOCKS ENTITIES OBJECTS BLOCK ENDBLK INSERT POLYLINE VERTEX
    SEQEND LWPOLYLINE LINE ARC CIRCLE ELLIPSE SPLINE TEXT MTEXT ATTRIB HATCH POINT $INSUNITS
    $MEASUREMENT $DWGCODEPAGE $ACADVER AC1009 AC1032 Piece·Name: Size: Quantity: Units: ENGLISH
    METRIC Sample·Size: Category: Material: Style·Name: #·1 ANSI_932 *Model_Space 0 1 2 8 10 20 30
    40 41 42 50 70 71 72 73 90 210 230 999"""
)
_HPGL: Final = _words(
    """IN; PU; PD; PA PR SP1; SP0; SC0,1,0,1; IP0,0,1000,1000; IP; RO90; LBabc\x03 DT*; CI100;
    CI100,0; AA0,0,90; AR0,0,90,0; AT0,0,5,5,9,9; EA9,9; ER9,9; EW9,0,90; WG9,0,90; PM0; PM1; PM2;
    EP; FP; PE<=aa; PE; PE7 LT2,5; LT; PG; BP; RF; UC1,2; DI0,0; DR1,1; SI0,0; SR; CP; PS;
    IW0,0,1,1; \x1b.( \x1b%0A \x1bE ; , -"""
)
_PDF: Final = _words(
    """obj endobj stream endstream xref trailer startxref %%EOF /Type /Pages /Page /Kids /Count
    /Contents /Resources /MediaBox /CropBox /Rotate /UserUnit /Filter /FlateDecode /DecodeParms
    /Predictor /Length /Font /XObject /Form /Matrix /BBox /OC /OCProperties /OCGs /OCMD /Properties
    /Parent /Root /Encrypt /ObjStm q Q cm m l c v y re h S s f B n W W* d w BT ET Tf Tj TJ Tm Td BDC
    BMC EMC Do gs null true [ ] << >> 1·0·R 4·0·R 9999·0·R (text) <FEFF> /OC·/L0·BDC"""
)
_JSON: Final = _words(
    """null true false {} [] "" "format" "version" "pieces" "shapes" "seam_line" "segments" "closed"
    "start" "corners" "station" "notches" "sizes" "base_size" "seams" "grade_rules" "texts"
    "a\\u0000b" "\\ud800" [0,0.5] [1e300,0] [0,0,0,0,0,0] "cut_line" "allowances"
    "darts" "apex" , :"""
)
_TOML: Final = _words(
    """seamwright·=·1 units·=·"in" [[seam]] [pieces.Front] [[step]] [[style]] use·=·"walk" sew·=·
    to·=· ease·=·{ at-least·=·"1·in" at-most·=·nan } meet·=·[] cap·=·"back" "Front:·1·>·2" '''
    \"\"\" = . , # 1979-05-27 1e999 inf nan 0x10 true [] {} "\\u0000" pieces·=·["Front"] except·=·
    to·=·"{stem}.svg" "../x" accept-loss file·=·"a.dxf" plan·=· pipeline·=· name·=·"x" note·=·"""
)

_RULES: Final = _words("RULE: DELTA SIZE·LIST: SAMPLE·SIZE: UNITS: END , ·")
_CSV: Final = _words('file plan pipeline name , ; " *')

TARGETS: Final = {
    target.name: target
    for target in (
        Target("svg", ".svg", _format("svg", ".svg"), _SVG),
        Target("dxf", ".dxf", _format("dxf", ".dxf"), _DXF),
        Target("rules", ".rul", _rules, _RULES),
        Target("json", ".json", _format("json", ".json"), _JSON),
        Target("hpgl", ".plt", _format("hpgl", ".plt"), _HPGL),
        Target("pdf", ".pdf", _format("pdf", ".pdf"), _PDF),
        Target("plan", ".toml", _plan, _TOML),
        Target("pipeline", ".toml", _pipeline, _TOML),
        Target("house", ".toml", _house, _TOML),
        Target("manifest-toml", ".toml", _manifest(".toml"), _TOML),
        Target("manifest-csv", ".csv", _manifest(".csv"), _CSV),
    )
}
