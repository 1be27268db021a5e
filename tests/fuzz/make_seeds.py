"""Writes the seed files, small and from our own writers, the zoo of DXF dialects and by hand.

python tests/fuzz/make_seeds.py
"""

from __future__ import annotations

import gzip
import struct
import sys
import zlib
from dataclasses import replace
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

HERE = Path(__file__).parent
sys.path[:0] = [str(HERE), str(HERE.parent), str(HERE.parent / "plugins" / "dxf")]

from dxf_zoo import DIALECTS, encode, style, tags_of  # noqa: E402

import toys  # type: ignore[import-not-found]  # noqa: E402
from seamwright.model import Pattern  # noqa: E402
from seamwright.pipelines import shipped, text_of  # noqa: E402
from seamwright.plan import plan_of, plan_toml  # noqa: E402
from seamwright.plugins.writing import write  # noqa: E402

SVG_TREE = """<!DOCTYPE svg [<!ENTITY ns "http://ns.example.org/1.0/"><!ENTITY st "fill:none">]>
<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink"
 xmlns:inkscape="http://www.inkscape.org/namespaces/inkscape" width="200mm" height="10in"
 viewBox="0 0 200 254" preserveAspectRatio="xMidYMid meet">
<style>g > path.cut { stroke: #f00 } #n, .t { stroke: #00f } .gone { display: none }</style>
<defs><symbol id="s" viewBox="0 0 10 10"><circle cx="5" cy="5" r="4"/></symbol>
<marker id="m"><path d="M0,0h1v1z"/></marker>
<clipPath id="c"><rect width="5" height="5"/></clipPath>
</defs>
<g inkscape:groupmode="layer" inkscape:label="M" style="&st;" transform="translate(3 4) rotate(5)">
<path id="front" class="cut" d="M10,10 h90 v80 a20,20 0 0 1 -30,10 C60,95 40,95 10,90 z
 M30,30 q5 5 10 0 t10 0 s2 3 4 4 z"/>
<line id="n" x1="10" y1="50" x2="15" y2="50"/><polyline points="20,20 25,30 40,22"/>
<ellipse cx="60" cy="60" rx="8" ry="3" transform="skewX(20)"/>
<text x="20" y="40" font-size="6">Front <tspan dy="1em">cut 2</tspan></text></g>
<svg x="10" y="10" width="50" height="50" viewBox="0 0 10 10"><rect width="10"
 height="10" rx="2"/></svg>
<use xlink:href="#s" x="120" y="20" width="30" height="30"/><use href="#front" x="90" y="120"/>
<polygon points="120,120 180,120 150,190"/><g class="gone"><path d="M0 0h1"/></g>
<switch><foreignObject/><path d="M5 200h40v30h-40z" marker-end="url(#m)"
 clip-path="url(#c)"/></switch>
</svg>
"""

