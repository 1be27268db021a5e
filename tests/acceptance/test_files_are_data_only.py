"""Hostile files: bombs are counted before they go off, nothing outside is opened, and names from
inside a file are words, never paths or markup."""

from __future__ import annotations

import json
import os
import re
import subprocess
import sys
import time
import unicodedata
from pathlib import Path, PureWindowsPath
from typing import Any
from xml.sax.saxutils import quoteattr

import pytest

PLACED = 'width="600mm" height="600mm" viewBox="0 0 600 600"'
SPACES = (
    'xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" '
    'xmlns:inkscape="http://www.inkscape.org/namespaces/inkscape"'
)
PIECE = '<path d="M0,0h300v200h-300z"/>'


def drawing(body: str, before: str = "") -> str:
    return f"{before}<svg {SPACES} {PLACED}>{body}</svg>"


def _unfolding() -> str:
    entities = '<!ENTITY a0 "lol">' + "".join(
        f'<!ENTITY a{i} "{f"&a{i - 1};" * 10}">' for i in range(1, 10)
    )
    return drawing("<text>&a9;</text>" + PIECE, f"<!DOCTYPE svg [{entities}]>")


def _uses() -> str:
    levels = "".join(
        f'<g id="u{i}">' + f'<use xlink:href="#u{i - 1}"/>' * 10 + "</g>" for i in range(1, 8)
    )
    return drawing(f'<defs><path id="u0" d="M0,0h9v9z"/>{levels}</defs><use xlink:href="#u7"/>')


BOMBS = {
    "entities that unfold": _unfolding(),
    "an entity outside": drawing(
        "<text>&x;</text>", '<!DOCTYPE svg [<!ENTITY x SYSTEM "file:///etc/passwd">]>'
    ),
    "a parameter entity": drawing("", '<!DOCTYPE svg [<!ENTITY % p "x"> %p;]>'),
    "a use of itself": drawing('<g id="a"><use xlink:href="#a"/></g>'),
    "a circle of uses": drawing(
        '<g id="a"><use xlink:href="#b"/></g><g id="b"><use xlink:href="#a"/></g>'
    ),
    "ten million uses": _uses(),
    "depth": drawing("<g>" * 5000 + "</g>" * 5000),
    "a use outside": drawing('<use xlink:href="http://example.org/x.svg#a"/>' + PIECE),
}


@pytest.mark.parametrize("what", BOMBS)
def test_a_drawing_that_would_blow_up_is_refused_at_once(seamwright: Any, what: str) -> None:
    seamwright.put("a.svg", BOMBS[what])
    seamwright("info", "--help")  # what is imported first is not counted
    began = time.process_time()
    told = seamwright("info", "a.svg", "--json")
    # The goal is 0.2 s; the bound leaves room for a busy machine.
    assert time.process_time() - began < 1.0
    assert told.status == 2 and not told.json.get("pieces")
    (finding,) = told.findings
    assert finding["code"] in ("svg.unsafe", "svg.limit") and finding["hint"]


HEADER = (
    '<!DOCTYPE svg PUBLIC "-//W3C//DTD SVG 1.1//EN" '
    '"http://www.w3.org/Graphics/SVG/1.1/DTD/svg11.dtd" ['
    + "".join(f'<!ENTITY ns_{n} "http://ns.adobe.com/{n}/1.0/">' for n in "abcdefg")
    + '<!ENTITY st0 "fill:none;stroke:#000000;">]>'
)


def test_the_entities_of_an_ordinary_editor_are_read(seamwright: Any) -> None:
    body = '<g xmlns:x="&ns_a;" id="Front"><path style="&st0;" d="M0,0h300v200h-300z"/></g>'
    seamwright.put("a.svg", drawing(body, HEADER))
    told = seamwright("info", "a.svg", "--json")
    assert [p["name"] for p in told.json["pieces"]] == ["Front"] and told.status == 0


def cad(blocks: str, entities: str) -> str:
    return (
        f"0\nSECTION\n2\nHEADER\n9\n$INSUNITS\n70\n4\n0\nENDSEC\n0\nSECTION\n2\nBLOCKS\n{blocks}"
        f"0\nENDSEC\n0\nSECTION\n2\nENTITIES\n{entities}0\nENDSEC\n0\nEOF\n"
    )


