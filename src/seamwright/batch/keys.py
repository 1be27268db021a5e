"""The key of a result: everything that it depends on, as one digest.

That is the content of the file, of what lies beside it and is read with it, of the plan and the
pipeline; what was asked; and the versions of all code that has a hand in it. Of our own code and of
every plugin the files themselves count, by size and time, so that a plugin in the making does not
need a new version number for each try.
"""

from __future__ import annotations

import hashlib
import os
import sys
from collections import deque
from collections.abc import Iterable, Iterator
from concurrent.futures import Future, ThreadPoolExecutor
from importlib.metadata import PackageNotFoundError, version
from importlib.util import find_spec
from pathlib import Path
from typing import Final

import msgspec

from seamwright import __version__
from seamwright.house.layers import BESIDE
from seamwright.plugins.inputs import stem_of
from seamwright.plugins.registry import Registry

from . import machine
from .job import Job, Task

_LIBRARIES: Final = ("numpy", "scipy", "shapely", "ezdxf", "msgspec", "pikepdf")
_AHEAD: Final = 32  # files
_pack = msgspec.msgpack.Encoder(order="deterministic")


class Keys:
    """Makes the keys of one batch."""

    def __init__(self, task: Task, registry: Registry) -> None:
        self.limit = task.limits.bytes
        self._common = _pack.encode((task, code_of(registry)))
        self._suffixes = {
            suffix.lower()
            for entry in registry.formats
            if entry.thing.reader is not None
            for suffix in entry.thing.reader.beside
        }
        self._folders: dict[Path, dict[tuple[str, str], list[Path]]] = {}
        self._digests: dict[Path, str | None] = {}
        self._plans: dict[tuple[str, str], list[str | None]] = {}

    def each(self, jobs: Iterable[Job]) -> Iterator[tuple[str, str] | None]:
        """The key of each job, in order; files are read ahead, as many at once as there are
        cores."""
        waiting: deque[tuple[Job, Future[str | None]]] = deque()
        with ThreadPoolExecutor(min(8, machine.cpus())) as pool:
            for job in jobs:
                waiting.append((job, pool.submit(self._own, job)))
                if len(waiting) >= _AHEAD:
                    first, digest = waiting.popleft()
                    yield self._made(first, digest.result())
            for job, digest in waiting:
                yield self._made(job, digest.result())

    def of(self, job: Job) -> tuple[str, str] | None:
        """The key, and the digest of the file; None when its content cannot be had, so that no
        result of it can be kept."""
        return self._made(job, self._own(job))

    def _own(self, job: Job) -> str | None:
        return self._digest(Path(job.path)) if job.trouble is None else None

    def _made(self, job: Job, own: str | None) -> tuple[str, str] | None:
        if own is None:
            return None
        path = Path(job.path)
        plan = Path(job.plan) if job.plan is not None else None
        about = [(p.name, self._once(p)) for p in self._beside(path)]
        named = (
            job.style, job.file, job.pipeline, job.pipeline_name, job.folder, job.stem, job.shown
        )  # fmt: skip
        plans = [str(plan), self._once(plan)] if plan is not None else []
        if job.pipeline_file is not None:
            which = (job.pipeline, job.pipeline_file)
            if which not in self._plans:
                self._plans[which] = self._pipelines_plan(job)
            plans += self._plans[which]
        whole = hashlib.sha256(self._common)
        whole.update(_pack.encode((named, own, about, plans)))
        return whole.hexdigest(), own

    def _pipelines_plan(self, job: Job) -> list[str | None]:
        """The plan that a pipeline names."""
        from seamwright.pipeline import Pipeline  # noqa: PLC0415 - runs only

        file = Path(job.pipeline_file or "")
        plan = Pipeline.loads(job.pipeline, name=job.pipeline_name, file=file).plan
        return [] if plan is None else [plan, self._once(file.parent / plan)]

    def _once(self, path: Path) -> str | None:
        if path not in self._digests:
            self._digests[path] = self._digest(path)
        return self._digests[path]

    def _digest(self, path: Path) -> str | None:
        try:
            with path.open("rb") as file:
                if os.fstat(file.fileno()).st_size > self.limit:
                    return None
                return hashlib.file_digest(file, "sha256").hexdigest()
        except (OSError, ValueError):
            return None

    def _beside(self, path: Path) -> Iterable[Path]:
        """Files that may be read with this one: of the same stem, and of a suffix that a reader
        asks for; and its seam plan. Each folder is listed once."""
        folder = path.parent
        if folder not in self._folders:
            listing: dict[tuple[str, str], list[Path]] = {}
            for other in sorted(folder.iterdir()):
                suffix = other.suffix.lower()
                if suffix in self._suffixes:
                    listing.setdefault((other.stem.casefold(), suffix), []).append(other)
                elif other.name.endswith(".plan.toml"):
                    stem = other.name.removesuffix(".plan.toml")
                    listing.setdefault((stem, ".plan.toml"), []).append(other)
                elif other.name.endswith(BESIDE):
                    listing.setdefault((other.name.removesuffix(BESIDE), BESIDE), []).append(other)
            self._folders[folder] = listing
        listing = self._folders[folder]
        stem = stem_of(path)
        for suffix in sorted(self._suffixes):
            yield from listing.get((stem.casefold(), suffix), ())
        yield from listing.get((stem, ".plan.toml"), ())
        yield from listing.get((stem, BESIDE), ())


def code_of(registry: Registry) -> list[tuple[str, ...]]:
    """All code that has a hand in a result: ours, the plugins', the libraries'."""
    found = [("python", sys.version), ("seamwright", __version__, _stamp("seamwright"))]
    for row in registry.rows:
        stamp = _stamp(row.module.split(":")[0]) if row.status == "loaded" else ""
        found.append((row.name, row.distribution, row.version, row.status, stamp))
    for name in _LIBRARIES:
        try:
            found.append((name, version(name)))
        except PackageNotFoundError:
            continue
    return [tuple(map(str, one)) for one in found]


def _stamp(module: str) -> str:
    """Names, sizes and times of the files of a module's package."""
    try:
        spec = find_spec(module.split(".")[0])
    except (ImportError, ValueError):
        return ""
    if spec is None:
        return ""
    files: list[Path] = []
    if spec.submodule_search_locations:
        for place in spec.submodule_search_locations:
            files += (p for p in Path(place).rglob("*") if p.suffix not in (".pyc", ""))
    elif spec.origin is not None:
        files.append(Path(spec.origin))
    about = []
    for file in sorted(files):
        try:
            known = file.stat()
        except OSError:
            continue
        about.append((str(file), known.st_size, known.st_mtime_ns))
    return hashlib.sha256(_pack.encode(about)).hexdigest()
