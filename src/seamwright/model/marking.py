"""What is drawn inside a piece: grain line, darts, internal lines, drill holes, text."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from seamwright.geometry import Curve, Station

Point = tuple[float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class GrainLine:
    """The direction in which the warp runs; from `start` to `end`, mm."""

    start: Point
    end: Point


class InternalKind(StrEnum):
    """What a line inside a piece is for (ASTM D6673 layers 5, 6, 8 to 11, 14, 84 to 87)."""

    INTERNAL = "internal"
    FOLD = "fold"
    SEW = "sew"
    CUTOUT = "cutout"
    STRIPE = "stripe"
    PLAID = "plaid"
    GRADE_REFERENCE = "grade-reference"
    ALTERNATE_GRADE_REFERENCE = "alternate-grade-reference"
    VALIDATION = "validation"


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class InternalLine:
    """A line inside a piece, open or closed.

    layer        the file's own layer or label, kept for the way back
    turn_points, curve_points   joints (by number) that a file marks as such
    """

    kind: InternalKind
    curve: Curve
    name: str = ""
    layer: str = ""
    turn_points: tuple[int, ...] = ()
    curve_points: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class DrillHole:
    """A hole to be drilled. diameter in mm, None where the file does not say."""

    at: Point
    diameter: float | None = None
    name: str = ""
    category: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Dart:
    """A fold that tapers to a point inside the piece.

    left, right  stations of the mouth on the seam line, in outline order
    apex         the dart's point, mm
    The seam line between left and right is the dart's mouth; a walk steps over it.
    """

    name: str
    left: Station
    right: Station
    apex: Point


class TextRole(StrEnum):
    """What a text says."""

    ANNOTATION = "annotation"
    NAME = "name"
    SIZE = "size"
    SYSTEM = "system"


@dataclass(frozen=True, slots=True, kw_only=True)
class Text:
    """A text with its frame.

    at      start of the baseline, mm; height in mm; rotation in degrees
    """

    text: str
    at: Point
    height: float = 5.0
    rotation: float = 0.0
    role: TextRole = TextRole.ANNOTATION
    layer: str = ""
