"""A DXF file as tags: a group code and a value, two lines each.

The file is split into lines once; codes become one integer array, values stay bytes until
somebody needs them. Line numbers are kept, so that every complaint can say where.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from itertools import compress

import numpy as np
from numpy.typing import NDArray

from seamwright.plugins.api import SeamwrightError

CodeArray = NDArray[np.int16]
IntArray = NDArray[np.int64]

LAST_CODE = 1071
FIRST_CODE = -5
COMMENT = 999
_RESYNC = 6  # tags that must read well after a skipped line before we believe in the repair
_MOST_REPAIRS = 200


@dataclass(frozen=True, slots=True)
class Tags:
    """Tags of one file, in order.

    codes    group codes (n,)
    values   the values as the file has them, bytes without line ends
    skipped  (tag number, lines) left out before that tag: empty or stray lines
    stray    (line, text) of lines that were left out though they hold something
    rest     line number and text of a last line that has no partner, or None
    after    lines that stand after the end of the file and are no tags
    lines    how many lines the file has
    binary   read from a binary DXF: line numbers mean nothing there
    """

    codes: CodeArray
    values: list[bytes]
    skipped: tuple[tuple[int, int], ...] = ()
    stray: tuple[tuple[int, str], ...] = ()
    rest: tuple[int, str] | None = None
    after: int = 0
    lines: int = 0
    binary: bool = False
    _starts: IntArray | None = field(default=None, repr=False)

    @property
    def n(self) -> int:
        """Number of tags."""
        return len(self.values)

    def line(self, tag: int) -> int | None:
        """The line (1-based) of a tag's code; its value stands one below. None in binary files."""
        if self.binary:
            return None
        extra = sum(lines for at, lines in self.skipped if at <= tag)
        return 2 * tag + 1 + extra

    def value_line(self, tag: int) -> int | None:
        """The line of a tag's value."""
        line = self.line(tag)
        return None if line is None else line + 1


class _Codes(dict[bytes, int]):
    """Group codes by their text: a file has few different ones."""

    def __missing__(self, key: bytes) -> int:
        code = int(key)  # ValueError is the caller's signal
        if not FIRST_CODE <= code <= LAST_CODE or b"_" in key:
            raise ValueError(key)
        self[key] = code
        return code


def read_tags(data: bytes, *, file: str | None = None) -> Tags:
    """The tags of an ASCII DXF.

    Line ends may be LF, CRLF, CR or the CRCRLF of a file converted twice. Empty lines where a
    code should stand, and lone stray lines after which the tags read on, are left out and kept
    in the record. Raises SeamwrightError `dxf.not-dxf` or `dxf.tags` where no sense is left.
    """
    if b"\r\r\n" in data:
        data = data.replace(b"\r\r\n", b"\n")
    lines = data.splitlines()
    total = len(lines)
    codes = _Codes()
    try:
        even = lines[0::2] if total % 2 == 0 else lines[0:-1:2]
        array = np.fromiter(map(codes.__getitem__, even), dtype=np.int16, count=len(even))
    except ValueError:
        return _repaired(lines, codes, file)
    rest = None
    if total % 2:
        rest = (total, _shown(lines[-1]))
        if not lines[-1].strip():
            rest = None
    return Tags(array, lines[1 : 2 * len(even) : 2], rest=rest, lines=total)


def _repaired(lines: list[bytes], codes: _Codes, file: str | None) -> Tags:
    """Tags in spite of lines that are too many; slow, and only for files that need it."""
    total = len(lines)
    keep = np.ones(total, dtype=bool)
    skipped: list[tuple[int, int]] = []
    stray: list[tuple[int, str]] = []
    i = tag = after = 0
    rest = None
    while i < total:
        try:
            # A blank code line is no code, and int() would not take it either.
            codes[lines[i]]
        except (ValueError, OverflowError):
            if not lines[i].strip():
                pass
            elif tag == 0 and not stray:
                raise _not_dxf(lines[i], i + 1, file) from None
            elif len(stray) >= _MOST_REPAIRS or not _reads_on(lines, i + 1, codes):
                raise SeamwrightError.of(
                    "dxf.tags",
                    f'line {i + 1} should hold a group code, but holds "{_shown(lines[i])}", '
                    "and the lines after it make no sense either",
                    file=file,
                    line=i + 1,
                    hint="the file is damaged here: ask for it again",
                ) from None
            else:
                stray.append((i + 1, _shown(lines[i])))
            keep[i] = False
            skipped.append((tag, 1))
            i += 1
            continue
        if i + 1 >= total:
            rest = (i + 1, _shown(lines[i]))
            keep[i] = False
            break
        if codes[lines[i]] == 0 and lines[i + 1].strip().upper() == b"EOF":
            after = sum(bool(line.strip()) for line in lines[i + 2 :])
            keep[i + 2 :] = False
            break
        i += 2
        tag += 1
    kept = list(compress(lines, keep.tolist()))
    array = np.fromiter(map(codes.__getitem__, kept[0::2]), dtype=np.int16, count=len(kept) // 2)
    return Tags(array, kept[1::2], tuple(skipped), tuple(stray), rest, after, total)


def _reads_on(lines: list[bytes], start: int, codes: _Codes) -> bool:
    for i in range(start, min(start + 2 * _RESYNC, len(lines)), 2):
        if not lines[i].strip():
            continue
        try:
            codes[lines[i]]
        except (ValueError, OverflowError):
            return False
    return start < len(lines)


def _not_dxf(line: bytes, number: int, file: str | None) -> SeamwrightError:
    return SeamwrightError.of(
        "dxf.not-dxf",
        f"this is not a DXF file: it should begin with a group code, but line {number} is "
        f'"{_shown(line)}"',
        file=file,
        line=number,
        hint="look at what the file really is; its suffix may be wrong",
    )


def _shown(line: bytes) -> str:
    text = line[:60].decode("utf-8", "replace").strip()
    clean = "".join(c if c.isprintable() else "·" for c in text)
    return clean + ("..." if len(line) > 60 else "")


def comments(tags: Tags) -> Iterable[tuple[int, bytes]]:
    """Comment lines (group 999) as (tag number, text)."""
    for tag in np.flatnonzero(tags.codes == COMMENT).tolist():
        yield tag, tags.values[tag]