DXF_MANY = [
    (0, "SECTION"), (2, "HEADER"), (9, "$ACADVER"), (1, "AC1015"), (9, "$INSUNITS"), (70, 4),
    (9, "$MEASUREMENT"), (70, 1), (0, "ENDSEC"),
    (0, "SECTION"), (2, "BLOCKS"),
    (0, "BLOCK"), (8, "0"), (2, "INNER"), (70, 0), (10, 3), (20, 4),
    (0, "POLYLINE"), (8, "0"), (66, 1), (70, 1), (0, "VERTEX"), (8, "0"), (10, 0), (20, 0),
    (42, 1), (0, "VERTEX"), (8, "0"), (10, 40), (20, 0), (42, -0.5), (0, "VERTEX"), (8, "0"),
    (10, 20), (20, 50), (0, "SEQEND"), (0, "ENDBLK"), (8, "0"),
    (0, "BLOCK"), (8, "0"), (2, "OUTER"), (70, 0), (10, 0), (20, 0), (0, "INSERT"), (8, "L"),
    (2, "INNER"), (10, 5), (20, 5), (41, -1), (42, 1), (50, 30), (0, "ENDBLK"), (8, "0"),
    (0, "ENDSEC"), (0, "SECTION"), (2, "ENTITIES"),
    (0, "INSERT"), (8, "cut"), (2, "OUTER"), (10, 100), (20, 0), (41, 2), (42, 1), (50, 30),
    (70, 2), (71, 2), (44, 150), (45, 160),
    (0, "LINE"), (8, "a"), (10, 0), (20, 0), (11, 50), (21, 0), (0, "LINE"), (8, "a"), (10, 50),
    (20, 0), (11, 50), (21, 50), (0, "ARC"), (8, "a"), (10, 25), (20, 50), (40, 25), (50, 0),
    (51, 180), (0, "LINE"), (8, "a"), (10, 0), (20, 50), (11, 0), (21, 0),
    (0, "CIRCLE"), (8, "h"), (10, 20), (20, 20), (40, 3), (210, 0), (220, 0), (230, -1),
    (0, "ELLIPSE"), (8, "e"), (10, -50), (20, -50), (11, 30), (21, 5), (40, 0.4), (41, 0),
    (42, 6.283185307),
    (0, "SPLINE"), (8, "s"), (70, 8), (71, 3), (72, 8), (73, 4), (40, 0), (40, 0), (40, 0),
    (40, 0), (40, 1), (40, 1), (40, 1), (40, 1), (10, 0), (20, -80), (10, 10), (20, -60),
    (10, 30), (20, -60), (10, 40), (20, -80),
    (0, "SPLINE"), (8, "s"), (70, 8), (71, 3), (74, 3), (11, 0), (21, -90), (11, 20), (21, -99),
    (11, 40), (21, -90),
    (0, "LWPOLYLINE"), (8, "w"), (90, 3), (70, 1), (10, -9), (20, 9), (42, 0.3), (10, -90),
    (20, 9), (10, -50), (20, 70),
    (0, "TEXT"), (8, "t"), (10, 5), (20, 5), (40, 4), (1, "Piece Name: A %%d \\U+00DF"), (50, 30),
    (0, "MTEXT"), (8, "t"), (10, 5), (20, 9), (40, 4), (1, "{\\fArial;cut\\P2}"), (11, 1), (21, 1),
    (0, "HATCH"), (8, "x"), (10, 0), (20, 0), (0, "POINT"), (8, "2"), (10, 1), (20, 1),
    (0, "DIMENSION"), (8, "x"), (2, "*D1"), (0, "SOLID"), (8, "x"), (10, 0), (20, 0),
    (0, "ENDSEC"), (0, "EOF"),
]  # fmt: skip

HPGL = {
    "plain": b"IN;SP1;PU0,0;PD4000,0,4000,3000,0,3000,0,0;PU800,800;CI300;SP2;PU1000,1000;"
    b"PD1000,2000;LBFront\x03;PU;",
    "rare": b"\x1b%0BINSP1PU0 0PD400,0,400,400;PR;PD-400,0;PD0,-400;PA;SC0,10,0,10;IP0,0,4000,4000;"
    b"PU1,1;PD9,1,9,9,1,9,1,1;AA5,5,90;AR1,1,-45,3;DT*;LBab*;RO90;PM0;PD5,5;PM2;EP;EA3,3;ER1,1;"
    b"EW2,0,90;AT1,1,2,2,3,1;LT2,4;PE<=A?`b;UC1,2;DI0,1;SI.2,.3;CP;PG;",
}

MANIFESTS = {
    "toml": {
        "a.toml": 'plan = "x.plan.toml"\npipeline = "true-all-seams"\n[[style]]\nfile = "a.dxf"\n'
        'name = "Spring"\n[[style]]\nfile = "b.dxf"\nplan = "p.toml"\n',
        "glob.toml": '[[style]]\nfile = "*.dxf"\n',
    },
    "csv": {
        "a.csv": "file,plan,name\na.dxf,,Spring\nb.dxf,p.toml,Winter\n",
        "b.csv": 'file;name;pipeline\n"a.dxf";"A ""b""";walk\n',
    },
}

