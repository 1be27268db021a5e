"""How far a batch is: a bar on a terminal, a line now and then elsewhere; all on stderr."""

from __future__ import annotations

import os
import sys
import time
from typing import Any, Final

import click

from seamwright.batch.engine import Event

PATIENCE: Final = 1.0  # s before a bar shows itself
_EVERY: Final = 10.0  # s between two lines


def progress(what: str, total: int) -> Lines | Bar:
    """A bar where stderr is a terminal (and no build server's), lines elsewhere."""
    terminal = sys.stderr.isatty() and not os.environ.get("CI")
    if terminal and os.environ.get("TERM") != "dumb":
        return Bar(what, total)
    return Lines(what, total)


class Lines:
    """A plain line every ten seconds: nothing that overwrites, nothing in colour."""

    def __init__(self, what: str, total: int) -> None:
        self._what, self._total = what, total
        self._start = self._last = time.monotonic()
        self._work = 0

    def __call__(self, event: Event) -> None:
        now = time.monotonic()
        self._work += event.what == "done"
        if now - self._last < _EVERY or event.done == self._total:
            return
        self._last = now
        rate = self._work / (now - self._start)
        left = f", about {_time((self._total - event.done) / rate)} left" if rate else ""
        click.echo(
            f"{self._what}: {event.done} of {self._total}, {event.failures} not done, "
            f"{rate:.1f} a second{left}",
            err=True,
        )

    def stop(self) -> None:
        """Nothing to take away."""


class Bar:
    """A bar with rate, time left and failures so far, once it has lasted a second."""

    def __init__(self, what: str, total: int) -> None:
        self._what, self._total = what, total
        self._start = time.monotonic()
        self._work = 0
        self._bar: Any = None

    def __call__(self, event: Event) -> None:
        now = time.monotonic()
        self._work += event.what == "done"
        if self._bar is None:
            if now - self._start < PATIENCE:
                return
            self._show()
        rate = self._work / (now - self._start)
        left = _time((self._total - event.done) / rate) if rate else "?"
        self._bar.update(
            self._bar.task_ids[0],
            completed=event.done,
            rate=f"{rate:.1f} a second",
            left=f"{left} left",
            bad=f"{event.failures} not done" if event.failures else "",
        )

    def stop(self) -> None:
        """Takes the bar away."""
        if self._bar is not None:
            self._bar.stop()
            self._bar = None

    def _show(self) -> None:
        from rich.console import Console  # noqa: PLC0415 - only a long job on a terminal needs it
        from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn  # noqa: PLC0415

        self._bar = Progress(
            TextColumn("{task.description}"),
            BarColumn(),
            MofNCompleteColumn(),
            TextColumn("{task.fields[rate]}"),
            TextColumn("{task.fields[left]}"),
            TextColumn("[red]{task.fields[bad]}"),
            console=Console(stderr=True),
            transient=True,
        )
        self._bar.add_task(self._what, total=self._total, rate="", left="", bad="")
        self._bar.start()


def _time(seconds: float) -> str:
    if seconds < 90:
        return f"{seconds:.0f} s"
    if seconds < 5400:
        return f"{seconds / 60:.0f} min"
    return f"{seconds / 3600:.1f} h"
