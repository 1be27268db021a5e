"""What a job wrote: into a folder of its own first, and from there to its place when all is done.

So nothing of a job that was stopped in the middle is ever seen, and of two jobs that would write
the same file the second is told.
"""

from __future__ import annotations

import hashlib
import os
import re
import shutil
import unicodedata
from collections.abc import Iterable
from pathlib import Path
from typing import TYPE_CHECKING, Final

from seamwright.findings import Finding, SeamwrightError, Severity
from seamwright.plugins.sink import alive, host

from .rows import Output

if TYPE_CHECKING:
    from seamwright.plugins.record import Record

    from .store import Store

_STAGE: Final = re.compile(r"\.seamwright-work-([0-9a-f]{8})-(\d+)")


def outputs_of(record: Record, folder: Path) -> tuple[Output, ...]:
    """The files that a run wrote into `folder`, with digests, in the order of writing."""
    found: dict[str, Output] = {}
    for step in record.steps:
        for row in step.figures.get("files", ()) if step.written else ():
            path = folder / row["file"]
            with path.open("rb") as file:
                digest = hashlib.file_digest(file, "sha256").hexdigest()
            found[row["file"]] = Output(
                file=row["file"], digest=digest, piece=row.get("piece"), size=row.get("size")
            )
    return tuple(found.values())


def digest_of(path: Path) -> str | None:
    """SHA-256 of a file's bytes; None where there is none to read."""
    try:
        with path.open("rb") as file:
            return hashlib.file_digest(file, "sha256").hexdigest()
    except OSError:
        return None


class Placing:
    """The output folder of a batch; made when it is not there.

    out       the folder; overwrite: replace what others put there
    inputs    files that are never written over
    store     knows which files were written by earlier runs: those may be replaced
    """

    def __init__(
        self, out: Path, *, overwrite: bool, inputs: Iterable[Path], store: Store | None
    ) -> None:
        _made(out)
        self.out, self._overwrite, self._store = out, overwrite, store
        self._inputs = {_blind(path) for path in inputs}
        self._taken: dict[str, str] = {}
        self._stage = out / f".seamwright-work-{host()}-{os.getpid()}"
        self._sweep()

    def at(self, number: int) -> Path:
        """The folder in which a job writes."""
        return self._stage / str(number)

    def stage(self, number: int) -> Path:
        """A folder of its own for a job, made empty."""
        path = self.at(number)
        if path.exists():  # a second try: what the first one left is nothing
            shutil.rmtree(path)
        return _made(path)

    def stands(self, folder: str, outputs: Iterable[Output]) -> bool:
        """Whether all of these files are where they were put, unaltered."""
        return all(digest_of(self.out / folder / o.file) == o.digest for o in outputs)

    def claim(self, style: str, folder: str, outputs: Iterable[Output]) -> None:
        """Notes that these places are a style's. Raises SeamwrightError: output.twice."""
        for output in outputs:
            key = _blind(self.out / folder / output.file)
            owner = self._taken.setdefault(key, style)
            if owner != style:
                raise SeamwrightError.of(
                    "output.twice",
                    f'it would write "{output.file}", which is written for {owner} already',
                    hint="give the styles names of their own, or other names to the outputs",
                )

    def place(
        self, style: str, folder: str, stage: Path, outputs: tuple[Output, ...]
    ) -> list[Finding]:
        """Moves a job's files to their places: all or, when one may not be written, none.

        Returns what is to be said. Raises SeamwrightError: output.twice, file.is-input,
        file.exists, file.unwritable.
        """
        self.claim(style, folder, outputs)
        known = self._store.written_at if self._store is not None else lambda path: None
        altered: list[Path] = []
        for output in outputs:
            target = self.out / folder / output.file
            if _blind(target) in self._inputs:
                raise _refused("file.is-input", target, "is an input of this batch")
            if target.is_dir():
                raise _refused("file.exists", target, "is a folder")
            if self._overwrite or not os.path.lexists(target):
                continue
            ours = known(str(target.absolute()))
            if ours is None:
                raise _refused("file.exists", target, "exists already")
            if digest_of(target) not in (ours, output.digest):
                altered.append(target)
        findings = [_kept(path, path.rename(_aside(path))) for path in altered]
        try:
            if self._store is not None:  # first noted, then moved: a kill leaves ours known
                self._store.writes(
                    {str((self.out / folder / o.file).absolute()): o.digest for o in outputs}
                )
            for output in outputs:
                target = self.out / folder / output.file
                target.parent.mkdir(parents=True, exist_ok=True)
                (stage / output.file).replace(target)
        except OSError as error:
            raise SeamwrightError.of(
                "file.unwritable",
                f"what it makes cannot be put in place: {error.strerror or error}",
                hint="see whether the folder may be written to and has room",
            ) from error
        finally:
            shutil.rmtree(stage, ignore_errors=True)
        return findings

    def close(self) -> None:
        """Takes the working folder away."""
        shutil.rmtree(self._stage, ignore_errors=True)

    def _sweep(self) -> None:
        """Removes what killed runs of this machine left behind."""
        if not self.out.is_dir():
            return
        for entry in os.scandir(self.out):
            match = _STAGE.fullmatch(entry.name)
            if match and match[1] == host() and not alive(int(match[2])):
                shutil.rmtree(entry.path, ignore_errors=True)


def _made(folder: Path) -> Path:
    """The folder, made where it is not there. Raises SeamwrightError (file.unwritable)."""
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise SeamwrightError.of(
            "file.unwritable",
            f'the folder "{folder.name}" cannot be made: {error.strerror or error}',
            file=str(folder),
            hint="see whether it may be written there, or give another folder by --out",
        ) from error
    return folder


def _aside(path: Path) -> Path:
    """A free name for a file that somebody altered."""
    number = 1
    while True:
        other = path.with_name(f"{path.stem}.altered-{number}{path.suffix}")
        if not os.path.lexists(other):
            return other
        number += 1


def _kept(path: Path, other: Path) -> Finding:
    return Finding(
        code="output.altered",
        severity=Severity.WARNING,
        message=f'"{path.name}" was altered since it was written; it is made again, and the '
        f'altered file is kept as "{other.name}"',
        file=str(path),
        hint="take over what was meant to stay, and delete it",
    )


def _refused(code: str, target: Path, why: str) -> SeamwrightError:
    return SeamwrightError.of(
        code,
        f'"{target.name}" {why}',
        file=str(target),
        hint="give another folder by --out, or --overwrite to replace it"
        if code == "file.exists"
        else "give another folder by --out",
    )


def _blind(path: Path) -> str:
    return unicodedata.normalize("NFC", os.path.realpath(path)).casefold()