HOUSE = """seamwright-house = 1
units = "in"
cloth = "firm woven"
[tolerance]
seam = "1/16 in"
notch-warning = "1/32 in"
[names]
piece = "[A-Z][a-z]+"
[sizes]
required = ["S", "M"]
base = "M"
[[ease]]
seam = "cap*"
cap = "back"
at-least = "1/4 in"
at-most = "5/8 in"
[[notches]]
piece = "Sleeve"
at-least = 2
"""

PLAN = """seamwright = 1
units = "in"
[pieces.Front]
corners = ["a", "b", "", "d"]
notches = ["hip"]
[pieces."Back"]
corners = ["a", "b", "c", "d"]
[[seam]]
name = "side"
sew = ["Front: a > b"]
to = "Back: a > b"
ease = { at-least = "-1/8 in", at-most = 0.25 }
meet = ["hip = \\"Back\\": c"]
[[seam]]
sew = "Front: c > d"
to = 'Back: c > d'
ease = "1/2 in"
"""


def put(folder: str, name: str, data: bytes | str) -> None:
    path = HERE / "seeds" / folder / name
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_bytes(data if isinstance(data, bytes) else data.encode())


def written(pattern: Pattern, suffix: str, **options: Any) -> dict[str, bytes]:
    """What our writer makes of a pattern: suffix -> bytes."""
    with TemporaryDirectory() as folder:
        path = Path(folder) / f"x{suffix}"
        write(pattern, path, options=options, read_back=False)
        return {p.suffix: p.read_bytes() for p in Path(folder).iterdir()}


def pdf() -> bytes:
    """A page with layers, a form, a packed stream and a text, put together by hand."""
    content = zlib.compress(
        b"q 1 0 0 1 20 20 cm /OC /L0 BDC 0 0 m 200 0 l 200 150 l 0 150 l h S EMC Q\n"
        b"10 10 m 20 40 60 40 70 10 c s [3 2] 0 d 5 5 30 20 re S /F Do\n"
        b"BT /T 12 Tf 1 0 0 1 30 90 Tm (Front) Tj ET"
    )
    form = b"q 0 0 m 50 50 l S 10 10 20 20 re W n Q"
    parts = [
        b"<</Type/Catalog/Pages 2 0 R/OCProperties<</OCGs[6 0 R]/D<</Order[6 0 R]>>>>>>",
        b"<</Type/Pages/Kids[3 0 R]/Count 1>>",
        b"<</Type/Page/Parent 2 0 R/MediaBox[0 0 595.276 841.89]/CropBox[5 5 590 800]/Rotate 90"
        b"/UserUnit 1/Contents 4 0 R/Resources<</XObject<</F 5 0 R>>/Properties<</L0 6 0 R>>"
        b"/Font<</T 7 0 R>>>>>>",
        b"<</Length %d/Filter/FlateDecode>>stream\n%s\nendstream" % (len(content), content),
        b"<</Type/XObject/Subtype/Form/BBox[0 0 99 99]/Matrix[1 0 0 1 90 90]/OC 6 0 R/Length %d>>"
        b"stream\n%s\nendstream" % (len(form), form),
        b"<</Type/OCG/Name(cut)>>",
        b"<</Type/Font/Subtype/Type1/BaseFont/Helvetica>>",
    ]
    out = b"%PDF-1.6\n"
    places = []
    for number, part in enumerate(parts, 1):
        places.append(len(out))
        out += b"%d 0 obj%s endobj\n" % (number, part)
    table = b"".join(b"%010d 00000 n \n" % place for place in places)
    return out + (
        b"xref\n0 8\n0000000000 65535 f \n%strailer<</Size 8/Root 1 0 R>>\nstartxref\n%d\n%%%%EOF\n"
        % (table, len(out))
    )


