"""Putting bytes on disk: beside and then renamed, all or nothing, never over the input.

A process that is killed in the middle leaves the old file as it was; its half-written file beside
is swept away by the next one that writes there.
"""

from __future__ import annotations

import hashlib
import os
import platform
import re
import stat
import unicodedata
from collections.abc import Iterable, Mapping
from functools import cache
from itertools import count
from pathlib import Path
from typing import Final

from seamwright.findings import SeamwrightError

_PART: Final = re.compile(r"\.seamwright-([0-9a-f]{8})-(\d+)-(\d+)\.part")
_numbers: Final = count()
_open: Final[set[str]] = set()  # names of the parts that this process is writing


def put(
    files: Mapping[Path, bytes], *, overwrite: bool = False, inputs: Iterable[Path] = ()
) -> None:
    """Writes all of `files` or none.

    overwrite  replace what is there already
    inputs     files that must not be written over, whatever `overwrite` says

    Raises SeamwrightError: file.is-input, file.exists, file.no-folder, file.unwritable.
    """
    sources = list(inputs)
    for path in files:
        check_target(path, overwrite=overwrite, inputs=sources)
    parts: list[tuple[Path, Path]] = []
    try:
        for path, data in files.items():
            target = _target(path)
            parts.append((_write_beside(target, data), target))
        for part, target in parts:
            part.replace(target)
    except OSError as error:
        raise _unwritable(error, next(iter(files))) from error
    finally:
        for part, _ in parts:
            part.unlink(missing_ok=True)
            _open.discard(part.name)


def check_target(path: Path, *, overwrite: bool = False, inputs: Iterable[Path] = ()) -> None:
    """Whether a file may be written at `path`: raises SeamwrightError when it may not."""
    for source in inputs:
        if same_file(path, source):
            raise SeamwrightError.of(
                "file.is-input",
                f'"{path.name}" is the file that is being read; it is never written over',
                file=str(path),
                hint="give the output another name",
            )
    if path.is_dir():
        raise SeamwrightError.of(
            "file.exists",
            f'"{path.name}" is a folder',
            file=str(path),
            hint="give the name of a file in it",
        )
    if not overwrite and os.path.lexists(path):
        raise SeamwrightError.of(
            "file.exists",
            f'"{path.name}" exists already',
            file=str(path),
            hint="give another name, or --overwrite (overwrite = true) to replace it",
        )
    if not path.parent.is_dir():
        raise SeamwrightError.of(
            "file.no-folder",
            f'there is no folder "{path.parent}"',
            file=str(path),
            hint="make the folder first, or give another place",
        )


def same_file(a: Path, b: Path) -> bool:
    """Whether two paths lead to one file, by link too, and also where they would on a file
    system that is blind to case."""
    try:
        if a.samefile(b):
            return True
    except OSError:
        pass
    return _blind(a) == _blind(b)


def _blind(path: Path) -> str:
    return unicodedata.normalize("NFC", os.path.realpath(path)).casefold()


def _target(path: Path) -> Path:
    """Where a link leads, so that the link itself stays."""
    return path.resolve() if path.is_symlink() else path


def _write_beside(target: Path, data: bytes) -> Path:
    _sweep(target.parent)
    part = target.parent / f".seamwright-{host()}-{os.getpid()}-{next(_numbers)}.part"
    _open.add(part.name)
    try:
        number = os.open(part, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o666)
        with os.fdopen(number, "wb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        if target.exists():
            part.chmod(stat.S_IMODE(target.stat().st_mode))
    except BaseException:
        part.unlink(missing_ok=True)
        _open.discard(part.name)
        raise
    return part


def _sweep(folder: Path) -> None:
    """Removes what killed processes of this machine left behind."""
    for entry in os.scandir(folder):
        match = _PART.fullmatch(entry.name)
        if match is None or match[1] != host() or entry.name in _open:
            continue
        if int(match[2]) == os.getpid() or not alive(int(match[2])):
            Path(entry.path).unlink(missing_ok=True)


def alive(pid: int) -> bool:
    """Whether a process of that number runs on this machine."""
    if os.name != "posix":
        return True  # asking by signal 0 would end the process there
    try:
        os.kill(pid, 0)
    except ProcessLookupError:
        return False
    except OSError:
        return True
    return True


@cache
def host() -> str:
    """This machine, as eight signs that tell nothing of it."""
    return hashlib.sha256(platform.node().encode()).hexdigest()[:8]


def _unwritable(error: OSError, path: Path) -> SeamwrightError:
    return SeamwrightError.of(
        "file.unwritable",
        f'"{path.name}" cannot be written: {error.strerror or error}',
        file=str(path),
        hint="see whether the folder may be written to and has room; nothing was changed",
    )
