"""The seam plan as data: what the plan's file says, before any pattern is looked at."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Any, Final

from seamwright.model.seam import Seam

#: Where a plan names no range of ease, a seam may differ by this much either way, mm (1/16 in;
#: the accuracy of a careful worker in "10 Patternwork Skills", home-sewing magazine, issue 200,
#: Dec 2018/Jan 2019). `ease = "5 mm"` in a plan means 5 mm, this much either way.
DEFAULT_TOLERANCE: Final = 1.5

Place = tuple["str | int", ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class PiecePlan:
    """The names of one piece's marks, in order from corner 1; an empty name leaves the number.

    corners, notches  None where the plan says nothing about them
    """

    corners: tuple[str, ...] | None = None
    notches: tuple[str, ...] | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class SeamPlan:
    """What a plan's file says.

    pieces  piece name -> names of its marks
    seams   as written: names are those of the file, not yet looked up in a pattern
    file    display name, for messages
    lines   where each entry stands in the file (1-based), by its place: ("seam", 0, "sew")
    same_as the plan's file beside this one that serves this style too; then nothing else is said
    Two plans are equal when pieces and seams are.
    """

    pieces: Mapping[str, PiecePlan] = field(default_factory=dict)
    seams: tuple[Seam, ...] = ()
    file: str | None = field(default=None, compare=False)
    lines: Mapping[Place, int] = field(default_factory=dict, compare=False, repr=False)
    same_as: str | None = None

    def __post_init__(self) -> None:
        object.__setattr__(self, "pieces", MappingProxyType(dict(self.pieces)))
        object.__setattr__(self, "lines", MappingProxyType(dict(self.lines)))

    def __reduce__(self) -> tuple[Any, ...]:
        # A mapping proxy does not pickle.
        return _rebuilt, (
            dict(self.pieces), self.seams, self.file, dict(self.lines), self.same_as
        )  # fmt: skip

    def __bool__(self) -> bool:
        return bool(self.pieces or self.seams)

    def line(self, *place: str | int) -> int | None:
        """The line of an entry, or of the nearest entry round it."""
        for outer in _outward(place):
            if outer in self.lines:
                return self.lines[outer]
        return None


def _outward(place: Place) -> Iterator[Place]:
    for n in range(len(place), 0, -1):
        yield place[:n]


def _rebuilt(
    pieces: dict[str, PiecePlan],
    seams: tuple[Seam, ...],
    file: str | None,
    lines: dict[Place, int],
    same_as: str | None = None,
) -> SeamPlan:
    return SeamPlan(pieces=pieces, seams=seams, file=file, lines=lines, same_as=same_as)
