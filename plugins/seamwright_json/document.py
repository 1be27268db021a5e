"""The document, as types: what may stand where. The published schema is made from these.

Lengths in mm, y up, angles in degrees anticlockwise. A key whose value is the default may be left
out; keys that are not listed here are refused.
"""

from __future__ import annotations

from typing import Annotated, Final, Literal

import msgspec
from msgspec import Meta

from seamwright.model import InternalKind, LineRole, NotchType, SeamLineSource, TextRole

NAME: Final = "seamwright-pattern"
VERSION: Final = 1

Point = Annotated[tuple[float, float], Meta(description="x, y in mm, y up.")]
Station = Annotated[
    tuple[Annotated[int, Meta(ge=0)], Annotated[float, Meta(ge=0.0, le=1.0)]],
    Meta(description="A place on a curve: number of the segment (0-based), parameter in it."),
]
Line = Annotated[LineRole, Meta(description="The line on which the station counts.")]


class Doc(
    msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True, omit_defaults=True
):
    """Base of all tables of the document."""


class Curve(Doc, frozen=True):
    """A chain of segments."""

    closed: bool
    start: Point
    segments: Annotated[
        tuple[Annotated[tuple[float, ...], Meta(min_length=2, max_length=6)], ...],
        Meta(
            min_length=1,
            description="In order; each begins where the one before ends. Two numbers: a "
            "straight line to x, y. Six: a cubic with handles x1, y1 and x2, y2 to x, y. A closed "
            "curve's last segment ends at its start.",
        ),
    ]


class Foreign(Doc, frozen=True):
    """A fragment of a file of another format, kept for the way back."""

    format: str
    where: str
    data: str


class Corner(Doc, frozen=True):
    """A corner of the seam line; its station is the start of a segment."""

    name: str
    station: Station


class Notch(Doc, frozen=True):
    """A notch; depth and width in mm, angle in degrees from the inward normal."""

    name: str
    station: Station
    type: NotchType = NotchType.SLIT
    depth: float | None = None
    width: float | None = None
    angle: float | None = None
    line: Line = LineRole.SEAM
    distance: float = 0.0
    offset: Point = (0.0, 0.0)


class GradePoint(Doc, frozen=True):
    """A point that moves by a grade rule: on the outline (station) or elsewhere (at)."""

    rule: int
    station: Station | None = None
    at: Point | None = None
    line: Line = LineRole.SEAM
    layer: str = ""


class GrainLine(Doc, frozen=True):
    """The direction of the warp."""

    start: Point
    end: Point


class Dart(Doc, frozen=True):
    """A dart: left and right ends of its mouth on the seam line, and its point."""

    name: str
    left: Station
    right: Station
    apex: Point


class InternalLine(Doc, frozen=True):
    """A line inside a piece; turn_points and curve_points are numbers of joints."""

    kind: InternalKind
    curve: Curve
    name: str = ""
    layer: str = ""
    turn_points: tuple[int, ...] = ()
    curve_points: tuple[int, ...] = ()


class DrillHole(Doc, frozen=True):
    """A hole to be drilled."""

    at: Point
    diameter: float | None = None
    name: str = ""
    category: int | None = None


class Text(Doc, frozen=True):
    """A text: start of its baseline, height, rotation."""

    text: str
    at: Point
    height: float = 5.0
    rotation: float = 0.0
    role: TextRole = TextRole.ANNOTATION
    layer: str = ""


class Shape(Doc, frozen=True):
    """A piece in one size. The seam line runs anticlockwise from corner 1."""

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
    foreign: tuple[Foreign, ...] = ()


class Piece(Doc, frozen=True):
    """A piece in all its sizes; quantity is right, left (or all, 0)."""

    name: str
    shapes: tuple[Shape, ...]
    quantity: tuple[int, int] = (1, 0)
    material: str = ""
    category: str = ""
    foreign: tuple[Foreign, ...] = ()


class RunPart(Doc, frozen=True):
    """A stretch of one piece's seam line, through its marks in order."""

    piece: str
    marks: Annotated[tuple[str, ...], Meta(min_length=2)]


class Ease(Doc, frozen=True):
    """The range of ease that is intended, mm."""

    at_least: float
    at_most: float


class Seam(Doc, frozen=True):
    """Two runs that are sewn together; meet: pairs of marks, written as in a plan."""

    name: str
    sew: Annotated[tuple[RunPart, ...], Meta(min_length=1)]
    to: Annotated[tuple[RunPart, ...], Meta(min_length=1)]
    ease: Ease | None = None
    meet: tuple[tuple[str, str], ...] = ()
    cap: Literal["front", "back"] | None = None


class GradeRule(Doc, frozen=True):
    """One rule: dx, dy in mm from the base size, for each size of the table."""

    rule: int
    offsets: tuple[Point, ...]


class GradeRules(Doc, frozen=True):
    """A rule table."""

    name: str = ""
    author: str = ""
    date: str = ""
    sizes: tuple[str, ...] = ()
    base_size: str = ""
    rules: tuple[GradeRule, ...] = ()


class Pattern(Doc, frozen=True):
    """A style."""

    format: Literal["seamwright-pattern"]
    version: Literal[1]
    name: str
    sizes: tuple[str, ...]
    base_size: str
    pieces: tuple[Piece, ...]
    seams: tuple[Seam, ...] = ()
    grade_rules: GradeRules | None = None
    notes: tuple[tuple[str, str], ...] = ()
    foreign: tuple[Foreign, ...] = ()


def schema() -> dict[str, object]:
    """The JSON Schema (2020-12) of the document; data/pattern.schema.json holds it."""
    made = msgspec.json.schema(Pattern)
    made["$schema"] = "https://json-schema.org/draft/2020-12/schema"
    made["title"] = "A sewing pattern in all sizes, lossless (version 1)"
    segments = made["$defs"]["Curve"]["properties"]["segments"]["items"]
    # Neither three, four nor five numbers are a segment.
    segments["oneOf"] = [{"maxItems": 2}, {"minItems": 6}]
    return made
