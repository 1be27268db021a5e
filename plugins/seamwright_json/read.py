"""Reading the document."""

from __future__ import annotations

import json
import re

import msgspec

from seamwright.plugins.api import Context, ReadResult, SeamwrightError, Source, did_you_mean

from . import document as doc
from .options import JsonRead
from .rebuild import Builder

_BYTE = re.compile(r"\(byte (\d+)\)")
_PLACE = re.compile(r" - at (?:key in )?`(?P<path>[^`]*)`")
_UNKNOWN = re.compile(r"unknown field `(?P<key>.*?)`", re.S)


class _Head(msgspec.Struct):
    """What says whether the rest can be read."""

    format: object = None
    version: object = None


def read(source: Source, options: JsonRead, ctx: Context) -> ReadResult:
    """The pattern in a JSON document. Raises SeamwrightError with the place of the fault."""
    data = source.data.removeprefix(b"\xef\xbb\xbf")
    file = source.name
    _few_enough(data, ctx, file)
    _check_head(data, file)
    try:
        found = msgspec.json.decode(data, type=doc.Pattern)
    except msgspec.ValidationError as error:
        raise _refused(str(error), file) from None
    except (msgspec.DecodeError, RecursionError, UnicodeDecodeError) as error:
        raise _malformed(error, data, file) from None
    _each_key_once(data, file)
    builder = Builder(file, ctx)
    pattern = builder.pattern(found)
    return ReadResult(pattern=pattern, findings=tuple(builder.findings))


def _few_enough(data: bytes, ctx: Context, file: str) -> None:
    """Counted before anything is built: each thing in the document is an object or a list."""
    count, most = data.count(b"{") + data.count(b"["), ctx.limits.elements
    if count > most:
        raise SeamwrightError.of(
            "json.limit",
            f"the document holds {count:,} objects and lists; the limit is {most:,}",
            file=file,
            measured=float(count),
            limit=float(most),
            hint=f"if you trust the file, raise the limit: --limit elements={2 * count}",
        )


class _Twice(Exception):
    """A key that stands twice in one object."""


def _each_key_once(data: bytes, file: str) -> None:
    """The parser takes the last of two: what the first said would be lost without a word."""

    def unique(pairs: list[tuple[str, object]]) -> None:
        if len({key for key, _ in pairs}) < len(pairs):
            keys = [key for key, _ in pairs]
            raise _Twice(next(key for key in keys if keys.count(key) > 1))

    try:
        json.loads(data, object_pairs_hook=unique, parse_int=len, parse_float=len)
    except _Twice as error:
        raise SeamwrightError.of(
            "json.key",
            f'the key "{error}" stands twice in one object',
            file=file,
            hint="leave one of them; which one counts is not for a reader to guess",
        ) from None


def _check_head(data: bytes, file: str) -> None:
    try:
        head = msgspec.json.decode(data, type=_Head)
    except msgspec.ValidationError:
        head = _Head()
    except (msgspec.DecodeError, RecursionError, UnicodeDecodeError) as error:
        raise _malformed(error, data, file) from None
    if head.format != doc.NAME:
        raise SeamwrightError.of(
            "json.format",
            f'this JSON is not a pattern: "format" is {_shown(head.format)}, not "{doc.NAME}"',
            file=file,
        )
    if head.version != doc.VERSION or isinstance(head.version, bool):
        raise SeamwrightError.of(
            "json.version",
            f"this pattern's version is {_shown(head.version)}; this program reads version "
            f"{doc.VERSION}",
            file=file,
            hint="read it with a newer program, or have it written as version 1",
        )


def _shown(value: object) -> str:
    if value is None:
        return "missing"
    text = msgspec.json.encode(value).decode("utf-8", "replace")
    return text if len(text) <= 40 else text[:37] + "..."


def _malformed(error: Exception, data: bytes, file: str) -> SeamwrightError:
    if isinstance(error, RecursionError):
        return SeamwrightError.of(
            "json.depth", "the JSON nests brackets too deeply to be a pattern", file=file
        )
    what = str(error)
    byte = _BYTE.search(what)
    at = int(byte[1]) if byte else len(data)
    what = _BYTE.sub("", what).strip().rstrip(".")
    before = data[:at]
    column = len(before) - (before.rfind(b"\n") + 1) + 1
    return SeamwrightError.of(
        "json.syntax",
        f"the file is not good JSON: {what} (column {column})",
        file=file,
        line=before.count(b"\n") + 1,
        hint="it may have been cut off or changed by hand; write it again, or restore a copy",
    )


def _refused(what: str, file: str) -> SeamwrightError:
    place = _PLACE.search(what)
    path = place["path"] if place else "$"
    plain = _PLACE.sub("", what)
    unknown = _UNKNOWN.search(plain)
    if unknown:
        key = unknown["key"]
        return SeamwrightError.of(
            "json.key",
            f'"{key}" is no key of {path}',
            file=file,
            hint=did_you_mean(key, _all_keys()),
        )
    return SeamwrightError.of(
        "json.value",
        f"{path} is not as it should be: {plain[:1].lower()}{plain[1:]}",
        file=file,
        hint="the published schema pattern.schema.json says what may stand there",
    )


def _all_keys() -> list[str]:
    kinds = [k for k in vars(doc).values() if isinstance(k, type) and issubclass(k, doc.Doc)]
    return sorted({name for kind in kinds for name in kind.__struct_fields__})
