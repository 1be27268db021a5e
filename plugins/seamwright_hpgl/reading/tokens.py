"""From bytes to instructions: mnemonic, then numbers or a text.

A semicolon, white space or simply the next letter ends an instruction; numbers are parted by commas
or spaces (HP PCL/PJL Technical Reference Manual, part II, chapter 17: syntax of HP-GL/2). A label
runs to its terminator whatever it holds (same, pp. 23-7, 23-60).
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Final, NamedTuple

ETX: Final = 3
_ESCAPE: Final = 27
_MNEMONIC: Final = re.compile(rb"[\s;,\x00-\x1a\x1c-\x20]*([A-Za-z])[\s]*([A-Za-z])")
_NUMBERS: Final = re.compile(rb"[\s,+\-0-9.]*")
_FARTHEST: Final = 1e12
_NUMBER: Final = re.compile(rb"[+-]?\s?(?:\d+\.?\d*|\.\d+)")
# Entering and leaving HP-GL/2, and device control: ESC.( ESC.Y ESC.M...: and the like.
_ENTER: Final = re.compile(rb"\x1b%-?\d+B")
_LEAVE: Final = re.compile(rb"\x1b%-?\d+A")
_DEVICE: Final = re.compile(rb"\x1b\.(?:[A-Z@]|[()])(?:[\d;]*:)?")
_RESET: Final = re.compile(rb"\x1bE|\x1b%-12345X(?:@PJL[^\n]*\n)*")
_TEXTS: Final = (b"LB", b"CO", b"BL", b"WD", b"SM")


class Instruction(NamedTuple):
    """A mnemonic with its numbers, or with its raw text; at: the byte where it starts."""

    name: str
    numbers: tuple[float, ...]
    text: bytes
    at: int


class Truncated(Exception):
    """The data end inside a label or an encoded line."""


def instructions(data: bytes) -> Iterator[Instruction]:
    """All instructions in order; what lies between them and is none comes with the name "".

    Raises nothing: an unfinished label comes with its text and is followed by the name "END".
    """
    at, end = 0, len(data)
    terminator, shown = ETX, True
    while at < end:
        if data[at] == _ESCAPE:
            at = _past_escape(data, at)
            continue
        found = _MNEMONIC.match(data, at)
        if found is None:
            start = at
            while at < end and not data[at : at + 1].isalpha() and data[at] != _ESCAPE:
                at += 1
            junk = data[start:at].strip(b"; \t\r\n\x00,\x03\x0c\x1a")
            if junk:
                yield Instruction("", (), junk, start)
            if at < end and data[at] != _ESCAPE and _MNEMONIC.match(data, at) is None:
                yield Instruction("", (), data[at : at + 1], at)
                at += 1
            continue
        start = found.start(1)
        name = (found.group(1) + found.group(2)).upper()
        at = found.end()
        if name == b"DT":
            if at < end and data[at] not in b";":
                terminator, shown = data[at], True
                at += 1
                mode = re.compile(rb"\s*,\s*([01])").match(data, at)
                if mode is not None:
                    at, shown = mode.end(), mode.group(1) == b"1"
            else:
                terminator, shown = ETX, True
            yield Instruction("DT", (float(shown),), bytes([terminator]), start)
        elif name == b"LB":
            stop = data.find(bytes([terminator]), at)
            if stop < 0:
                yield Instruction("LB", (), data[at:], start)
                yield Instruction("END", (), b"LB", start)
                return
            yield Instruction("LB", (), data[at:stop], start)
            at = stop + 1
        elif name == b"CO":
            at, text = _comment(data, at)
            yield Instruction("CO", (), text, start)
        elif name == b"PE":
            stop = data.find(b";", at)
            if stop < 0:
                yield Instruction("PE", (), data[at:], start)
                yield Instruction("END", (), b"PE", start)
                return
            yield Instruction("PE", (), data[at:stop], start)
            at = stop + 1
        else:
            body = _NUMBERS.match(data, at)
            assert body is not None
            at = body.end()
            raw = body.group()
            yield Instruction(name.decode("ascii"), numbers_in(raw), raw, start)


def numbers_in(raw: bytes) -> tuple[float, ...]:
    """The numbers in the parameters of an instruction."""
    try:
        found = tuple(map(float, raw.replace(b",", b" ").split()))
    except ValueError:  # "400-200", "- 5"
        found = tuple(float(n.replace(b" ", b"")) for n in _NUMBER.findall(raw))
    # Beyond this a figure is damage; what is drawn with it is refused as too far away.
    return tuple(max(-_FARTHEST, min(_FARTHEST, number)) for number in found)


def _comment(data: bytes, at: int) -> tuple[int, bytes]:
    start = data.find(b'"', at)
    stop = data.find(b'"', start + 1) if start >= 0 else -1
    if start < 0 or stop < 0 or data[at:start].strip():
        return at, b""
    return stop + 1, data[start + 1 : stop]


def _past_escape(data: bytes, at: int) -> int:
    for kind in (_ENTER, _DEVICE, _RESET):
        found = kind.match(data, at)
        if found is not None:
            return found.end()
    left = _LEAVE.match(data, at)
    if left is not None:
        # What follows is printer language until HP-GL/2 is entered again.
        again = _ENTER.search(data, left.end())
        return again.end() if again is not None else len(data)
    again = _ENTER.search(data, at)
    if again is not None:
        return again.end()
    return at + 2 if at + 1 < len(data) else len(data)
