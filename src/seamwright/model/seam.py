"""Runs and seams: which stretch of outline is sewn to which, with how much ease."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from typing import Literal

CapSide = Literal["front", "back"]


@dataclass(frozen=True, slots=True, kw_only=True)
class RunPart:
    """A stretch of one piece's seam line, from the first mark through all others to the last.

    Between two neighbouring marks there are two ways round the outline. The rule: the way that
    meets the given marks in order; with only two marks the way that passes fewer corners (darts
    that are known are not counted), and if both pass as many, the shorter one in the base size.
    A mark between the two ("underarm > notch-2 > shoulder") says it outright.
    """

    piece: str
    marks: tuple[str, ...]

    def __str__(self) -> str:
        return f"{self.piece}: " + " > ".join(self.marks)


@dataclass(frozen=True, slots=True, kw_only=True)
class Run:
    """One or several stretches, in sewing order: the armhole is the back's and then the front's."""

    parts: tuple[RunPart, ...]

    def __iter__(self) -> Iterator[RunPart]:
        return iter(self.parts)

    @property
    def pieces(self) -> tuple[str, ...]:
        """Names of the pieces that the run touches, in order, each once."""
        return tuple(dict.fromkeys(part.piece for part in self.parts))

    def __str__(self) -> str:
        return " + ".join(str(part) for part in self.parts)


@dataclass(frozen=True, slots=True, kw_only=True)
class Ease:
    """The ease that is intended, in mm: length of the `sew` side less that of the `to` side."""

    at_least: float
    at_most: float

    def __post_init__(self) -> None:
        if self.at_least > self.at_most:
            raise ValueError(f"ease at least {self.at_least} is above at most {self.at_most}")


@dataclass(frozen=True, slots=True, kw_only=True)
class Seam:
    """Two runs that are sewn together.

    sew, to  start at the ends that meet
    ease     the range intended; None: judge by the default tolerance
    meet     pairs of notch names (on the sew side, on the to side) that must meet; a name may be
             qualified by its piece ("Back: notch-2") where a run crosses pieces
    cap      "back" or "front" for the halves of a sleeve cap: the sleeve is on the sew side and
             both halves end at the shoulder point
    """

    name: str
    sew: Run
    to: Run
    ease: Ease | None = None
    meet: tuple[tuple[str, str], ...] = field(default=())
    cap: CapSide | None = None

    @property
    def pieces(self) -> tuple[str, ...]:
        """Names of all pieces that the seam touches."""
        return tuple(dict.fromkeys((*self.sew.pieces, *self.to.pieces)))


def run_of(parts: Iterable[RunPart]) -> Run:
    """A run of the given parts."""
    return Run(parts=tuple(parts))
