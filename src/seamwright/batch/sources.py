"""Which files a batch is made of: names, folders, patterns of names, a list in a file.

A folder stands for all files below it whose suffix one of the installed readers knows; hidden ones
and seam plans are left out. A file that is reached by two names counts once. A name that no file
can be read under is a style that fails with its reason, not a batch that fails.
"""

from __future__ import annotations

import glob
import os
import stat
import sys
from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Final

from seamwright.findings import Finding, SeamwrightError, Severity
from seamwright.plugins.context import Limits
from seamwright.plugins.inputs import bounded_bytes, stem_of, suffix_of

_LISTS: Final = Limits(bytes=64 * 1024 * 1024)


@dataclass(frozen=True, slots=True, kw_only=True)
class Style:
    """One style of a batch.

    file      as the user called it, with slashes; path: absolute, links not followed
    name      unique in the batch; the file where none was given
    root      the folder below which its place is mirrored in the output folder
    plan, pipeline   as a manifest gives them, absolute; None: by rule
    trouble   why it cannot be read, where that is known from its name
    """

    file: str
    path: Path
    name: str
    root: Path
    plan: Path | None = None
    pipeline: Path | None = None
    trouble: Finding | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Gathered:
    """The styles in order, and what is to be said of how they were found."""

    styles: tuple[Style, ...]
    findings: tuple[Finding, ...] = ()


def gather(
    names: Sequence[str], *, suffixes: Collection[str], leave: Path | None = None
) -> Gathered:
    """The styles that are meant by the names of a command line.

    suffixes  of the files in folders that count (".dxf")
    leave     a folder that is not walked into: where outputs go

    Raises SeamwrightError (batch.empty) for a folder or a pattern of names without a file, or
    for no name at all.
    """
    walker = Walker({s.lower() for s in suffixes}, leave)
    found: list[Style] = []
    for name in names:
        some = list(walker.of(name))
        if not some:
            raise SeamwrightError.of(
                "batch.empty",
                f'there is no pattern file in "{name}"'
                if Path(name).is_dir()
                else f'no file is called "{name}"',
                hint=f"files that count end in {', '.join(sorted(walker.suffixes))}"
                if Path(name).is_dir()
                else "see whether the folder is the right one; quote patterns of names",
            )
        found += some
    if not found:
        raise SeamwrightError.of("batch.empty", "there is no file to look at", hint="name some")
    styles, notes = once(found)
    return Gathered(styles=_mirrored(styles), findings=(*walker.findings, *notes))


def listed(source: str) -> list[str]:
    """The names in a list, one a line ("-": standard input); empty lines and those that begin
    with "#" are left out. Names are relative to the list's own folder. Raises SeamwrightError."""
    if source == "-":
        text, folder = sys.stdin.read(), Path()
    else:
        path = Path(source)
        raw = bounded_bytes(path, _LISTS)
        text, folder = raw.decode("utf-8-sig", errors="surrogateescape"), path.parent
    lines = [line.strip("\r\n") for line in text.split("\n")]
    names = [line for line in lines if line.strip() and not line.startswith("#")]
    if not names:
        raise SeamwrightError.of(
            "batch.empty", "the list names no file", file=source, hint="write one name a line"
        )
    return [name if Path(name).is_absolute() else str(folder / name) for name in names]


def once(styles: Iterable[Style]) -> tuple[list[Style], list[Finding]]:
    """Each file once (with the same plan and pipeline), and a note for each further name."""
    seen: dict[tuple[object, ...], Style] = {}
    notes: list[Finding] = []
    for style in styles:
        key = (os.path.realpath(style.path), style.plan, style.pipeline)
        first = seen.setdefault(key, style)
        if first is not style:
            notes.append(
                Finding(
                    code="batch.same-file",
                    severity=Severity.NOTE,
                    message=f"the same file as {first.file}: it is looked at once",
                    file=style.file,
                )
            )
    return list(seen.values()), notes


def is_pattern_of_names(name: str) -> bool:
    """Whether a name stands for several files: it holds * ? or [ and is no file itself."""
    return glob.has_magic(name) and not os.path.lexists(name)


def is_folder(name: str) -> bool:
    """Whether a name is a folder to be walked."""
    return Path(name).is_dir()


