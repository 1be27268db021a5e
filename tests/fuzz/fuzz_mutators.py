"""Damage done to files by a seeded chance: bytes, numbers, lines, words of the format, nesting."""

from __future__ import annotations

import random
import re
from collections.abc import Callable, Sequence
from typing import Final

LONGEST: Final = 64 * 1024
"""A mutated file is never longer: what is slow is told by its form, not by its size."""

_NUMBER: Final = re.compile(rb"[-+]?\d+(?:\.\d*)?(?:[eE][-+]?\d+)?")
_NUMBERS: Final = (
    b"nan", b"inf", b"-inf", b"1e300", b"-1e300", b"1e308", b"1e999", b"1e-300", b"-0", b"0",
    b"-1", b"1", b"0.5", b"1e9", b"1e12", b"99999999999999999999", b"32767", b"32768", b"-32768",
    b"65536", b"2147483647", b"2147483648", b"-2147483649", b"9223372036854775808", b"1,5",
    b"1.2.3", b"0x10", b"1_000", b"\xd9\xa1\xd9\xa2", b"", b"1e", b"--1", b"9" * 400,
)  # fmt: skip
_BYTES: Final = (
    b"\0", b"\xff", b"\xef\xbb\xbf", b"\xff\xfe", b"\xc3", b"\xed\xa0\x80", b"\x1f\x8b", b"\r",
    b"\n", b"\x1a", b"\x7f", b"\xf0\x9f\xa7\xb5", b"\xe2\x80\xae", b"%", b"&", b"<", b">", b'"',
    b"'", b"{", b"}", b"[", b"]", b"(", b")", b"#", b"\\", b"../", b"/etc/passwd", b"%00",
)  # fmt: skip

Change = Callable[[random.Random, bytes, Sequence[bytes]], bytes]


def mutated(chance: random.Random, seeds: Sequence[bytes], words: Sequence[bytes]) -> bytes:
    """One of `seeds`, damaged in one to six places. words: of the format, to be strewn in."""
    data = chance.choice(seeds)
    if chance.random() < 0.08:
        data = _spliced(chance, data, chance.choice(seeds))
    for _ in range(1 + int(min(5.0, chance.expovariate(0.7)))):
        data = chance.choices(_CHANGES, _WEIGHTS)[0](chance, data, words)[:LONGEST]
    return data


def _place(chance: random.Random, data: bytes) -> int:
    return chance.randrange(len(data) + 1)


def _stretch(chance: random.Random, data: bytes) -> tuple[int, int]:
    start = _place(chance, data)
    return start, min(len(data), start + int(min(1e6, chance.expovariate(1 / 24))) + 1)


def _flip(chance: random.Random, data: bytes, words: Sequence[bytes]) -> bytes:
    if not data:
        return data
    out = bytearray(data)
    for _ in range(chance.randrange(1, 4)):
        out[chance.randrange(len(out))] ^= 1 << chance.randrange(8)
    return bytes(out)


def _insert(chance: random.Random, data: bytes, words: Sequence[bytes]) -> bytes:
    at = _place(chance, data)
    return data[:at] + chance.choice(_BYTES) + data[at:]


def _delete(chance: random.Random, data: bytes, words: Sequence[bytes]) -> bytes:
    start, end = _stretch(chance, data)
    return data[:start] + data[end:]


def _double(chance: random.Random, data: bytes, words: Sequence[bytes]) -> bytes:
    start, end = _stretch(chance, data)
    times = chance.choice((2, 2, 2, 3, 40, 400))
    return data[:start] + data[start:end] * times + data[end:]


def _truncate(chance: random.Random, data: bytes, words: Sequence[bytes]) -> bytes:
    return data[: _place(chance, data)]


def _number(chance: random.Random, data: bytes, words: Sequence[bytes]) -> bytes:
    found = list(_NUMBER.finditer(data))
    if not found:
        return data
    match = chance.choice(found)
    if chance.random() < 0.5:
        new = chance.choice(_NUMBERS)
    elif chance.random() < 0.5:
        new = chance.choice(found)[0]
    else:
        new = str(round(chance.uniform(-1, 1) * 10 ** chance.randrange(-3, 7), 3)).encode()
    return data[: match.start()] + new + data[match.end() :]


def _word(chance: random.Random, data: bytes, words: Sequence[bytes]) -> bytes:
    if not words:
        return data
    here = [w for w in words if w in data]
    if here and chance.random() < 0.6:
        old = chance.choice(here)
        places = [m.start() for m in re.finditer(re.escape(old), data)]
        at = chance.choice(places)
        return data[:at] + chance.choice(words) + data[at + len(old) :]
    at = _place(chance, data)
    return data[:at] + chance.choice(words) + data[at:]


def _lines(chance: random.Random, data: bytes, words: Sequence[bytes]) -> bytes:
    lines = data.split(b"\n")
    step = chance.choice((1, 2, 2))
    i = chance.randrange(len(lines))
    j = min(len(lines), i + step * chance.randrange(1, 9))
    taken = lines[i:j]
    match chance.randrange(4):
        case 0:
            del lines[i:j]
        case 1:
            lines[i:i] = taken * chance.choice((1, 1, 2, 60))
        case 2:
            del lines[i:j]
            k = chance.randrange(len(lines) + 1)
            lines[k:k] = taken
        case _:
            k = chance.randrange(len(lines))
            lines[i], lines[k] = lines[k], lines[i]
    return b"\n".join(lines)


def _nest(chance: random.Random, data: bytes, words: Sequence[bytes]) -> bytes:
    opening, closing = chance.choice(
        ((b"[", b"]"), (b"{", b"}"), (b"<g>", b"</g>"), (b"(", b")"), (b"<<", b">>"),
         (b"q ", b"Q "), (b'{"a":', b"}"), (b"<text>", b"</text>"))
    )  # fmt: skip
    times = chance.choice((2, 40, 300, 3000))
    start, end = _stretch(chance, data)
    inner = data[start:end]
    return data[:start] + opening * times + inner + closing * times + data[end:]


def _spliced(chance: random.Random, a: bytes, b: bytes) -> bytes:
    return a[: _place(chance, a)] + b[_place(chance, b) :]


_CHANGES: Final[tuple[Change, ...]] = (
    _flip, _insert, _delete, _double, _truncate, _number, _word, _lines, _nest,
)  # fmt: skip
_WEIGHTS: Final = (2, 2, 2, 1, 0.5, 6, 4, 3, 0.4)
