"""What a pattern uses of what patterns can hold: the first half of saying what a format drops."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Final

from .descriptors import Feature

if TYPE_CHECKING:
    from seamwright.model import Pattern, Piece, Shape

Place = tuple[float, float]

_NUMBERED: Final = re.compile(r"(corner|notch)-\d+")
_NOTCHES: Final[Mapping[str, Feature]] = {
    "slit": Feature.NOTCH_SLIT, "v": Feature.NOTCH_V, "t": Feature.NOTCH_T,
    "castle": Feature.NOTCH_CASTLE, "check": Feature.NOTCH_CHECK, "u": Feature.NOTCH_U,
}  # fmt: skip
_LINES: Final[Mapping[str, Feature]] = {
    "internal": Feature.INTERNAL_LINE, "fold": Feature.FOLD_LINE, "sew": Feature.SEW_LINE,
    "cutout": Feature.CUTOUT, "stripe": Feature.STRIPE_PLAID, "plaid": Feature.STRIPE_PLAID,
    "grade-reference": Feature.GRADE_REFERENCE,
    "alternate-grade-reference": Feature.GRADE_REFERENCE, "validation": Feature.VALIDATION,
}  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class Used:
    """How often a feature occurs, and where.

    pieces, sizes  names, each once, in the pattern's order; empty for what belongs to the whole
    place          the first place in mm, where there is one
    """

    count: int
    pieces: tuple[str, ...] = ()
    sizes: tuple[str, ...] = ()
    place: Place | None = None


def used(pattern: Pattern, *, format: str = "") -> dict[Feature, Used]:
    """Every feature that the pattern uses, in the order of `Feature`.

    format  short name of the format that will be written: what was kept of that format itself is
            given back to it and is no foreign data there
    """
    counts: dict[Feature, int] = {}
    pieces: dict[Feature, dict[str, None]] = {}
    sizes: dict[Feature, dict[str, None]] = {}
    places: dict[Feature, Place] = {}
    for feature, count in _of_the_whole(pattern, format):
        counts[feature] = counts.get(feature, 0) + count
    for piece in pattern.pieces:
        for feature, count in _of_a_piece(piece, format):
            counts[feature] = counts.get(feature, 0) + count
            pieces.setdefault(feature, {})[piece.name] = None
        for shape in piece.shapes:
            for feature, place in _of_a_shape(shape, format):
                counts[feature] = counts.get(feature, 0) + 1
                pieces.setdefault(feature, {})[piece.name] = None
                sizes.setdefault(feature, {})[shape.size] = None
                if place is not None:
                    places.setdefault(feature, place)
    return {
        feature: Used(
            count=counts[feature],
            pieces=tuple(pieces.get(feature, ())),
            sizes=tuple(s for s in pattern.sizes if s in sizes.get(feature, ())),
            place=places.get(feature),
        )
        for feature in Feature
        if counts.get(feature)
    }


def _of_the_whole(pattern: Pattern, format: str) -> Iterator[tuple[Feature, int]]:
    if len(pattern.sizes) > 1:
        yield Feature.SEVERAL_SIZES, len(pattern.sizes)
    if len(pattern.pieces) > 1:
        yield Feature.SEVERAL_PIECES, len(pattern.pieces)
    yield Feature.SEAMS, len(pattern.seams)
    yield Feature.NOTES, len(pattern.notes)
    if pattern.grade_rules is not None:
        yield Feature.GRADE_RULES, len(pattern.grade_rules.offsets)
    yield Feature.FOREIGN, sum(f.format != format for f in pattern.foreign)


def _of_a_piece(piece: Piece, format: str) -> Iterator[tuple[Feature, int]]:
    if piece.quantity != (1, 0):
        yield Feature.QUANTITY, 1
    if piece.material:
        yield Feature.MATERIAL, 1
    if piece.category:
        yield Feature.CATEGORY, 1
    foreign = sum(f.format != format for f in piece.foreign)
    if foreign:
        yield Feature.FOREIGN, foreign


def _of_a_shape(shape: Shape, format: str) -> Iterator[tuple[Feature, Place | None]]:
    start = _xy(shape.seam_line.start)
    curves = [shape.seam_line, *(line.curve for line in shape.internal_lines)]
    if shape.cut_line is not None:
        curves.append(shape.cut_line)
        yield Feature.CUT_LINE, _xy(shape.cut_line.start)
    for curve in curves:
        if curve.kinds.any():
            yield Feature.CURVE, _xy(curve.segments[curve.kinds.argmax(), 0])
    for corner in shape.corners:
        if not _NUMBERED.fullmatch(corner.name):
            yield Feature.CORNER_NAMES, _xy(shape.seam_line.point_of(corner.station))
    for notch in shape.notches:
        yield _NOTCHES[notch.type.value], None
        if (notch.depth, notch.width, notch.angle) != (None, None, None):
            yield Feature.NOTCH_DEPTH, None
        if not _NUMBERED.fullmatch(notch.name):
            yield Feature.NOTCH_NAMES, None
    if shape.grain_line is not None:
        yield Feature.GRAIN_LINE, shape.grain_line.start
    for dart in shape.darts:
        yield Feature.DART, dart.apex
    for line in shape.internal_lines:
        yield _LINES[line.kind.value], _xy(line.curve.start)
    for hole in shape.drill_holes:
        yield Feature.DRILL_HOLE, hole.at
    for text in shape.texts:
        yield Feature.TEXT, text.at
    if any(shape.allowances):
        yield Feature.ALLOWANCE, start
    for point in shape.grade_points:
        yield Feature.GRADE_POINTS, point.at
    for _ in shape.curve_points:
        yield Feature.CURVE_POINTS, None
    for foreign in shape.foreign:
        if foreign.format != format:
            yield Feature.FOREIGN, start


def _xy(point: Any) -> Place:
    return (float(point[0]), float(point[1]))
