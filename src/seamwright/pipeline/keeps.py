"""The names of what a step may promise to keep, and how far each may move. Light: no arrays.

How each is measured stands in `invariants.py`.
"""

from __future__ import annotations

from typing import Any, Final

from seamwright.findings import SeamwrightError, did_you_mean
from seamwright.plugins.descriptors import Step
from seamwright.plugins.names import Entry
from seamwright.units import parse_length

LIMITS: Final[dict[str, float]] = {
    "bicep-width": 1e-9,
    "bodice": 1e-9,
    "other-pieces": 1e-9,
    "run-lengths": 0.05,
    "seam-lengths": 1e-6,
    "area": 1e-6,
    "cloth-area": 1e-6,
    "notch-stations": 0.05,
    "grain": 1e-9,
    "segment-count": 0.0,
    "corners": 1e-9,
    "outline-closed": 1e-9,
    "cut-quantity": 0.0,
}
"""Name -> how far it may move: mm, but mm2 for area and cloth-area, a count for segment-count and
cut-quantity."""

MEANING: Final[dict[str, str]] = {
    "bicep-width": "distance between the underarm points of the sleeve",
    "bodice": "control points of every piece but the sleeve (the selected pieces, without a cap)",
    "other-pieces": "all that is drawn of every piece on which the step was not to act (its "
    "selection, and the pieces that its options name), and how often it is cut",
    "run-lengths": "each side of each seam, to what a tape can tell",
    "seam-lengths": "each side of each seam, exactly",
    "area": "area of each outline",
    "cloth-area": "area of each outline less what lies between the legs of its darts",
    "notch-stations": "each notch's way along the outline to its nearest corner",
    "grain": "both ends of each grain line",
    "segment-count": "an outline with as many segments in all sizes still has",
    "corners": "the same corners in the same order at the same places",
    "outline-closed": "the gap between an outline's end and its start",
    "cut-quantity": "how often each piece is cut",
}
"""Name -> what is measured."""


def limit_of(keep: str) -> tuple[str, float]:
    """Name and limit of what a step declares: "run-lengths", or with a limit of its own,
    "run-lengths 0.01 mm". Raises ValueError for an unknown name or an unreadable limit."""
    name, _, own = keep.partition(" ")
    if name not in LIMITS:
        raise ValueError(f'"{name}" is no invariant; {did_you_mean(name, LIMITS)}')
    return name, parse_length(own) if own.strip() else LIMITS[name]


def check_keeps(entry: Entry[Step[Any]]) -> None:
    """Raises SeamwrightError when a step declares to keep what nobody can verify."""
    for keep in entry.thing.keeps:
        try:
            limit_of(keep)
        except ValueError as error:
            raise SeamwrightError.of(
                "plugin.unknown-invariant",
                f"{entry.full} declares to keep {error}",
                hint=f"a fault of {entry.plugin.origin}: tell its author",
                plugin=entry.full,
            ) from None
