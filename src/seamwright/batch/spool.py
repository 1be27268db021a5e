"""The results of one run, on disk: in memory is only where each of them lies.

The file has no name, so nothing is left behind however a run ends, and nobody else's tidying of
the store can take a result away before it is told.
"""

from __future__ import annotations

import tempfile
import zlib
from collections.abc import Iterator

from .rows import JobResult, unpacked


class Spool:
    """Results by number, put in in any order and read in that of their numbers."""

    def __init__(self) -> None:
        self._file = tempfile.TemporaryFile(prefix="seamwright-")  # noqa: SIM115 - closed by `close`
        self._places: dict[int, tuple[int, int]] = {}
        self._end = 0

    def put(self, number: int, body: bytes) -> None:
        """Keeps a compressed result; a second one of a number counts instead of the first."""
        self._file.seek(self._end)
        self._file.write(body)
        self._places[number] = (self._end, len(body))
        self._end += len(body)

    def get(self, number: int) -> JobResult:
        """The result of a number. Raises KeyError."""
        start, length = self._places[number]
        self._file.seek(start)
        return unpacked(zlib.decompress(self._file.read(length)))

    def __iter__(self) -> Iterator[JobResult]:
        for number in sorted(self._places):
            yield self.get(number)

    def __len__(self) -> int:
        return len(self._places)

    def close(self) -> None:
        """Lets the results go."""
        self._file.close()
