"""Writing a pattern or a report: state the loss, run the writer, put its parts, read them back."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from seamwright.findings import Finding, SeamwrightError, Severity, did_you_mean

from . import registry as registries
from .building import Where, build, revalidated
from .calling import call, signed
from .context import Context, UnitName
from .descriptors import Feature, Format, Part, Report, Writer
from .inputs import suffix_of
from .loss import losses
from .names import Entry, Shelf
from .record import Record
from .registry import Registry
from .sink import check_target, put

if TYPE_CHECKING:
    from seamwright.model import Pattern


@dataclass(frozen=True, slots=True, kw_only=True)
class Written:
    """What was put on disk, and what is to be said of it."""

    paths: tuple[Path, ...]
    findings: tuple[Finding, ...]
    format: Entry[Format] | None = None


def write(
    pattern: Pattern,
    path: str | Path,
    *,
    options: Mapping[str, Any] | Any = None,
    format: str | None = None,
    registry: Registry | None = None,
    units: UnitName = "mm",
    overwrite: bool = False,
    strict: bool = False,
    accepted: Mapping[Feature, str] | None = None,
    read_back: bool = True,
    inputs: Iterable[Path] = (),
    words: bool = False,
    where: str | Where = "",
) -> Written:
    """Writes `pattern` to `path` in the format named, or in the one of its suffix.

    accepted  features whose loss is accepted, each with a reason
    strict    any other loss is an error, and nothing is written
    inputs    files that may never be written over

    Raises SeamwrightError: everything that `put` raises, loss.refused, and the writer's own.
    """
    found = registry or registries.default()
    at = Path(path)
    entry = writer_for(at, found, format=format)
    made = writer_options(entry, options or {}, units=units, words=words, where=where)
    check_target(at, overwrite=overwrite, inputs=inputs)
    asked = in_sizes(pattern, getattr(made, "sizes", ()))
    lost = told(asked, entry, options=made, accepted=accepted, strict=strict, file=str(path))
    if strict and any(f.severity is Severity.ERROR for f in lost):
        raise SeamwrightError(
            Finding(
                code="loss.refused",
                severity=Severity.ERROR,
                message=f"{entry.name} does not carry all of the pattern, and strict was asked for",
                file=str(path),
                hint="write another format, or accept each loss by name",
                plugin=entry.full,
            ),
            others=lost,
        )
    context = Context(units=units, file=str(path))
    result = call(entry, made_by(entry).run, pattern, made, context)
    said = signed(entry, result.findings, entry.thing.codes, file=str(path), also=at.name)
    paths = put_parts(result.parts, at, overwrite=overwrite, inputs=inputs)
    findings = [*lost, *said]
    if read_back:
        findings += _read_again(asked, at, entry, made, context, found)
    return Written(paths=paths, findings=tuple(findings), format=entry)


def write_report(
    record: Record,
    path: str | Path,
    entry: Entry[Report[Any]],
    options: Any,
    *,
    units: UnitName = "mm",
    overwrite: bool = False,
    inputs: Iterable[Path] = (),
) -> Written:
    """Writes a report of a run."""
    at = Path(path)
    check_target(at, overwrite=overwrite, inputs=inputs)
    result = call(entry, entry.thing.run, record, options, Context(units=units, file=str(path)))
    paths = put_parts(result.parts, at, overwrite=overwrite, inputs=inputs)
    return Written(
        paths=paths, findings=tuple(f.but(plugin=f.plugin or entry.full) for f in result.findings)
    )


def in_sizes(pattern: Pattern, sizes: Iterable[str]) -> Pattern:
    """The pattern in those sizes only; itself where none is named. A writer's option `sizes`
    means this everywhere: what was not asked for is no loss."""
    wanted = set(sizes)
    if not wanted:
        return pattern
    pieces = tuple(
        piece.but(shapes=tuple(shape for shape in piece.shapes if shape.size in wanted))
        for piece in pattern.pieces
    )
    kept = tuple(size for size in pattern.sizes if size in wanted)
    base = pattern.base_size if pattern.base_size in wanted or not kept else kept[0]
    return pattern.but(
        pieces=tuple(piece for piece in pieces if piece.shapes), sizes=kept, base_size=base
    )


def told(
    pattern: Pattern,
    entry: Entry[Format],
    *,
    options: Any = None,
    accepted: Mapping[Feature, str] | None = None,
    strict: bool = False,
    file: str | None = None,
) -> list[Finding]:
    """The losses that writing `pattern` with those options will bring."""
    found = losses(pattern, entry.thing, options=options, accepted=accepted, strict=strict)
    return [f.but(file=file, plugin=entry.full) for f in found]


def writer_for(
    path: Path, registry: Registry, *, format: str | None = None, where: Where | None = None
) -> Entry[Format]:
    """The format to write: the one named, else the one of the suffix. Raises SeamwrightError:
    name.unknown, format.no-suffix, format.ambiguous, format.not-written."""
    entry = _by_name_or_suffix(path, registry.formats, format, where)
    if entry.thing.writer is None:
        raise SeamwrightError(
            (where or Where()).finding(
                "format.not-written",
                f"{entry.full} reads files but does not write them",
                ("to",),
                f"formats that can be written: {_suffixes(registry)}",
            )
        )
    return entry


def made_by(entry: Entry[Format]) -> Writer[Any]:
    """The writer of a format that `writer_for` gave."""
    writer = entry.thing.writer
    if writer is None:
        raise AssertionError(f"{entry.full} has no writer")
    return writer


def report_for(
    path: Path, registry: Registry, *, format: str | None = None, where: Where | None = None
) -> Entry[Report[Any]]:
    """The report to write: the one named, else the one of the suffix."""
    return _by_name_or_suffix(path, registry.reports, format, where)


def writer_options(
    entry: Entry[Format],
    options: Mapping[str, Any] | Any,
    *,
    units: UnitName = "mm",
    words: bool = False,
    where: str | Where = "",
) -> Any:
    """The writer's options, built."""
    place = where or f"options of {entry.full}"
    if isinstance(options, Mapping):
        return build(made_by(entry).options, options, where=place, units=units, words=words)
    return revalidated(options, where=place)


