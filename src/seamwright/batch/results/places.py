"""Where results go: known to be free before the work begins, and never there by half."""

from __future__ import annotations

import os
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import Any, Final

from seamwright.findings import SeamwrightError, did_you_mean
from seamwright.plugins.sink import check_target

TABLES: Final = (".csv", ".parquet", ".xlsx")


def check_places(
    tables: Sequence[str],
    junit: str | None,
    summary: str | None,
    *,
    inputs: Sequence[Path],
    overwrite: bool,
) -> None:
    """Raises SeamwrightError for a table of another kind, a library that is not installed, a file
    that is there already, and one that would replace an input."""
    files = [*tables, *([junit] if junit else [])]
    for number, name in enumerate(files):
        path = Path(name)
        if any(_same(path, Path(other)) for other in files[:number]):
            raise SeamwrightError.of(
                "output.twice", f'"{name}" is asked for twice', file=name,
                hint="give each its own name",
            )  # fmt: skip
        check_target(path, overwrite=overwrite, inputs=inputs)
    for name in tables:
        suffix = Path(name).suffix.lower()
        if suffix not in TABLES:
            raise SeamwrightError.of(
                "output.suffix", f'"{suffix}" is no kind of table', file=name,
                hint=did_you_mean(suffix, TABLES),
            )  # fmt: skip
        needs = {".parquet": "pyarrow", ".xlsx": "xlsxwriter"}.get(suffix)
        if needs is not None:
            _there(needs, name)
    if summary is not None:
        folder = Path(summary)
        if folder.exists() and not folder.is_dir():
            raise SeamwrightError.of(
                "output.exists", f'"{summary}" is a file, not a folder', file=summary,
                hint="name a folder",
            )  # fmt: skip
        if (folder / "index.html").exists() and not overwrite:
            raise SeamwrightError.of(
                "output.exists", f'"{summary}" holds a summary already', file=summary,
                hint="say --overwrite to replace it",
            )  # fmt: skip


def _there(module: str, name: str) -> None:
    from importlib.util import find_spec  # noqa: PLC0415

    if find_spec(module) is None:
        raise SeamwrightError.of(
            "output.library-missing", f'"{Path(name).suffix}" needs {module}', file=name,
            hint="pip install 'seamwright[tables]'",
        )  # fmt: skip


def _same(one: Path, other: Path) -> bool:
    return os.path.realpath(one).casefold() == os.path.realpath(other).casefold()


@contextmanager
def beside(path: Path) -> Iterator[Any]:
    """A binary file beside `path`, put in its place when the block ends well; else taken away.
    A symbolic link in that place is replaced, not followed."""
    part = path.with_name(f".{path.name[:80]}.{os.getpid()}.part")
    part.unlink(missing_ok=True)
    try:
        with part.open("xb") as out:
            yield out
            out.flush()
            os.fsync(out.fileno())
        part.replace(path)
    except OSError as error:
        raise SeamwrightError.of(
            "output.not-written", f"it could not be written: {error.strerror or error}",
            file=str(path), hint="look at room and rights there",
        ) from None  # fmt: skip
    finally:
        part.unlink(missing_ok=True)
