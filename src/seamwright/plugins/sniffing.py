"""Which format a file is in: by its first bytes, never by trying readers, never by their order."""

from __future__ import annotations

from seamwright.findings import SeamwrightError

from .calling import call
from .descriptors import Format, Guess
from .inputs import Input
from .names import Entry
from .registry import Registry


def recognise(source: Input, registry: Registry, *, format: str | None = None) -> Entry[Format]:
    """The format of a file, or the one named. All formats that can be read are asked; "yes" beats
    "maybe", and among several of a kind the suffix decides.

    Raises SeamwrightError: format.unknown, format.ambiguous, format.not-read.
    """
    if format is not None:
        return _readable(registry.formats.find(format), source)
    head = source.head
    claims: dict[Guess, list[Entry[Format]]] = {Guess.YES: [], Guess.MAYBE: []}
    failed: list[SeamwrightError] = []
    for entry in registry.formats:
        if entry.thing.reader is None:
            continue
        try:
            guess = call(entry, entry.thing.sniff, head)
        except SeamwrightError as error:
            failed.append(error)
            continue
        if guess in claims:
            claims[guess].append(entry)
    for claim in (claims[Guess.YES], claims[Guess.MAYBE]):
        by_suffix = [e for e in claim if head.suffix in e.thing.suffixes]
        found = by_suffix or claim
        if len(found) == 1:
            return found[0]
        if found:
            raise _ambiguous(source, found)
    raise _unknown(source, registry, failed)


def by_suffix(path_suffix: str, registry: Registry) -> list[Entry[Format]]:
    """Formats that say that files of this suffix are theirs."""
    return [e for e in registry.formats if path_suffix in e.thing.suffixes]


def _readable(entry: Entry[Format], source: Input) -> Entry[Format]:
    if entry.thing.reader is None:
        raise SeamwrightError.of(
            "format.not-read",
            f"{entry.full} writes files but does not read them",
            file=source.name,
            plugin=entry.full,
        )
    return entry


def _ambiguous(source: Input, found: list[Entry[Format]]) -> SeamwrightError:
    names = " or ".join(e.full for e in found)
    return SeamwrightError.of(
        "format.ambiguous",
        f'"{source.path.name}" could be {names}',
        file=source.name,
        hint="say which: --format NAME",
    )


def _unknown(source: Input, registry: Registry, failed: list[SeamwrightError]) -> SeamwrightError:
    suffix = source.head.suffix
    named = by_suffix(suffix, registry)
    readable = sorted({s for e in registry.formats if e.thing.reader for s in e.thing.suffixes})
    hint = "files that can be read: " + (", ".join(readable) or "none, no reader is installed")
    if named and named[0].thing.reader is None:
        hint = f"{named[0].full} writes {suffix} files but does not read them"
    elif named:
        what = _looks_like(source.data)
        hint = f"by its suffix it should be {named[0].name}, but its first bytes are {what}"
    lost = [r for r in registry.rows if r.status != "loaded"]
    mine = [r for r in lost if suffix and r.name.lstrip("_") == suffix[1:]] or lost
    if mine and not named:
        row = mine[0]
        hint += (
            f"; it may belong to the plugin {row.name} of {row.origin}, which is not loaded "
            f"({row.status}: {row.reason})"
        )
    error = SeamwrightError.of(
        "format.unknown",
        f'no reader knows the file "{source.path.name}"',
        file=source.name,
        hint=hint,
    )
    return SeamwrightError(error.finding, others=[f.finding for f in failed])


def _looks_like(data: bytes) -> str:
    start = data[:512].lstrip(b"\xef\xbb\xbf \t\r\n").lower()
    for sign, name in (
        (b"<!doctype html", "a web page"), (b"<html", "a web page"), (b"%pdf", "a PDF"),
        (b"\x89png", "a PNG picture"), (b"\xff\xd8\xff", "a JPEG picture"),
        (b"pk\x03\x04", "a ZIP"),
    ):  # fmt: skip
        if start.startswith(sign):
            return name
    shown = data[:16].decode("ascii", "replace").replace("\ufffd", "?")
    return repr("".join(c if c.isprintable() else "?" for c in shown))
