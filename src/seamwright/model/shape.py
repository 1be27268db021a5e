"""One piece in one size."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from enum import StrEnum
from typing import Any, TypeVar

from seamwright.geometry import Curve, Station

from .foreign import Foreign
from .marking import Dart, DrillHole, GrainLine, InternalLine, Text
from .marks import Corner, GradePoint, Notch


class SeamLineSource(StrEnum):
    """Where the seam line came from. CUT_LINE means: the file gives only a cut line, which stands
    in for the seam line until somebody states the allowance; every check says so."""

    FILE = "file"
    DERIVED = "derived"
    CUT_LINE = "cut-line"


@dataclass(frozen=True, slots=True, kw_only=True)
class Edge:
    """The seam line between two neighbouring corners (the whole outline where there is none).

    number  0-based, in outline order: edge i runs from corner i to corner i + 1
    name    "underarm > wrist", as a plan would write the run
    """

    number: int
    name: str
    start: str
    end: str
    length: float


@dataclass(frozen=True, slots=True, weakref_slot=True, eq=False, kw_only=True)
class Shape:
    """One piece in one size.

    seam_line     closed, anticlockwise, starting at corner 1; what is walked
    cut_line      closed, anticlockwise; None where it is neither given nor made
    corners       in outline order, corner 1 first, each at a joint of the seam line
    notches       by length from corner 1 (those on the cut line after those on the seam line)
    allowances    seam allowance in mm for each edge, in edge order; empty where unknown
    curve_points  stations on the seam line that a file marks as curve points
    mirrored_half True where the outline is one half of a symmetrical piece and `fold_line` (an
                  internal line of kind fold) is the axis
    flags         small facts a file states about the piece in this size (rotation, flip, ...)
    """

    size: str
    seam_line: Curve
    cut_line: Curve | None = None
    corners: tuple[Corner, ...] = ()
    notches: tuple[Notch, ...] = ()
    grain_line: GrainLine | None = None
    darts: tuple[Dart, ...] = ()
    internal_lines: tuple[InternalLine, ...] = ()
    drill_holes: tuple[DrillHole, ...] = ()
    texts: tuple[Text, ...] = ()
    allowances: tuple[float, ...] = ()
    grade_points: tuple[GradePoint, ...] = ()
    curve_points: tuple[Station, ...] = ()
    seam_line_source: SeamLineSource = SeamLineSource.FILE
    mirrored_half: bool = False
    flags: tuple[tuple[str, str], ...] = ()
    foreign: tuple[Foreign, ...] = field(default=())

    def but(self, **changes: Any) -> Shape:
        """A new shape with some fields changed; everything else is shared."""
        return replace(self, **changes)

    def corner(self, name: str) -> Corner:
        """The corner of that name. Raises KeyError."""
        return _named(self.corners, name)

    def notch(self, name: str) -> Notch:
        """The notch of that name. Raises KeyError."""
        return _named(self.notches, name)

    @property
    def edges(self) -> tuple[Edge, ...]:
        """The seam line's edges in outline order, with their lengths."""
        curve = self.seam_line
        if not self.corners:
            return (Edge(number=0, name="outline", start="", end="", length=curve.length),)
        at = [float(curve.cumulative[c.station.segment]) for c in self.corners]
        total = curve.length
        found = []
        for i, corner in enumerate(self.corners):
            j = (i + 1) % len(self.corners)
            length = at[j] - at[i] if j else at[j] + total - at[i]
            after = self.corners[j]
            found.append(
                Edge(
                    number=i,
                    name=f"{corner.name} > {after.name}",
                    start=corner.name,
                    end=after.name,
                    length=length,
                )
            )
        return tuple(found)

    def edge_curve(self, number: int) -> Curve:
        """The open curve of edge `number`; the closed outline itself where there is no corner."""
        curve = self.seam_line
        if not self.corners:
            return curve
        start = self.corners[number].station.segment
        end = self.corners[(number + 1) % len(self.corners)].station.segment
        return curve.part(float(curve.cumulative[start]), float(curve.cumulative[end]))


_Mark = TypeVar("_Mark", Corner, Notch)


def _named(marks: Iterable[_Mark], name: str) -> _Mark:
    for mark in marks:
        if mark.name == name:
            return mark
    raise KeyError(name)