def block(name: str, content: str, flags: int = 0, more: str = "") -> str:
    return f"0\nBLOCK\n8\n0\n2\n{name}\n70\n{flags}\n10\n0\n20\n0\n{more}{content}0\nENDBLK\n8\n0\n"


def insert(name: str, more: str = "") -> str:
    return f"0\nINSERT\n8\n0\n2\n{name}\n10\n0\n20\n0\n{more}"


POINT = "0\nPOINT\n8\ncut\n10\n0.0\n20\n0.0\n"
TENFOLD = block("B0", POINT) + "".join(
    block(f"B{i}", insert(f"B{i - 1}") * 10) for i in range(1, 12)
)
SQUARE = "0\nLWPOLYLINE\n8\ncut\n90\n4\n70\n1\n" + "".join(
    f"10\n{x}\n20\n{y}\n" for x, y in ((0.0, 0.0), (300.0, 0.0), (300.0, 400.0), (0.0, 400.0))
)


@pytest.mark.parametrize(
    ("content", "code", "count"),
    [
        (cad(block("A", insert("B")) + block("B", insert("A")), insert("A")), "dxf.block-cycle", 0),
        (cad(TENFOLD, insert("B11")), "dxf.bomb", (10**12 - 1) // 9),
        (cad(block("P", POINT), insert("P", "70\n32767\n71\n32767\n")), "dxf.bomb", 32767**2),
    ],
    ids=["a circle of blocks", "blocks of blocks", "a huge array"],
)
def test_copies_are_counted_and_never_made(
    seamwright: Any, content: str, code: str, count: int
) -> None:
    seamwright.put("a.dxf", content)
    seamwright("info", "--help")
    began = time.process_time()
    told = seamwright("info", "a.dxf", "--json")
    assert time.process_time() - began < 2.0
    finding = told.one(code)
    assert told.status == 2 and finding["hint"]
    assert any(f'"{name}"' in finding["message"] for name in ("A", "B", "B11", "P", "B10"))
    if count:
        assert finding["measured"] == pytest.approx(count, rel=1e-12)


def test_an_honest_file_may_raise_the_limit(seamwright: Any) -> None:
    seamwright.put(
        "a.dxf", cad(block("P", SQUARE), insert("P", "70\n40\n71\n50\n44\n400\n45\n500\n"))
    )
    low = seamwright("info", "a.dxf", "--limit", "instances=100", "--json")
    assert low.status == 2 and low.found("dxf.bomb")
    told = seamwright("info", "a.dxf", "--limit", "instances=5000", "--json")
    assert len(told.json["pieces"]) == 2000


WATCH = """
import os, sys
from seamwright.cli.main import status_of
from seamwright.plugins import registry
registry.default()
seen = []
def watch(event, args):
    if event == "open" and isinstance(args[0], (str, bytes)):
        seen.append(os.path.realpath(os.fsdecode(args[0])))
    elif event.startswith(("socket.", "subprocess.", "urllib.", "os.system", "os.exec", "os.spawn",
                           "os.posix_spawn", "ftplib.", "http.")):
        seen.append(event)
sys.addaudithook(watch)
status = status_of(sys.argv[1:])
sys.stdout.flush()
sys.stderr.write("\\x00" + "\\n".join(seen))
sys.exit(status)
"""


def opened(folder: Path, *args: str) -> tuple[str, list[str]]:
    """stdout, and what a fresh process touched outside its libraries and its folder."""
    done = subprocess.run(
        [sys.executable, "-c", WATCH, *args], cwd=folder, capture_output=True, text=True,
        check=False, env={**os.environ, "PYTHONDONTWRITEBYTECODE": "1"},
    )  # fmt: skip
    said, _, seen = done.stderr.partition("\x00")
    assert done.returncode in (0, 1, 2) and seen, said
    own = [str(Path(p).resolve()) for p in (*sys.path, sys.prefix, sys.base_prefix) if p]
    own.append(str(folder.resolve()))
    return done.stdout, [
        s for s in seen.split("\n") if not any(s == p or s.startswith(p + os.sep) for p in own)
    ]


def test_nothing_that_a_drawing_names_is_opened(seamwright: Any) -> None:
    seamwright.put("secret.css", "path{visibility:hidden}")
    body = (
        '<style>@import url("http://example.org/x.css");</style>'
        '<image xlink:href="http://example.org/a.png" width="9" height="9"/>'
        f'<image href="file:///etc/passwd" width="9" height="9"/>{PIECE}'
    )
    seamwright.put("a.svg", drawing(body, '<?xml-stylesheet href="secret.css"?>'))
    out, touched = opened(seamwright.folder, "info", "a.svg", "--json")
    assert touched == []
    (finding,) = [f for f in json.loads(out)["findings"] if f["code"] == "svg.external"]
    assert "4 references" in finding["message"]


def test_nothing_that_a_cad_drawing_names_is_opened(seamwright: Any) -> None:
    blocks = block("SLEEVE", "", flags=4, more="3\nSLEEVE\n1\n//server/share/sleeve.dwg\n")
    image = "0\nIMAGE\n8\n0\n10\n0\n20\n0\n340\nAB\n1\n/etc/passwd\n"
    seamwright.put("a.dxf", cad(blocks, SQUARE + insert("SLEEVE") + image))
    out, touched = opened(seamwright.folder, "convert", "a.dxf", "b.json", "--json")
    assert touched == []
    findings = json.loads(out)["findings"]
    (external,) = [f for f in findings if f["code"] == "dxf.external"]
    assert external["severity"] == "error" and "//server/share/sleeve.dwg" in external["message"]
    assert [f for f in findings if f["code"] == "dxf.entity-kept" and "IMAGE" in f["message"]]
    assert not (seamwright.folder / "b.json").exists()  # half a drawing is not written


def test_names_from_inside_never_become_paths(seamwright: Any) -> None:
    names = [
        "../../x", "a/b", "CON", "a:b", "x.", unicodedata.normalize("NFC", "é"),
        unicodedata.normalize("NFD", "é"), "A", "a", "n" * 300, "\u202egnp", "C:\\x",
    ]  # fmt: skip
    body = "".join(
        f'<g inkscape:label={quoteattr(n)}><path d="M{10 + 110 * i},10h100v80h-100z"/></g>'
        for i, n in enumerate(names)
    )
    seamwright.put("a.svg", drawing(body))
    seamwright.put("p.toml", 'seamwright = 1\n[[step]]\nuse = "write"\nto = "{piece}.json"\n')
    told = seamwright("run", "p.toml", "a.svg", "--out", "out", "--json")
    files = sorted(p.name for p in (seamwright.folder / "out").rglob("*"))
    assert len(files) == len(names)
    assert sorted(p.name for p in seamwright.folder.iterdir()) == ["a.svg", "out", "p.toml"]
    blind = {unicodedata.normalize("NFC", n.casefold()) for n in files}
    assert len(blind) == len(files)
    for name in files:
        assert not set(name) & set('/\\:*?"<>|\u202e') and len(name.encode()) <= 255
        assert not PureWindowsPath(name).is_reserved() and not name[:-5].endswith((".", " "))
    manifest = {
        f["piece"]: f["file"]
        for step in told.json["runs"][0]["steps"] for f in step["figures"]["files"]
    }  # fmt: skip
    assert sorted(manifest.values()) == files
    assert {"../../x", "a/b", "CON", "a:b", "x.", "A", "n" * 300} <= set(manifest)


def test_a_report_of_a_hostile_name_is_words_only(seamwright: Any) -> None:
    hostile = "</script><img src=x onerror=alert(1)>"
    seamwright.put("a.svg", drawing(f"<g inkscape:label={quoteattr(hostile)}>{PIECE}</g>"))
    seamwright.put("p.toml", 'seamwright = 1\n[[step]]\nuse = "report"\nto = "a.html"\n')
    assert seamwright("run", "p.toml", "a.svg", "--out", ".").status in (0, 1)
    page = (seamwright.folder / "a.html").read_text("utf-8")
    assert "<img" not in page
    # Two script elements of the page's own: data that no browser runs, and code known by its hash.
    assert re.findall(r"<script[^>]*>", page) == [
        '<script type="application/json" id="data">', "<script>"
    ]  # fmt: skip
    assert page.count("</script>") == 2
    assert "&lt;img src=x onerror=alert(1)&gt;" in page
    assert "default-src &#x27;none&#x27;" in page
    assert "http://" not in page and "https://" not in page
    assert len(page.encode()) < 300_000
