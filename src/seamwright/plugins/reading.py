"""Reading a pattern: open, recognise, build the reader's options, run it, sign its findings."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from seamwright.findings import Finding, SeamwrightError

from . import registry as registries
from .building import Where, build, revalidated
from .calling import call, signed
from .context import Context, Limits, UnitName
from .descriptors import Format, Source
from .inputs import Input, beside, open_input
from .names import Entry
from .option_kinds import fields_of
from .registry import Registry
from .sniffing import recognise
from .timing import at_most

if TYPE_CHECKING:
    from seamwright.model import Pattern


@dataclass(frozen=True, slots=True, kw_only=True)
class Loaded:
    """A pattern as its reader gave it, and what is known of the file it came from.

    format    the format and its plugin
    options   the reader's options as they were used
    facts     counts and other small figures of the reader
    source    the opened file; its bytes are let go of (`data` is empty)
    """

    pattern: Pattern
    findings: tuple[Finding, ...]
    facts: Mapping[str, Any]
    format: Entry[Format]
    options: Any
    source: Input


def read(
    path: str | Path,
    *,
    options: Mapping[str, Any] | Any = None,
    format: str | None = None,
    registry: Registry | None = None,
    units: UnitName = "mm",
    limits: Limits | None = None,
    words: bool = False,
    where: str | Where = "",
    ignore_unknown: bool = False,
) -> Loaded:
    """The pattern in a file.

    options  of the reader, by name (dashes), or an instance of its options class
    format   short or full name of the format; None: found from the first bytes
    units    the user's, for messages and for bare numbers among the options
    words    True when the options are texts from the command line
    ignore_unknown  leave out options that this reader does not have (several files of several
             formats read with one set of options); the caller sees to it that each is known to
             some reader

    Raises SeamwrightError for what cannot be read at all; what was mended is a finding.
    """
    found = registry or registries.default()
    bounds = limits or Limits()
    source = open_input(path, limits=bounds)
    entry = recognise(source, found, format=format)
    reader = entry.thing.reader
    if reader is None:
        raise AssertionError("recognise gives formats that can be read")
    given = {} if options is None else options
    if isinstance(given, Mapping):
        if ignore_unknown:
            known = {f.name for f in fields_of(reader.options)}
            given = {name: value for name, value in given.items() if name in known}
        place = where or f"options of {entry.full}"
        made = build(reader.options, given, where=place, units=units, words=words)
    else:
        made = revalidated(given, where=where)
    neighbours = beside(source.path, reader.beside, bounds)
    handed = Source(name=source.path.name, data=source.data, beside=neighbours)
    context = Context(units=units, file=source.name, limits=bounds)
    try:
        with at_most(bounds.seconds, file=source.name):
            result = call(entry, reader.run, handed, made, context)
            check_numbers(result.pattern, bounds, file=source.name, plugin=entry.full)
    except SeamwrightError as error:
        raise _placed(error, source) from error.__cause__
    findings = signed(
        entry, result.findings, entry.thing.codes, file=source.name, also=source.path.name
    )
    return Loaded(
        pattern=result.pattern,
        findings=findings,
        facts=result.facts,
        format=entry,
        options=made,
        source=Input(path=source.path, name=source.name, data=b"", digest=source.digest),
    )


def check_numbers(pattern: Pattern, limits: Limits, *, file: str | None, plugin: str) -> None:
    """Refuses figures that are none, or beyond all measure: what is computed from them would be
    wrong without a word; and what is over a limit, whichever the reader. Raises SeamwrightError
    file.number, file.limit."""
    from .soundness import oversized, unsound  # noqa: PLC0415 - numpy only when something was read

    over = oversized(pattern, limits)
    if over is not None:
        what, limit, count = over
        raise SeamwrightError.of(
            "file.limit",
            f"{what}: {count:,}; the limit is {getattr(limits, limit):,}",
            file=file,
            measured=float(count),
            limit=float(getattr(limits, limit)),
            hint=f"if you trust the file, raise the limit: --limit {limit}={2 * count}",
            plugin=plugin,
        )

    wrong = unsound(pattern)
    if wrong is not None:
        raise SeamwrightError.of(
            "file.number",
            f"{wrong}: not a figure that a pattern can have",
            file=file,
            hint="the file is damaged there: correct it, or save it again",
            plugin=plugin,
        )


def _placed(error: SeamwrightError, source: Input) -> SeamwrightError:
    """The error with the file as the user calls it."""
    if error.finding.file not in (None, source.path.name):
        return error
    return SeamwrightError(error.finding.but(file=source.name), others=error.others)
