"""A piece's lines and marks in each size, tagged as writer and reader agreed."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

import numpy as np

from seamwright.geometry import Curve, Station
from seamwright.model import LineRole, Piece, SeamLineSource, Shape
from seamwright.numbers import fixed

from ..layout_words import CUT, INSIDE, MARKS, SEAM
from .looks import FINE, SEAM_DASH, SEAM_INK, Look
from .looks import INSIDE as INSIDE_DASH
from .looks import SEAM as SEAM_WEIGHT
from .marks import ARROW, arrow_heads, notch_paths
from .operators import circle, fill, lines, numbers, path, pen, string, tagged
from .units import Laid, Unit, as_box

_HOLE: Final = 3.0  # mm; how a hole of unstated diameter is drawn
_REACH: Final = 8.0  # mm that marks may reach over the lines they sit on


def draw(laid: Laid, *, size: int, shape: Shape, look: Look, lone: bool, base: bool) -> list[Unit]:
    """The units of one shape; fills what `laid` knows of its lines. lone: no other size."""
    head = _head(laid, shape, base)
    matrix = laid.placement.matrix
    seam = shape.seam_line.transformed(matrix)
    cut = None if shape.cut_line is None else shape.cut_line.transformed(matrix)
    laid.seam[size], laid.outer[size] = seam, cut or seam
    laid.drawn += [seam] if cut is None else [seam, cut]
    out = []

    def unit(kind: str, box: tuple[float, float, float, float], code: str) -> None:
        out.append(Unit(size, laid.number, kind, head, box, code))

    outer = pen(look.weight, look.dash, look.ink)
    if cut is not None:
        unit(CUT, as_box(cut.bbox, 1.0), f"{outer}\n{tagged('CutLine', '', path(cut) + ' S')}")
        ink = SEAM_INK if len(look.ink) == 1 else look.ink
        outer = pen(SEAM_WEIGHT, SEAM_DASH if lone else look.dash, ink)
    corners = " ".join(f"{c.station.segment} {string(c.name)}" for c in shape.corners)
    line = tagged("SeamLine", f"/Corners [{corners}]" if corners else "", path(seam) + " S")
    unit(SEAM, as_box(seam.bbox, 1.0), f"{outer}\n{line}")
    marks = [*_notches(shape, seam, cut), *_darts(laid, shape, seam), *_holes(laid, shape)]
    if marks:
        box = as_box((cut or seam).bbox, _REACH)
        unit(MARKS, box, "\n".join([pen(max(FINE, 0.25), (), look.ink), *marks]))
    inside = [*_grain(laid, shape, look), *_internal(laid, shape, look)]
    if inside:
        boxes = np.array([(cut or seam).bbox, *(c.bbox for c in laid.drawn)])
        box = as_box(np.concatenate((boxes[:, :2].min(axis=0), boxes[:, 2:].max(axis=0))), ARROW)
        unit(INSIDE, box, "\n".join(inside))
    return out


def _head(laid: Laid, shape: Shape, base: bool) -> str:
    piece: Piece = laid.piece
    at = laid.placement
    words = [
        f"/Name {string(piece.name)}", f"/Size {string(shape.size)}",
        f"/Quantity [{piece.quantity[0]} {piece.quantity[1]}]",
        f"/Placed {numbers((at.dx, at.dy, at.degrees))}",
    ]  # fmt: skip
    if base:
        words.append("/Base true")
    if piece.material:
        words.append(f"/Material {string(piece.material)}")
    if piece.category:
        words.append(f"/Category {string(piece.category)}")
    if shape.mirrored_half:
        words.append("/Half true")
    if shape.seam_line_source is not SeamLineSource.FILE:
        words.append(f"/Source {string(shape.seam_line_source.value)}")
    if shape.allowances:
        words.append(f"/Allowances {numbers(shape.allowances)}")
    return " ".join(words)


def _station(key: str, station: Station) -> str:
    return f"/{key} [{station.segment} {fixed(station.t, 12)}]"


def _notches(shape: Shape, seam: Curve, cut: Curve | None) -> Iterator[str]:
    on_cut = [n.line is LineRole.CUT and cut is not None for n in shape.notches]
    pairs = list(zip(shape.notches, on_cut, strict=True))
    paths = iter(notch_paths([notch for notch, is_cut in pairs if not is_cut], seam))
    others = iter(notch_paths([notch for notch, is_cut in pairs if is_cut], cut or seam))
    for notch, is_cut in pairs:
        facts = [f"/Name {string(notch.name)}", f"/Type {string(notch.type.value)}"]
        facts += [
            f"/{key} {fixed(value, 9)}"
            for key, value in (
                ("Depth", notch.depth), ("Width", notch.width), ("Angle", notch.angle),
            )
            if value is not None
        ]  # fmt: skip
        facts.append("/Line /Cut" if is_cut else "/Line /Seam")
        facts.append(_station("At", notch.station))
        yield tagged("Notch", " ".join(facts), next(others if is_cut else paths) + " S")


def _darts(laid: Laid, shape: Shape, seam: Curve) -> Iterator[str]:
    for dart in shape.darts:
        left, right = (seam.point_of(station) for station in (dart.left, dart.right))
        apex = laid.on_sheet(dart.apex)
        legs = [
            tuple(map(float, left)), apex, tuple(map(float, right))
        ]  # fmt: skip
        laid.drawn.append(Curve.polyline(legs))
        facts = f"/Name {string(dart.name)} {_station('Left', dart.left)} "
        facts += _station("Right", dart.right)
        yield tagged("Dart", facts, lines(legs) + " S")
        yield tagged("Artifact", "", circle(apex[0], apex[1], 1.2) + " S")


def _holes(laid: Laid, shape: Shape) -> Iterator[str]:
    for hole in shape.drill_holes:
        x, y = laid.on_sheet(hole.at)
        shown = hole.diameter if hole.diameter is not None and hole.diameter > 0.5 else _HOLE
        laid.drawn.append(Curve.circle((x, y), shown / 2))
        facts = [f"/At {numbers(hole.at)}"]
        if hole.diameter is not None:
            facts.append(f"/Diameter {fixed(hole.diameter, 9)}")
        if hole.name:
            facts.append(f"/Name {string(hole.name)}")
        if hole.category is not None:
            facts.append(f"/Class {hole.category}")
        yield tagged("DrillHole", " ".join(facts), circle(x, y, shown / 2) + " S")
        arm = shown / 2 + 1.5
        cross = f"{lines([(x - arm, y), (x + arm, y)])} {lines([(x, y - arm), (x, y + arm)])} S"
        yield tagged("Artifact", "", cross)


def _grain(laid: Laid, shape: Shape, look: Look) -> Iterator[str]:
    grain = shape.grain_line
    if grain is None:
        return
    start, end = laid.on_sheet(grain.start), laid.on_sheet(grain.end)
    laid.drawn.append(Curve.polyline([start, end]))
    yield pen(0.25, (), look.ink)
    yield tagged("GrainLine", "", lines([start, end]) + " S")
    heads = arrow_heads(start, end)
    if heads:
        yield tagged("Artifact", "", f"{fill(look.ink)} {heads}")


def _internal(laid: Laid, shape: Shape, look: Look) -> Iterator[str]:
    for line in shape.internal_lines:
        curve = line.curve.transformed(laid.placement.matrix)
        laid.drawn.append(curve)
        facts = [f"/Kind {string(line.kind.value)}"]
        if line.name:
            facts.append(f"/Name {string(line.name)}")
        if line.layer:
            facts.append(f"/Layer {string(line.layer)}")
        yield pen(FINE, INSIDE_DASH[line.kind], look.ink)
        yield tagged("InternalLine", " ".join(facts), path(curve) + " S")
