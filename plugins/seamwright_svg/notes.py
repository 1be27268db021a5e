"""Collecting findings while an SVG is read."""

from __future__ import annotations

from dataclasses import dataclass, field

from seamwright.model.recognise import Notes as Findings
from seamwright.model.recognise import count, listed
from seamwright.plugins.api import Context

__all__ = ["Notes", "count", "listed", "notes_for", "tell_counts"]


@dataclass(slots=True)
class Notes(Findings):
    """Findings so far, and counts that become one finding each at the end.

    hidden    names of parts that were dropped because they are hidden
    left_out  tag -> how many elements were not read
    external  references to things outside the file
    nothing   names of shapes without extent
    """

    hidden: list[str] = field(default_factory=list)
    left_out: dict[str, int] = field(default_factory=dict)
    external: list[str] = field(default_factory=list)
    nothing: list[str] = field(default_factory=list)

    def drop(self, tag: str) -> None:
        """Counts an element that is not read."""
        self.left_out[tag] = self.left_out.get(tag, 0) + 1


def notes_for(file: str, context: Context) -> Notes:
    """An empty collection for a file."""
    return Notes(
        file, "svg", context.length, rescale='known = "{id} {length}" scales the drawing by it'
    )


def tell_counts(notes: Notes) -> None:
    """Counts become findings."""
    if notes.hidden:
        notes.warn(
            "svg.hidden",
            f"{count(len(notes.hidden), 'hidden part')} left out: {listed(notes.hidden)}",
            hint="show them in the drawing program, or read with hidden = true",
        )
    if notes.nothing:
        notes.note(
            "svg.no-extent",
            f"{count(len(notes.nothing), 'shape')} without extent left out: "
            f"{listed(notes.nothing)}",
        )
    if notes.external:
        notes.warn(
            "svg.external",
            f"{count(len(notes.external), 'reference')} to other files not followed: "
            f"{listed(notes.external, 3)}",
            hint="what they show is not part of the pattern",
        )
    if notes.left_out:
        counts = [f"{n} {tag}" for tag, n in sorted(notes.left_out.items())]
        notes.warn(
            "svg.not-read",
            f"elements that hold no lines were not read: {listed(counts, 8)}",
            hint="trace images and convert special objects to paths if they matter",
        )
