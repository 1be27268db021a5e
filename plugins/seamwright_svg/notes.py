"""Collecting findings while a drawing is read."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from seamwright.plugins.api import Context, Finding, Severity

from .tree.parse import Node


@dataclass(slots=True)
class Notes:
    """Findings so far, and counts that become one finding each at the end.

    hidden    names of parts that were dropped because they are hidden
    left_out  tag -> how many elements were not read
    external  references to things outside the file
    nothing   names of shapes without extent
    """

    file: str
    context: Context
    findings: list[Finding] = field(default_factory=list)
    hidden: list[str] = field(default_factory=list)
    left_out: dict[str, int] = field(default_factory=dict)
    external: list[str] = field(default_factory=list)
    nothing: list[str] = field(default_factory=list)

    def error(self, code: str, message: str, node: Node | None = None, **fields: Any) -> None:
        """Something could not be read."""
        self.say(code, Severity.ERROR, message, node, **fields)

    def warn(self, code: str, message: str, node: Node | None = None, **fields: Any) -> None:
        """Somebody should look."""
        self.say(code, Severity.WARNING, message, node, **fields)

    def note(self, code: str, message: str, node: Node | None = None, **fields: Any) -> None:
        """For the record."""
        self.say(code, Severity.NOTE, message, node, **fields)

    def say(
        self, code: str, severity: Severity, message: str, node: Node | None, **fields: Any
    ) -> None:
        """One finding; the line is the element's."""
        if node is not None:
            fields.setdefault("line", node.line)
        self.findings.append(
            Finding(code=code, severity=severity, message=message, file=self.file, **fields)
        )

    def drop(self, tag: str) -> None:
        """Counts an element that is not read."""
        self.left_out[tag] = self.left_out.get(tag, 0) + 1

    def length(self, mm: float) -> str:
        """A length in the user's units."""
        return self.context.length(mm)


def listed(names: list[str], most: int = 5) -> str:
    """A few names in a sentence, the rest as a count."""
    shown = ", ".join(names[:most])
    return shown + (f" and {len(names) - most} more" if len(names) > most else "")


def count(number: int, noun: str, several: str | None = None) -> str:
    """A count in words that agree: "1 outline", "3 outlines"."""
    return f"{number} {noun if number == 1 else several or noun + 's'}"
