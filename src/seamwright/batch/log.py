"""A log in JSON lines: what happened when, one event a line, whole lines only."""

from __future__ import annotations

import json
import os
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from seamwright.findings import SeamwrightError


class Log:
    """Writes events to a file, behind what stands in it. Raises SeamwrightError (file.unwritable)
    when it cannot be opened."""

    def __init__(self, path: Path) -> None:
        try:
            self._file = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_APPEND, 0o666)
        except OSError as error:
            raise SeamwrightError.of(
                "file.unwritable",
                f"the log cannot be written: {error.strerror}",
                file=str(path),
                hint="give it another place",
            ) from error

    def write(self, event: str, **about: Any) -> None:
        """One line, with the time in UTC in front."""
        row = {"time": datetime.now(UTC).isoformat(timespec="milliseconds"), "event": event}
        line = json.dumps({**row, **about}, ensure_ascii=False) + "\n"
        # One write of one line: two runs that share a log do not mix their lines.
        os.write(self._file, line.encode("utf-8", "backslashreplace"))

    def close(self) -> None:
        """Closes the file."""
        os.close(self._file)
