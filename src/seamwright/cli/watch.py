"""`--watch`: the same command again whenever a file that it reads is saved."""

from __future__ import annotations

import glob
import time
from collections.abc import Callable, Iterator, Mapping
from functools import wraps
from pathlib import Path
from typing import Any, Final, TypeVar

import click

from seamwright.findings import SeamwrightError

F = TypeVar("F", bound=Callable[..., Any])
Stamp = tuple[int, int, int]

LOOK: Final = 0.1
"""Seconds between two looks; a save is answered within half a second."""
_LISTS: Final = 1.0
"""Seconds between two listings of folders, which cost more than a look at known files."""


def watching(command: F) -> F:
    """Adds `--watch` to a command. The command keeps its own parameters; those named `files`,
    `plan`, `houses`, `pipeline` and the manifest and list of `batch` say what it reads."""

    @wraps(command)
    def watched(*args: Any, watch: bool, **kwargs: Any) -> int:
        if not watch:
            return int(command(*args, **kwargs))
        if kwargs.get("as_json"):
            raise click.UsageError("--watch and --json do not go together: JSON is one document")

        def act(again: bool) -> int:
            more = {"overwrite": True} if again and "overwrite" in kwargs else {}
            return int(command(*args, **{**kwargs, **more}))

        return _watch(lambda: _read_by(kwargs), act)

    option = click.option(
        "--watch", is_flag=True,
        help="Stay, and do it again whenever a file that is read was saved; Ctrl-C ends.",
    )  # fmt: skip
    return option(watched)  # type: ignore[return-value]


def _watch(paths: Callable[[], list[Path]], act: Callable[[bool], int]) -> int:
    """Acts, and again after each change. The exit status of the last time."""
    status, again = 0, False
    try:
        while True:
            known = paths()
            before = _stamps(known)
            start = time.perf_counter()
            status = _once(act, again)
            again = True
            took = time.perf_counter() - start
            click.echo(f"done in {took:.2f} s; waiting for a change, Ctrl-C ends", err=True)
            # What the command itself wrote is no change; what was saved meanwhile is one.
            if {p: s for p, s in before.items() if s} == _stamps([p for p in known if before[p]]):
                _wait(paths)
    except KeyboardInterrupt:
        click.echo("", err=True)
        return status


def _once(act: Callable[[bool], int], again: bool) -> int:
    from .say import say_error  # noqa: PLC0415 - errors only

    try:
        return act(again)
    except SeamwrightError as error:
        say_error(error)
    except click.ClickException as error:
        if not again:
            raise
        error.show()
    return 2


def _wait(paths: Callable[[], list[Path]]) -> None:
    """Until a file changed, came or went, and then stood still between two looks."""
    known = paths()
    stamps = _stamps(known)
    listed = time.monotonic()
    while True:
        time.sleep(LOOK)
        if time.monotonic() - listed > _LISTS:
            found, listed = paths(), time.monotonic()
            if found != known:
                return
        if _stamps(known) != stamps:
            break
    now = _stamps(known)
    while True:  # editors write in several goes
        time.sleep(LOOK / 2)
        later = _stamps(known)
        if later == now:
            return
        now = later


def _stamps(paths: list[Path]) -> dict[Path, Stamp | None]:
    return {path: _stamp(path) for path in paths}


def _stamp(path: Path) -> Stamp | None:
    try:
        found = path.stat()
    except OSError:
        return None
    return found.st_mtime_ns, found.st_size, found.st_ino


def _read_by(given: Mapping[str, Any]) -> list[Path]:
    """Files that a command with these parameters reads: its files and what lies beside them under
    the same name, its plan, pipeline and rules."""
    found: dict[Path, None] = {}
    for name in given.get("files", ()):
        for path in _files(str(name)):
            found[path] = None
            for other in sorted(path.parent.glob(f"{glob.escape(path.name.split('.')[0])}.*")):
                found[other] = None
    batch = given.get("batch")
    singles = [
        given.get("plan"), given.get("pipeline"), *given.get("houses", ()),
        getattr(batch, "manifest", None), getattr(batch, "listed", None),
    ]  # fmt: skip
    for single in singles:
        if single and Path(single).is_file():
            found[Path(single)] = None
    return list(found)


def _files(name: str) -> Iterator[Path]:
    path = Path(name)
    if path.is_dir():
        yield from sorted(p for p in path.rglob("*") if p.is_file())
    elif path.exists() or not glob.has_magic(name):
        yield path
    else:
        names = glob.glob(name, recursive=True)  # noqa: PTH207 - the pattern may be absolute
        yield from sorted(p for p in map(Path, names) if p.is_file())
