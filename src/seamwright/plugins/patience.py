"""How long a plugin may take to import and to say what it offers."""

from __future__ import annotations

import os
import signal
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from types import FrameType
from typing import Final

SECONDS: Final = 10.0
"""A bundled plugin takes milliseconds; a slow disk and a heavy import are allowed for."""


class TookTooLong(BaseException):
    """The time is over. No Exception, so that a plugin's own `except Exception` cannot hold it."""


def patience() -> float:
    """Seconds: SEAMWRIGHT_PLUGIN_SECONDS where it is a number above nought, else `SECONDS`."""
    try:
        told = float(os.environ.get("SEAMWRIGHT_PLUGIN_SECONDS", ""))
    except ValueError:
        return SECONDS
    return told if 0.0 < told < float("inf") else SECONDS


@contextmanager
def at_most(seconds: float) -> Iterator[None]:
    """Raises TookTooLong inside the block when the time is over.

    By an alarm, which interrupts Python code and waiting alike. Where there is none (another
    thread than the main one, a system without alarms, a timer that somebody else runs), the block
    takes as long as it takes.
    """
    if (
        not hasattr(signal, "setitimer")
        or threading.current_thread() is not threading.main_thread()
        or signal.getitimer(signal.ITIMER_REAL)[0] > 0.0
    ):
        yield
        return

    def over(number: int, frame: FrameType | None) -> None:
        raise TookTooLong(f"it did not finish in {seconds:g} s")

    before = signal.signal(signal.SIGALRM, over)
    # Again every second, should a bare `except` have swallowed the first.
    signal.setitimer(signal.ITIMER_REAL, seconds, 1.0)
    try:
        yield
    finally:
        signal.setitimer(signal.ITIMER_REAL, 0.0)
        signal.signal(signal.SIGALRM, before)
