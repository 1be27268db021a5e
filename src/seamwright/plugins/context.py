"""What a plugin is handed besides the pattern: the user's units, the limits, the display name."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

UnitName = Literal["mm", "cm", "in"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Limits:
    """Bounds on what a file may ask for; a user can raise each (`--limit name=value`).

    bytes      size of a file after decompression
    elements   elements, entities or tags
    depth      nesting of groups, blocks and uses
    instances  copies made by expanding uses, inserts and arrays
    points     vertices in one curve
    text       characters of one text
    toml       bytes of a seam plan, a pipeline, house rules or a manifest
    seconds    time that one reader may take over one file
    """

    bytes: int = 256 * 1024 * 1024
    elements: int = 2_000_000
    depth: int = 256
    instances: int = 1_000_000
    points: int = 5_000_000
    text: int = 100_000
    toml: int = 4 * 1024 * 1024
    seconds: int = 300


@dataclass(frozen=True, slots=True, kw_only=True)
class Context:
    """Where a plugin runs.

    units   the user's unit for messages
    file    display name of the input, for findings
    limits  bounds on what input may ask for
    selected  names of the pieces that a step is to act on; None for all. A step is handed their
            neighbours too; what it does to those is put back.
    """

    units: UnitName = "mm"
    file: str | None = None
    limits: Limits = field(default_factory=Limits)
    selected: frozenset[str] | None = None

    def acts_on(self, piece: str) -> bool:
        """Whether a step is to act on the piece: a step that goes through all pieces asks, so
        that a neighbour which it could not do does not stop it."""
        return self.selected is None or piece in self.selected

    def length(self, mm: float) -> str:
        """A length as the user reads it: "9.5 mm", "0.95 cm", "3/8 in"."""
        from seamwright.units import format_length  # noqa: PLC0415 - messages are rare

        return format_length(mm, self.units)
