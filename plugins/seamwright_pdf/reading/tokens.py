"""A content stream's operators with their operands, one at a time (ISO 32000-1, 7.2 and 7.8).

qpdf unfolds the stream; it is cut into tokens here because its own parser makes a list of all of
them first, which a hostile stream fills the memory with.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any, Final

_SPACE: Final = rb"[\x00\t\n\f\r ]"
_NUMBER: Final = rb"[+-]*(?:\d+\.?\d*|\.\d+)(?:-\d*)?"
#: Numbers alone and then a word: nearly all of a drawing.
_QUICK: Final = re.compile(
    rb"((?:" + _SPACE + rb"*" + _NUMBER + rb"(?=[\x00\t\n\f\r \[\]/<>()%a-zA-Z'\"]))*)"
    + _SPACE + rb"*([A-Za-z'\"][A-Za-z0-9*'\"]*)"
)  # fmt: skip
_TOKEN: Final = re.compile(
    rb"(?P<space>" + _SPACE + rb"+|%[^\r\n]*)"
    rb"|(?P<number>" + _NUMBER + rb")"
    rb"|(?P<name>/[^\x00\t\n\f\r ()<>\[\]{}/%]*)"
    rb"|(?P<dict><<|>>)"
    rb"|(?P<hex><[^>]*>)"
    rb"|(?P<array>[\[\]])"
    rb"|(?P<text>\()"
    rb"|(?P<word>[A-Za-z'\"][A-Za-z0-9*'\"]*)"
    rb"|(?P<other>.)",
    re.DOTALL,
)
_ESCAPED: Final = {b"n": b"\n", b"r": b"\r", b"t": b"\t", b"b": b"\b", b"f": b"\f"}
_IN_TEXT: Final = re.compile(rb"[^()\\]+|\\(?:[0-7]{1,3}|\r\n|.)|[()]", re.DOTALL)
_IMAGE_END: Final = re.compile(rb"[\x00\t\n\f\r ]EI(?=[\x00\t\n\f\r /\[<(]|\Z)")
_DEPTH: Final = 64
_WORDS: Final[dict[bytes, Any]] = {b"true": True, b"false": False, b"null": None}


class Name(str):
    """A name, without its slash."""

    __slots__ = ()


def operators(data: bytes) -> Iterator[tuple[str, list[Any]]]:
    """Operators in order with their operands: numbers, bytes for strings, `Name`s, lists, dicts."""
    at, end = 0, len(data)
    held: list[Any] = []
    while at < end:
        quick = _QUICK.match(data, at)
        if quick is not None:
            numbers, word = quick.groups()
            at = quick.end()
            if word in (b"true", b"false", b"null"):
                held += [*_floats(numbers), word == b"true" if word != b"null" else None]
                continue
            operands = _floats(numbers)
            if held:
                operands = [*held, *operands]
                held = []
            if word == b"BI":
                at = _past_image(data, at)
            yield word.decode("latin-1"), operands
            continue
        found = _value(data, at, 0)
        if found is None:
            return
        value, at = found
        if value is not _NOTHING:
            held.append(value)
            if len(held) > 100_000:
                held = []


_NOTHING: Final = object()
_CLOSED: Final = object()


def _floats(numbers: bytes) -> list[float]:
    try:
        return list(map(float, numbers.split()))
    except ValueError:
        return [_float(n) for n in re.findall(_NUMBER, numbers)]


def _float(number: bytes) -> float:
    """A number; odd ones ("--5", "5-3") as common readers take them."""
    sign = -1.0 if number.startswith(b"-") else 1.0
    body = number.lstrip(b"+-").split(b"-")[0]
    return sign * float(body or b"0")


def _value(data: bytes, at: int, depth: int) -> tuple[Any, int] | None:
    """The value at `at` and where it ends; _NOTHING for space, _CLOSED for a closing bracket;
    None at the end of the data."""
    token = _TOKEN.match(data, at)
    if token is None:
        return None
    kind, raw, after = token.lastgroup, token.group(), token.end()
    match kind:
        case "number":
            return _float(raw), after
        case "name":
            return Name(_unescaped(raw[1:])), after
        case "text":
            return _string(data, after)
        case "hex":
            digits = re.sub(rb"[^0-9A-Fa-f]", b"", raw)
            return bytes.fromhex((digits + b"0" * (len(digits) % 2)).decode()), after
        case "array" if raw == b"[":
            return _many(data, after, depth, b"]")
        case "dict" if raw == b"<<":
            found = _many(data, after, depth, b">>")
            if found is None:
                return None
            items, after = found
            keys, values = items[0::2], items[1::2]
            return {str(k): v for k, v in zip(keys, values, strict=False)}, after
        case "array" | "dict":
            return (_CLOSED if depth else _NOTHING), after
        case "word" if depth:
            word = {b"true": True, b"false": False, b"null": None}.get(
                raw, Name(raw.decode("latin-1"))
            )
            return word, after
    return _NOTHING, after


def _many(data: bytes, at: int, depth: int, close: bytes) -> tuple[list[Any], int] | None:
    out: list[Any] = []
    if depth > _DEPTH:
        return out, at
    while True:
        found = _value(data, at, depth + 1)
        if found is None:
            return out, len(data)
        value, at = found
        if value is _CLOSED:
            return out, at
        if value is not _NOTHING:
            out.append(value)


def _string(data: bytes, at: int) -> tuple[bytes, int]:
    out: list[bytes] = []
    depth = 1
    for part in _IN_TEXT.finditer(data, at):
        raw = part.group()
        if raw == b"(":
            depth += 1
        elif raw == b")":
            depth -= 1
            if depth == 0:
                return b"".join(out), part.end()
        if raw[:1] != b"\\":
            out.append(raw)
        elif raw[1:2].isdigit():
            out.append(bytes([int(raw[1:], 8) & 255]))
        elif raw[1:2] not in (b"\r", b"\n"):
            out.append(_ESCAPED.get(raw[1:], raw[1:]))
    return b"".join(out), len(data)


def _unescaped(raw: bytes) -> str:
    whole = re.sub(rb"#([0-9A-Fa-f]{2})", lambda m: bytes([int(m.group(1), 16)]), raw)
    return whole.decode("utf-8", errors="replace")


def _past_image(data: bytes, at: int) -> int:
    found = _IMAGE_END.search(data, at)
    return found.end() if found is not None else len(data)


def text_string(raw: Any) -> str:
    """A text string of ISO 32000-1, 7.9.2.2, as text."""
    if not isinstance(raw, bytes):
        return str(raw)
    if raw.startswith(b"\xfe\xff"):
        return raw[2:].decode("utf-16-be", errors="replace")
    if raw.startswith(b"\xef\xbb\xbf"):
        return raw[3:].decode("utf-8", errors="replace")
    return raw.decode("pdfdoc", errors="replace")