class Walker:
    """Finds files, and minds where it has been."""

    def __init__(self, suffixes: set[str], leave: Path | None) -> None:
        self.suffixes = suffixes
        self.findings: list[Finding] = []
        self._leave = None if leave is None else os.path.realpath(leave)

    def of(self, name: str) -> Iterator[Style]:
        """The styles that one name stands for."""
        if is_pattern_of_names(name):
            root = _fixed_part(name)
            for match in sorted(glob.glob(name, recursive=True)):  # noqa: PTH207 - names as typed
                if not Path(match).is_dir() or suffix_of(Path(match)) in self.suffixes:
                    yield self._style(match, root)
            return
        path = Path(name)
        if path.is_dir() and (suffix_of(path) not in self.suffixes or name.endswith(os.sep)):
            yield from self._below(name, path)
        else:
            yield self._style(name, path.parent)

    def _below(self, name: str, root: Path) -> Iterator[Style]:
        been = {os.path.realpath(root)}
        other = 0
        for folder, folders, files in os.walk(root, followlinks=True, onerror=self._closed):
            keep = []
            for below in sorted(folders):
                place = os.path.realpath(Path(folder) / below)
                if below.startswith(".") or place == self._leave:
                    continue
                if place in been:
                    self._note(
                        "batch.link-loop",
                        "a link to a folder that was walked already: not followed",
                        str(Path(folder) / below),
                    )
                    continue
                been.add(place)
                keep.append(below)
                if suffix_of(Path(below)) in self.suffixes and not any(
                    (Path(folder) / below).iterdir()
                ):
                    yield self._style(str(Path(folder) / below), root)
            folders[:] = keep
            for file in sorted(files):
                if file.startswith("."):
                    continue
                if suffix_of(Path(file)) in self.suffixes:
                    yield self._style(str(Path(folder) / file), root)
                elif not file.endswith(".toml"):
                    other += 1
        if other:
            self._note(
                "batch.left-out",
                f"{other} file{'s' if other > 1 else ''} of other kinds left alone",
                name,
            )

    def _closed(self, error: OSError) -> None:
        self.findings.append(
            Finding(
                code="batch.folder-closed",
                severity=Severity.ERROR,
                message=f"a folder cannot be looked into: {error.strerror}",
                file=str(error.filename),
                hint="see whether you may read it",
            )
        )

    def _note(self, code: str, message: str, file: str) -> None:
        self.findings.append(Finding(code=code, severity=Severity.NOTE, message=message, file=file))

    def _style(self, name: str, root: Path) -> Style:
        shown = Path(name).as_posix()
        path = whole_path(Path(name))
        return Style(
            file=shown,
            path=path,
            name=shown,
            root=whole_path(root),
            trouble=_trouble(path, shown),
        )


def whole_path(path: Path) -> Path:
    """The path from the root, without "..", links left as they are: a plan lies beside the name
    that the user gave, and nothing leads out of the output folder."""
    return Path(os.path.normpath(path.absolute()))


def _trouble(path: Path, shown: str) -> Finding | None:
    """What is no file: it would hang, or have no end."""
    try:
        mode = path.stat().st_mode
    except OSError:
        return None  # reading it says best what is wrong
    if stat.S_ISREG(mode) or stat.S_ISDIR(mode):
        return None
    return Finding(
        code="file.not-regular",
        severity=Severity.ERROR,
        message=f'"{path.name}" is no file but a pipe or a device',
        file=shown,
        hint="write what comes out of it into a file",
    )


def _fixed_part(pattern: str) -> Path:
    """The folder in front of the first part with a * ? or [."""
    parts = Path(pattern).parts
    fixed: list[str] = []
    for part in parts[:-1]:
        if glob.has_magic(part):
            break
        fixed.append(part)
    return Path(*fixed) if fixed else Path()


def _mirrored(styles: Sequence[Style]) -> tuple[Style, ...]:
    """All styles with one root: the folder that all of theirs have in common."""
    root = Path(os.path.commonpath([style.root for style in styles]))
    return tuple(replace(style, root=root) for style in styles)


def places(styles: Sequence[Style]) -> list[tuple[str, str]]:
    """(folder below the output folder, stem) for each style: the tree is mirrored, and in one
    folder no two stems are alike, not even on a file system that is blind to case.

    Files of one stem are told apart by their suffix ("blouse-svg", "blouse-dxf"), then by number.
    """
    from seamwright.plugins.filenames import folded  # noqa: PLC0415 - runs only

    found: list[tuple[str, str]] = []
    for style in styles:
        try:
            folder = style.path.parent.relative_to(style.root).as_posix()
        except ValueError:
            folder = ""
        found.append(("" if folder == "." else folder, stem_of(style.path)))

    def key(place: tuple[str, str]) -> tuple[str, str]:
        return folded(place[0]), folded(place[1])

    def crowd() -> dict[tuple[str, str], int]:
        counts: dict[tuple[str, str], int] = {}
        for place in found:
            counts[key(place)] = counts.get(key(place), 0) + 1
        return counts

    first = crowd()
    for i, style in enumerate(styles):
        if first[key(found[i])] > 1:
            suffix = suffix_of(style.path).removeprefix(".") or "file"
            found[i] = (found[i][0], f"{found[i][1]}-{suffix}")
    taken: set[tuple[str, str]] = set()
    for i, (folder, stem) in enumerate(found):
        number, free = 2, stem
        while key((folder, free)) in taken:
            free, number = f"{stem}-{number}", number + 1
        found[i] = (folder, free)
        taken.add(key(found[i]))
    return found
