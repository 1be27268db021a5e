"""The descriptor of the JSON format."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Final

from seamwright.plugins.api import API as API
from seamwright.plugins.api import (
    EXACT,
    Code,
    Context,
    Feature,
    Format,
    Guess,
    Head,
    Reader,
    ReadResult,
    Severity,
    Source,
    Writer,
    WriteResult,
    hookimpl,
)

from .options import JsonRead, JsonWrite

if TYPE_CHECKING:
    from seamwright.model import Pattern

_CODES: Final = (
    Code(
        code="json.clockwise",
        severity=Severity.WARNING,
        title="An outline runs clockwise",
        why="Outlines run anticlockwise, the piece on the left of travel; steps that go by left "
        "and right do the wrong thing on this one.",
        remedy="Turn the outline round in whatever wrote the file.",
    ),
)


def _sniff(head: Head) -> Guess:
    data = head.data.removeprefix(b"\xef\xbb\xbf").lstrip()
    if not data.startswith(b"{"):
        return Guess.NO
    if b'"seamwright-pattern"' in data:
        return Guess.YES
    return Guess.MAYBE if head.suffix == ".json" else Guess.NO


def _read(source: Source, options: JsonRead, ctx: Context) -> ReadResult:
    from .read import read

    return read(source, options, ctx)


def _write(pattern: Pattern, options: JsonWrite, ctx: Context) -> WriteResult:
    from .write import write

    return write(pattern, options, ctx)


@hookimpl
def seamwright_formats() -> Sequence[Format]:
    """The JSON format."""
    return [
        Format(
            name="json",
            help="The whole pattern, nothing lost, numbers exact.",
            suffixes=(".json",),
            sniff=_sniff,
            carries=dict.fromkeys(Feature, EXACT),
            reader=Reader(options=JsonRead, run=_read),
            writer=Writer(options=JsonWrite, run=_write),
            codes=_CODES,
            page="json.md",
        )
    ]
