"""A bound on the time that work takes, without the work's help.

A second thread waits, and raises an exception in the first when time is up. It comes between two
instructions of Python: a single long call into a library ends first.
"""

from __future__ import annotations

import ctypes
import threading
from collections.abc import Iterator
from contextlib import contextmanager, suppress

from seamwright.findings import SeamwrightError


class OutOfTime(BaseException):
    """Time is up: not an Exception, so that the work's own handlers let it through."""


@contextmanager
def at_most(seconds: float, *, file: str | None = None) -> Iterator[None]:
    """Raises SeamwrightError file.too-slow when the block takes longer."""
    thread = threading.get_ident()
    lock = threading.Lock()
    over = fired = False

    def ring() -> None:
        nonlocal fired
        with lock:
            if not over:
                fired = True
                _throw(thread, OutOfTime)

    timer = threading.Timer(seconds, ring)
    timer.daemon = True
    try:
        try:
            timer.start()  # it may ring before this comes back
            yield
        finally:
            with suppress(OutOfTime):
                with lock:
                    over = True
                timer.cancel()
                if fired:
                    _let_come()
    except OutOfTime:
        pass  # said below
    if fired:
        raise SeamwrightError.of(
            "file.too-slow",
            f"reading took more than {seconds:g} seconds and was stopped",
            file=file,
            limit=float(seconds),
            hint=f"if you trust the file, raise the limit: --limit seconds={2 * seconds:g}",
        )


def _let_come() -> None:
    """Gives an exception that is on its way the few instructions in which it comes. It must not be
    taken back instead: the interpreter would then look for it for ever."""
    for _ in range(1000):
        threading.get_ident()


def _throw(thread: int, kind: type[BaseException]) -> None:
    """Raises `kind` in a thread."""
    ctypes.pythonapi.PyThreadState_SetAsyncExc(ctypes.c_ulong(thread), ctypes.py_object(kind))
