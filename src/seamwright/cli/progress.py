"""A progress bar on stderr for what lasts over a second, and only on a terminal."""

from __future__ import annotations

import os
import sys
import time
from collections.abc import Iterable, Iterator
from typing import Any, TypeVar

T = TypeVar("T")

PATIENCE = 1.0  # s


def track(items: Iterable[T], total: int, what: str) -> Iterator[T]:
    """The items, one by one; a bar once they have taken longer than a second."""
    if total < 2 or not sys.stderr.isatty() or os.environ.get("CI"):
        yield from items
        return
    start = time.monotonic()
    bar: Any = None
    done = 0
    try:
        for item in items:
            done += 1
            if bar is None and time.monotonic() - start > PATIENCE:
                bar = _bar(what, total)
            if bar is not None:
                bar.update(bar.task_ids[0], completed=done)
            yield item
    finally:
        if bar is not None:
            bar.stop()


def _bar(what: str, total: int) -> Any:
    from rich.console import Console  # noqa: PLC0415 - only a long job on a terminal needs it
    from rich.progress import Progress  # noqa: PLC0415

    bar = Progress(console=Console(stderr=True), transient=True)
    bar.add_task(what, total=total)
    bar.start()
    return bar