def put_parts(
    parts: Iterable[Part], path: Path, *, overwrite: bool, inputs: Iterable[Path]
) -> tuple[Path, ...]:
    """Puts a writer's parts: the file asked for, and those of other suffixes beside it; a part
    that yields stays away where a file lies already."""
    places = [(path.with_suffix(p.suffix) if p.suffix else path, p) for p in parts]
    files = {at: p.data for at, p in places if not (p.suffix and p.yields and at.exists())}
    if not files:
        raise AssertionError("a writer made no part")
    put(files, overwrite=overwrite, inputs=inputs)
    return tuple(files)


def _by_name_or_suffix(
    path: Path, shelf: Shelf[Any], name: str | None, where: Where | None
) -> Entry[Any]:
    if name is not None:
        return shelf.find(name, where=where)
    suffix = suffix_of(path)
    found = [e for e in shelf if suffix in e.thing.suffixes and _makes(e.thing)]
    ours = [e for e in found if e.plugin.bundled]
    chosen = found if len(found) == 1 else ours
    if len(chosen) == 1:
        return chosen[0]
    place = where or Where(file=str(path))
    if found:
        names = " or ".join(f'"{e.full}"' for e in found)
        raise SeamwrightError(
            place.finding(
                "format.ambiguous",
                f'several plugins write "{suffix}" files',
                ("to",),
                f"say which by format: {names}",
            )
        )
    suffixes = [s for e in shelf if _makes(e.thing) for s in e.thing.suffixes]
    hint = (
        did_you_mean(suffix, suffixes)
        if suffix
        else "give the name a suffix: " + ", ".join(dict.fromkeys(suffixes))
    )
    raise SeamwrightError(
        place.finding(
            "format.no-suffix",
            f'nothing here writes "{suffix}" files'
            if suffix
            else f'"{path.name}" has no suffix that says in which form it is to be written',
            ("to",),
            hint,
        )
    )


def _makes(thing: Any) -> bool:
    return isinstance(thing, Report) or thing.writer is not None


def _suffixes(registry: Registry) -> str:
    return ", ".join(s for e in registry.formats if e.thing.writer for s in e.thing.suffixes)


def _read_again(
    pattern: Pattern,
    path: Path,
    entry: Entry[Format],
    options: Any,
    context: Context,
    registry: Registry,
) -> list[Finding]:
    from .readback import compare  # noqa: PLC0415 - numpy only when something was written
    from .reading import read  # noqa: PLC0415

    if entry.thing.reader is None:
        return [
            Finding(
                code="readback.none",
                severity=Severity.NOTE,
                message=f"not read back: {entry.name} has no reader",
                file=str(path),
                plugin=entry.full,
            )
        ]
    try:
        again = read(path, format=entry.full, registry=registry, units=context.units)
    except SeamwrightError as error:
        return [
            error.finding,
            Finding(
                code="loss.unannounced",
                severity=Severity.ERROR,
                message=f"what {entry.full} wrote cannot be read back: {error.finding.message}",
                file=str(path),
                hint=f"a fault of {entry.plugin.origin}: do not rely on the file",
                plugin=entry.full,
            ),
        ]
    found = compare(pattern, again.pattern, entry, options=options, context_length=context.length)
    return [f.but(file=str(path)) for f in found]
