"""Marks on an outline: corners, notches, grade points.

A mark is a station (segment and parameter), never a loose coordinate, so it cannot drift off its
line. Stations count along the seam line unless the mark says that it sits on the cut line.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from seamwright.geometry import Station


class LineRole(StrEnum):
    """The line that a mark sits on."""

    SEAM = "seam"
    CUT = "cut"


class NotchType(StrEnum):
    """Notch shapes of ASTM D6673 (layers 4 and 80 to 83); slit and V share layer 4 there."""

    SLIT = "slit"
    V = "v"
    T = "t"
    CASTLE = "castle"
    CHECK = "check"
    U = "u"


@dataclass(frozen=True, slots=True, kw_only=True)
class Corner:
    """A place where the outline turns, or that a plan or a file names as one.

    Corners lie at joints: `station.t` is 0 and `station.segment` starts at the corner.
    """

    name: str
    station: Station


@dataclass(frozen=True, slots=True, kw_only=True)
class Notch:
    """A mark that must meet its partner when the seam is sewn.

    depth, width  mm, None where the file does not say
    angle         degrees from the inward normal, anticlockwise; None means square to the line
    line          the line on which `station` counts
    distance      how far (mm) the file's point lay off the line before it was put on it
    offset        the file's point less the point on the line (x, y in mm) where that is no more
                  than a file's rounding; kept for the way back, nothing else uses it
    """

    name: str
    station: Station
    type: NotchType = NotchType.SLIT
    depth: float | None = None
    width: float | None = None
    angle: float | None = None
    line: LineRole = LineRole.SEAM
    distance: float = 0.0
    offset: tuple[float, float] = (0.0, 0.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class GradePoint:
    """A point that moves by a grade rule.

    station is set for a point on the outline; `at` (x, y in mm) for a point elsewhere (a drill
    hole, an internal line's end). Exactly one of the two is given. `layer` is the file's own
    layer of the number, kept for the way back.
    """

    rule: int
    station: Station | None = None
    at: tuple[float, float] | None = None
    line: LineRole = LineRole.SEAM
    layer: str = ""
