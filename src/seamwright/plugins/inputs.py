"""Opening an input: bounded bytes, unzipped, with a name to show; and what stands beside it.

The core alone opens files. A reader gets bytes, never a path.
"""

from __future__ import annotations

import hashlib
import os
import zlib
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from seamwright.findings import SeamwrightError, did_you_mean

from .context import Limits
from .descriptors import Head

HEAD: Final = 4096
_GZIP: Final = b"\x1f\x8b"


@dataclass(frozen=True, slots=True, kw_only=True)
class Input:
    """One file, opened and unzipped.

    name    what the user calls it, for findings; `path.name` is what a reader is told
    digest  SHA-256 of the bytes as they stand on disk
    """

    path: Path
    name: str
    data: bytes
    digest: str

    @property
    def head(self) -> Head:
        """What a sniff sees."""
        return Head(name=self.path.name, suffix=suffix_of(self.path), data=self.data[:HEAD])


def open_input(path: str | Path, *, limits: Limits | None = None) -> Input:
    """Raises SeamwrightError: file.missing, file.is-folder, file.unreadable, file.empty,
    file.too-large, file.damaged-gzip."""
    at = Path(path)
    raw = bounded_bytes(at, limits or Limits())
    if not raw:
        raise SeamwrightError.of(
            "file.empty",
            f'"{at.name}" is empty (0 bytes)',
            file=str(path),
            hint="export or copy it again",
        )
    data = unzipped(raw, at, limits or Limits()) if raw.startswith(_GZIP) else raw
    return Input(path=at, name=str(path), data=data, digest=hashlib.sha256(raw).hexdigest())


def bounded_bytes(path: Path, limits: Limits, *, limit: str = "bytes") -> bytes:
    """The file's bytes, not one more than the limit of that name is read."""
    most: int = getattr(limits, limit)
    try:
        if path.is_dir():
            raise SeamwrightError.of(
                "file.is-folder",
                f'"{path.name}" is a folder',
                file=str(path),
                hint="name the files in it",
            )
        with path.open("rb") as file:
            # Not up to the limit at once: a buffer of that size would be laid out whole.
            known = min(os.fstat(file.fileno()).st_size, most)
            raw = file.read(known + 1)
            if len(raw) > known:  # it grew, or does not say how long it is
                raw += file.read(most + 1 - known)
    except FileNotFoundError:
        raise _missing(path) from None
    except (OSError, ValueError) as error:
        text = error.strerror if isinstance(error, OSError) else str(error)
        raise SeamwrightError.of(
            "file.unreadable",
            f'"{path.name}" cannot be read: {text}',
            file=str(path),
            hint="see whether you may read it",
        ) from error
    if len(raw) > most:
        raise _too_large(path, limits, limit)
    return raw


def unzipped(raw: bytes, path: Path, limits: Limits) -> bytes:
    """The bytes out of gzip, all members, never more than the limit."""
    out, total = [], 0
    rest = raw
    try:
        while rest.startswith(_GZIP):
            unzip = zlib.decompressobj(wbits=31)
            block = unzip.decompress(rest, limits.bytes + 1 - total)
            total += len(block)
            out.append(block)
            if total > limits.bytes:
                raise _too_large(path, limits)
            if not unzip.eof:
                raise zlib.error("it ends too soon")
            rest = unzip.unused_data.lstrip(b"\0")
    except zlib.error as error:
        raise SeamwrightError.of(
            "file.damaged-gzip",
            f'"{path.name}" is compressed, and damaged: {error}',
            file=str(path),
            hint="export or copy it again",
        ) from error
    return b"".join(out)


def suffix_of(path: Path) -> str:
    """The suffix in lower case, with the dot; what stands before ".gz" counts."""
    name = path.with_suffix("") if path.suffix.lower() == ".gz" else path
    return name.suffix.lower()


def stem_of(path: Path) -> str:
    """The name without its suffix, and without ".gz"."""
    return Path(path.stem).stem if path.suffix.lower() == ".gz" else path.stem


def beside(path: Path, suffixes: Iterable[str], limits: Limits) -> dict[str, bytes]:
    """Bytes of the files with the same stem and one of `suffixes` (in whatever case) beside
    `path`; those that are missing are left out."""
    wanted = {suffix.lower() for suffix in suffixes}
    if not wanted:
        return {}
    stem = stem_of(path).casefold()
    found: dict[str, bytes] = {}
    for other in sorted(path.absolute().parent.iterdir()):
        suffix = other.suffix.lower()
        if suffix in wanted and suffix not in found and other.stem.casefold() == stem:
            raw = bounded_bytes(other, limits)
            found[suffix] = unzipped(raw, other, limits) if raw.startswith(_GZIP) else raw
    return found


def plan_beside(path: Path) -> Path | None:
    """The seam plan `<stem>.plan.toml` beside a pattern, if there is one."""
    plan = path.with_name(stem_of(path) + ".plan.toml")
    return plan if plan.is_file() else None


def _missing(path: Path) -> SeamwrightError:
    try:
        names = [p.name for p in path.absolute().parent.iterdir() if p.is_file()]
        hint = did_you_mean(path.name, names) if names else "the folder is empty"
    except OSError:
        hint = f'there is no folder "{path.parent}"'
    return SeamwrightError.of(
        "file.missing", f'there is no file "{path.name}"', file=str(path), hint=hint
    )


def _too_large(path: Path, limits: Limits, limit: str = "bytes") -> SeamwrightError:
    most: int = getattr(limits, limit)
    return SeamwrightError.of(
        "file.too-large",
        f'"{path.name}" holds more than {most:,} bytes'
        + (" once it is unpacked" if limit == "bytes" else ""),
        file=str(path),
        limit=float(most),
        hint=f"raise the limit if the file can be trusted: --limit {limit}=N",
    )
