"""A progress bar on stderr for what lasts over a second, and only on a terminal."""

from __future__ import annotations

import os
import sys
from collections.abc import Iterable, Iterator
from threading import Lock, Timer
from typing import Any, TypeVar

T = TypeVar("T")

PATIENCE = 1.0  # s


def track(items: Iterable[T], total: int, what: str) -> Iterator[T]:
    """The items, one by one; a bar once that, and what is done with them, has taken longer than a
    second."""
    if not sys.stderr.isatty() or os.environ.get("CI"):
        yield from items
        return
    bar = _LateBar(what, total)
    try:
        for item in items:
            yield item
            bar.advance()
    finally:
        bar.stop()


class _LateBar:
    """A bar that shows itself after a while, from a thread of its own: one long step counts too."""

    def __init__(self, what: str, total: int) -> None:
        self._what, self._total, self._done = what, total, 0
        self._bar: Any = None
        self._stopped = False
        self._lock = Lock()
        self._timer = Timer(PATIENCE, self._show)
        self._timer.daemon = True
        self._timer.start()

    def advance(self) -> None:
        """One item more is done."""
        with self._lock:
            self._done += 1
            if self._bar is not None:
                self._bar.update(self._bar.task_ids[0], completed=self._done)

    def stop(self) -> None:
        """Takes the bar away."""
        self._timer.cancel()
        with self._lock:
            self._stopped = True
            if self._bar is not None:
                self._bar.stop()

    def _show(self) -> None:
        from rich.console import Console  # noqa: PLC0415 - only a long job on a terminal needs it
        from rich.progress import Progress  # noqa: PLC0415

        with self._lock:
            if self._stopped:
                return
            self._bar = Progress(console=Console(stderr=True), transient=True)
            # Of a single file nobody knows how far it is: the bar pulses.
            total = self._total if self._total > 1 else None
            self._bar.add_task(self._what, total=total, completed=self._done)
            self._bar.start()