def main() -> None:
    small, graded = toys.pattern(["M"]), toys.pattern(["S", "L"])
    for name, pattern in (("small", small), ("graded", graded)):
        put("svg", f"{name}.svg", written(pattern, ".svg")[".svg"])
        put("json", f"{name}.json", written(pattern, ".json")[".json"])
    put("json", "compact.json", written(small, ".json", layout="compact")[".json"])
    put("svg", "tree.svg", SVG_TREE)
    put("svg", "zipped.svg", gzip.compress(SVG_TREE.encode(), mtime=0))
    put("svg", "utf16.svg", SVG_TREE.encode("utf-16"))
    front = style(["M"])[:1]
    wanted = (
        "metric blocks", "R2000 with layouts and tables", "lines shuffled", "splines of degree 1",
        "notches as lines", "everything in ENTITIES", "no unit, cm",
    )  # fmt: skip
    for name in wanted:
        dialect = replace(DIALECTS[name], decimals=min(3, DIALECTS[name].decimals))
        put(
            "dxf", name.replace(" ", "-").replace(",", "") + ".dxf", encode(tags_of(dialect, front))
        )
    put("dxf", "many.dxf", encode(DXF_MANY))
    for kind in ("standard", "cad-r12", "cad-r2010"):
        put("dxf", f"ours-{kind}.dxf", written(small, ".dxf", kind=kind)[".dxf"])
    put("dxf", "binary.dxf", binary(DXF_MANY))
    _graded()
    for name, data in HPGL.items():
        put("hpgl", f"{name}.plt", data)
    put("hpgl", "ours.plt", written(small, ".plt")[".plt"])
    put("pdf", "hand.pdf", pdf())
    put("pdf", "ours.pdf", written(small, ".pdf")[".pdf"])
    put("plan", "hand.toml", PLAN)
    put("plan", "ours.toml", plan_toml(plan_of(graded)))
    for name in sorted(shipped())[:6]:
        put("pipeline", f"{name}.toml", text_of(name))
    put("pipeline", "outputs.toml", PIPELINE)
    put("house", "hand.toml", HOUSE)
    for kind, files in MANIFESTS.items():
        for name, text in files.items():
            put(f"manifest-{kind}", name, text)


PIPELINE = """seamwright = 1
units = "in"
note = "for the chorus"
[[step]]
use = "walk"
tolerance = "1/8 in"
sizes = ["S"]
except = { pieces = ["Cuff"] }
[[step]]
use = "write"
to = "{stem}-{size}.dxf"
kind = "cad-r12"
accept-loss = { text = "they read the label" }
[[step]]
use = "report"
to = "out/{stem}.html"
"""


def _graded() -> None:
    """A base size with rule numbers at its corners, and a rule table to go with it."""
    item = style(["M"])[0]
    tags = tags_of(replace(DIALECTS["metric blocks"], decimals=2), [item])
    at = tags.index((0, "ENDBLK"))
    marks: list[tuple[int, object]] = []
    for number, turn in enumerate(item.turns, start=1):
        x, y = item.outline[turn]
        marks += [(0, "TEXT"), (8, "2"), (10, f"{x:.2f}"), (20, f"{y:.2f}"), (40, 3)]
        marks += [(1, f"# {number}")]
    put("beside", "graded.dxf", encode([*tags[:at], *marks, *tags[at:]]))
    rows = "".join(
        f"RULE: DELTA {n}\n-{n}.0,1.0 0.0,0.0 {n}.0,-1.0 {2 * n}.0,-2.0\n" for n in range(1, 8)
    )
    put(
        "rules",
        "metric.rul",
        "ASTM/D13Proposal 1 Version: D6673-10\nAUTHOR: wardrobe\nCREATION DATE: 12-03-2024\n"
        "CREATION TIME: 10:15\nUNITS: METRIC\nGRADE RULE TABLE: CHORUS\nNUMBER OF SIZES: 4\n"
        f"SIZE LIST: S M L XL\nSAMPLE SIZE: M\n{rows}END\n",
    )


def binary(tags: list[tuple[int, object]]) -> bytes:
    """The tags as a binary DXF (codes of two bytes)."""
    out = b"AutoCAD Binary DXF\r\n\x1a\0"
    for code, value in tags:
        out += code.to_bytes(2, "little")
        if 10 <= code < 60 or 210 <= code < 240:
            out += struct.pack("<d", float(str(value)))
        elif 60 <= code < 90:
            out += int(str(value)).to_bytes(2, "little", signed=True)
        elif 90 <= code < 100:
            out += int(str(value)).to_bytes(4, "little", signed=True)
        else:
            out += str(value).encode() + b"\0"
    return out


if __name__ == "__main__":
    main()
