"""What a PDF may ask for: counted before and while it is unfolded."""

from __future__ import annotations

from typing import Any

from seamwright.plugins.api import Limits, SeamwrightError


class Bounds:
    """Budgets of one reading. Raises SeamwrightError (pdf.limit) where one is used up.

    A stream may unfold to a quarter of the limit on bytes, all of them together to half of it:
    what is unfolded stands in memory more than once.
    """

    def __init__(self, limits: Limits, file: str) -> None:
        self._limits = limits
        self._file = file
        self._bytes = limits.bytes // 2
        self._operators = limits.elements
        self._points = limits.points
        self._instances = limits.instances

    @property
    def one_stream(self) -> int:
        """Bytes to which one stream may unfold."""
        return self._limits.bytes // 4

    @property
    def depth(self) -> int:
        return self._limits.depth

    @property
    def text(self) -> int:
        return self._limits.text

    def unfold(self, stream: Any) -> bytes:
        """A stream's bytes."""
        import pikepdf  # noqa: PLC0415 - heavy

        try:
            data: bytes = stream.read_bytes()
        except pikepdf.PdfError as error:
            if "limit" in str(error):
                self.over(
                    "bytes", f"a stream that unfolds to more than {self.one_stream >> 20} MiB"
                )
            raise
        self._bytes -= len(data)
        if self._bytes < 0:
            self.over("bytes", f"streams of more than {self._limits.bytes >> 21} MiB in all")
        return data

    def operators(self, count: int) -> None:
        """Counts operators, a handful at a time."""
        self._operators -= count
        if self._operators < 0:
            self.over("elements", f"more than {self._limits.elements:,} operators")

    def points(self, count: int) -> None:
        """Counts points of paths."""
        self._points -= count
        if self._points < 0:
            self.over("points", f"more than {self._limits.points:,} points")

    def instance(self) -> None:
        """Counts a form that is drawn."""
        self._instances -= 1
        if self._instances < 0:
            self.over("instances", f"forms drawn more than {self._limits.instances:,} times")

    def weighs(self, operators: int, instances: int) -> None:
        """Refuses what would come to too much if it were drawn."""
        if instances > self._limits.instances:
            self.over("instances", f"forms that would be drawn {instances:,} times")
        if operators > self._limits.elements:
            self.over("elements", f"forms that come to {operators:,} operators")

    def nested(self, depth: int, what: str) -> None:
        """Refuses nesting that is too deep."""
        if depth > self._limits.depth:
            self.over("depth", f"{what} nested more than {self._limits.depth} deep")

    def over(self, name: str, what: str) -> None:
        """Raises."""
        raise SeamwrightError.of(
            "pdf.limit",
            f"the file holds {what}",
            file=self._file,
            hint=f"raise it, if you trust the file: --limit {name}=NUMBER",
        )
