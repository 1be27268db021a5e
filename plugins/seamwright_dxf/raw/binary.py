"""Binary DXF: the same tags, numbers as bytes of a machine."""

from __future__ import annotations

import struct

import numpy as np

from seamwright.plugins.api import SeamwrightError

from .tags import Tags

SENTINEL = b"AutoCAD Binary DXF\r\n\x1a\x00"

_TEXT, _REAL, _SHORT, _LONG, _LONGLONG, _BYTE, _CHUNK = range(7)
_RANGES = (
    (0, 9, _TEXT), (10, 59, _REAL), (60, 79, _SHORT), (90, 99, _LONG), (100, 109, _TEXT),
    (110, 149, _REAL), (160, 169, _LONGLONG), (170, 179, _SHORT), (210, 239, _REAL),
    (270, 289, _SHORT), (290, 299, _BYTE), (300, 309, _TEXT), (310, 319, _CHUNK),
    (320, 369, _TEXT), (370, 389, _SHORT), (390, 399, _TEXT), (400, 409, _SHORT),
    (410, 419, _TEXT), (420, 429, _LONG), (430, 439, _TEXT), (440, 459, _LONG),
    (460, 469, _REAL), (470, 481, _TEXT), (999, 1003, _TEXT), (1004, 1004, _CHUNK),
    (1005, 1009, _TEXT), (1010, 1059, _REAL), (1060, 1070, _SHORT), (1071, 1071, _LONG),
)  # fmt: skip
_KIND = {code: kind for first, last, kind in _RANGES for code in range(first, last + 1)}
_STRUCTS = {
    _REAL: struct.Struct("<d"), _SHORT: struct.Struct("<h"), _LONG: struct.Struct("<i"),
    _LONGLONG: struct.Struct("<q"), _BYTE: struct.Struct("<B"),
}  # fmt: skip


def read_binary(data: bytes, *, file: str | None = None) -> Tags:
    """The tags of a binary DXF (AutoCAD DXF reference, "Binary DXF files").

    A file that ends inside a tag gives the tags before it, with `rest` set.
    """
    at, end = len(SENTINEL), len(data)
    wide = data[at : at + 2] == b"\0\0"
    codes: list[int] = []
    values: list[bytes] = []
    rest = None
    while at < end:
        start = at
        if wide:
            if at + 2 > end:
                rest = (0, "half a group code")
                break
            code = int.from_bytes(data[at : at + 2], "little", signed=True)
            at += 2
        else:
            code = data[at]
            at += 1
            if code == 255:
                code = int.from_bytes(data[at : at + 2], "little", signed=True)
                at += 2
        kind = _KIND.get(code)
        if kind is None:
            raise SeamwrightError.of(
                "dxf.tags",
                f"byte {start} holds group code {code}, which the binary form does not know",
                file=file,
                hint="the file is damaged here: ask for it again, best as ASCII DXF",
            )
        if kind == _TEXT:
            stop = data.find(b"\0", at)
            if stop < 0:
                rest = (0, "half a text")
                break
            value, at = data[at:stop], stop + 1
        elif kind == _CHUNK:
            size = data[at] if at < end else 0
            value, at = data[at + 1 : at + 1 + size].hex().encode(), at + 1 + size
        else:
            form = _STRUCTS[kind]
            if at + form.size > end:
                rest = (0, "half a number")
                break
            value, at = repr(form.unpack_from(data, at)[0]).encode(), at + form.size
        codes.append(code)
        # A line end inside a text would be two lines of the ASCII form.
        values.append(value.replace(b"\r\n", b" ").replace(b"\n", b" ").replace(b"\r", b" "))
    return Tags(np.array(codes, dtype=np.int16), values, rest=rest, binary=True)
