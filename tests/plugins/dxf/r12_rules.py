"""A checker of R12 files of its own: what strict importers refuse and lenient readers let pass."""

from __future__ import annotations

import re

_NAME = re.compile(r"[A-Z0-9$_-]{1,31}\Z")
_NUMBER = re.compile(r"-?\d+(\.\d{1,6})?\Z")

_COMMON = {0, 6, 8, 39, 62, 210, 220, 230, 999, 1000, 1001, 1011, 1021, 1031}
ENTITIES: dict[str, set[int]] = {
    "LINE": {10, 20, 30, 11, 21, 31},
    "POINT": {10, 20, 30, 50},
    "CIRCLE": {10, 20, 30, 40},
    "ARC": {10, 20, 30, 40, 50, 51},
    "TEXT": {10, 20, 30, 40, 1, 50, 41, 51, 7, 71, 72, 73, 11, 21, 31},
    "INSERT": {66, 2, 10, 20, 30, 41, 42, 43, 50, 70, 71, 44, 45},
    "POLYLINE": {66, 10, 20, 30, 70, 40, 41, 71, 72, 73, 74, 75},
    "VERTEX": {10, 20, 30, 40, 41, 42, 70, 50, 71, 72, 73, 74},
    "SEQEND": set(),
}
"""Group codes of the R12 entities (AutoCAD Release 12 reference, from memory)."""


def pairs(data: bytes) -> list[tuple[int, str]]:
    """Tags of a file with CRLF line ends."""
    text = data.decode("ascii")
    assert "\n" not in text.replace("\r\n", ""), "a lone line feed"
    lines = text.split("\r\n")
    assert lines[-1] == "" and len(lines) % 2 == 1, "tags are pairs of lines"
    return [(int(a), b) for a, b in zip(lines[0:-1:2], lines[1:-1:2], strict=True)]


def faults(data: bytes, *, tables: bool) -> list[str]:
    """Everything that R12 does not allow; tables: whether names must be declared."""
    out: list[str] = []
    tags = pairs(data)
    declared: dict[str, set[str]] = {"LAYER": set(), "STYLE": set(), "LTYPE": set(), "APPID": set()}
    used: dict[str, set[str]] = {k: set() for k in declared}
    blocks: list[str] = []
    section = entity = table = ""
    open_polyline = False
    for i, (code, value) in enumerate(tags):
        if code == 0:
            if open_polyline and value not in ("VERTEX", "SEQEND"):
                out.append(f"POLYLINE without SEQEND before {value}")
            open_polyline = value in ("POLYLINE", "VERTEX")
            entity = value
            if value == "SECTION":
                section = tags[i + 1][1]
            elif value == "TABLE":
                table = tags[i + 1][1]
            continue
        if not (value.isascii() and value.isprintable()):
            out.append(f"{value!r} is not printable ASCII")
        if section in ("BLOCKS", "ENTITIES") and entity in ENTITIES:
            if code not in ENTITIES[entity] | _COMMON:
                out.append(f"group {code} in {entity}")
            if 10 <= code < 60 and not _NUMBER.match(value):
                out.append(f"{entity}: number {value!r}")
            if value == "-0":
                out.append("-0")
        if section in ("BLOCKS", "ENTITIES"):
            if code == 8:
                used["LAYER"].add(value)
            if code == 6:
                used["LTYPE"].add(value)
            if code == 7 and entity == "TEXT":
                used["STYLE"].add(value)
            if code == 1001:
                used["APPID"].add(value)
            if code == 2 and entity == "BLOCK":
                blocks.append(value)
            if code == 2 and entity in ("BLOCK", "INSERT") and not _NAME.match(value):
                out.append(f"block name {value!r}")
        if section == "TABLES" and code == 2 and entity == table and entity in declared:
            declared[entity].add(value)
    for kind, names in used.items():
        for name in sorted(names):
            if not _NAME.match(name):
                out.append(f"{kind} name {name!r}")
            if tables and name not in declared[kind] and name != "0":
                out.append(f"{kind} {name!r} is used and not declared")
    if len({b.upper() for b in blocks}) != len(blocks):
        out.append("two blocks share a name")
    if any("MODEL_SPACE" in b.upper() for b in blocks):
        out.append("a layout block")
    if tags[-1] != (0, "EOF"):
        out.append("no EOF")
    return out
