"""Collecting findings while a drawing is read."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

from seamwright.findings import Finding, Severity

from .items import Place


@dataclass(slots=True)
class Notes:
    """Findings so far.

    file    the drawing's display name
    format  its format's short name: codes of what only that format says begin with it
    length  a length in mm as the user reads it
    rescale what to do about a drawing of the wrong size: "{id}" is the thing of known size,
            "{length}" how long it should be
    """

    file: str
    format: str
    length: Callable[[float], str]
    rescale: str = ""
    findings: list[Finding] = field(default_factory=list)

    def error(self, code: str, message: str, node: Place | None = None, **fields: Any) -> None:
        """Something could not be read."""
        self.say(code, Severity.ERROR, message, node, **fields)

    def warn(self, code: str, message: str, node: Place | None = None, **fields: Any) -> None:
        """Somebody should look."""
        self.say(code, Severity.WARNING, message, node, **fields)

    def note(self, code: str, message: str, node: Place | None = None, **fields: Any) -> None:
        """For the record."""
        self.say(code, Severity.NOTE, message, node, **fields)

    def say(
        self, code: str, severity: Severity, message: str, node: Place | None, **fields: Any
    ) -> None:
        """One finding; the line is the place's. A code that starts with a dot is the format's."""
        if node is not None and node.line is not None:
            fields.setdefault("line", node.line)
        if code.startswith("."):
            code = self.format + code
        self.findings.append(
            Finding(code=code, severity=severity, message=message, file=self.file, **fields)
        )


def listed(names: list[str], most: int = 5) -> str:
    """A few names in a sentence, the rest as a count."""
    shown = ", ".join(names[:most])
    return shown + (f" and {len(names) - most} more" if len(names) > most else "")


def count(number: int, noun: str, several: str | None = None) -> str:
    """A count in words that agree: "1 outline", "3 outlines"."""
    return f"{number} {noun if number == 1 else several or noun + 's'}"
