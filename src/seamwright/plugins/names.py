"""Full and short names: "svg/svg", and "svg" as long as there is no doubt.

A bundled thing keeps its short name when a stranger's thing has the same; the stranger's is
reached by its full name. Two strangers make a short name ambiguous, which is an error that lists
both. Nothing is renumbered, nothing overwritten.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from typing import Generic, TypeVar

from seamwright.findings import Finding, SeamwrightError, Severity, did_you_mean

from .building import Where
from .loading import PluginRow

T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class Entry(Generic[T]):
    """One format, step or report and the plugin that brought it."""

    name: str
    thing: T
    plugin: PluginRow

    @property
    def full(self) -> str:
        """plugin/thing: never ambiguous."""
        return f"{self.plugin.name}/{self.name}"


class Shelf(Generic[T]):
    """All formats, all steps or all reports, by name.

    what     "format", "step" or "report", for messages
    trouble  says which plugins could not be loaded, for the message about an unknown name
    """

    def __init__(
        self, what: str, entries: Iterable[Entry[T]], trouble: Callable[[str], str] = lambda _: ""
    ) -> None:
        self.what = what
        self._entries = tuple(sorted(entries, key=lambda e: (not e.plugin.bundled, e.full)))
        self._by_full = {e.full: e for e in self._entries}
        self._trouble = trouble

    def __iter__(self) -> Iterator[Entry[T]]:
        return iter(self._entries)

    def __len__(self) -> int:
        return len(self._entries)

    def __contains__(self, name: object) -> bool:
        return isinstance(name, str) and bool(self._candidates(name))

    @property
    def names(self) -> tuple[str, ...]:
        """The shortest name by which each entry can be reached, in order."""
        return tuple(self.shortest(e) for e in self._entries)

    def shortest(self, entry: Entry[T]) -> str:
        """The short name where it leads to this entry, else the full one."""
        return entry.name if self._candidates(entry.name) == [entry] else entry.full

    def find(self, name: str, *, where: Where | None = None) -> Entry[T]:
        """The entry of that short or full name. Raises SeamwrightError (name.unknown,
        name.ambiguous)."""
        place = where or Where()
        found = self._candidates(name)
        if len(found) == 1:
            return found[0]
        if found:
            full = " or ".join(f'"{e.full}"' for e in found)
            raise SeamwrightError(
                place.finding(
                    "name.ambiguous",
                    f'several plugins bring a {self.what} called "{name}"',
                    ("use",),
                    f"say which: {full}",
                )
            )
        raise SeamwrightError(
            place.finding(
                "name.unknown",
                f'there is no {self.what} called "{name}"',
                ("use",),
                "; ".join(s for s in (did_you_mean(name, self.names), self._trouble(name)) if s),
            )
        )

    def clashes(self) -> list[Finding]:
        """One note for each stranger's thing whose short name leads elsewhere."""
        return [
            Finding(
                code="plugin.name-clash",
                severity=Severity.NOTE,
                message=f'the {self.what} "{e.name}" of {e.plugin.origin} has a name that is taken',
                hint=f'use its full name "{e.full}"',
                plugin=e.plugin.name,
            )
            for e in self._entries
            if self.shortest(e) != e.name and not e.plugin.bundled
        ]

    def _candidates(self, name: str) -> list[Entry[T]]:
        if name in self._by_full:
            return [self._by_full[name]]
        found = [e for e in self._entries if e.name == name]
        ours = [e for e in found if e.plugin.bundled]
        return ours if len(ours) == 1 else found
