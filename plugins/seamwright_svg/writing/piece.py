"""One piece in one size as a group."""

from __future__ import annotations

import json
from dataclasses import dataclass
from typing import Final

from seamwright.geometry import FloatArray
from seamwright.model import (
    Corner,
    DrillHole,
    LineRole,
    Notch,
    Piece,
    SeamLineSource,
    Shape,
    TextRole,
)
from seamwright.model.recognise.marks.checks import station_text

from ..drawing.named import checksum
from ..tree.xml_out import Attributes, Out
from .looks import DASHES, FINE, INK, PAPER, QUIET, SEAM_DASH
from .marks import arrow_head, notch_path
from .pen import Pen


@dataclass(frozen=True, slots=True)
class Look:
    """How a size is drawn. base: its texts are drawn in full ink; paper: its pieces are filled
    (the undermost size only: fills of the others would veil what lies under them)."""

    ink: str
    weight: str
    base: bool
    paper: bool


_HOLE: Final = 3.0  # mm; how a hole is drawn whose diameter nobody stated


def write_piece(out: Out, piece: Piece, shape: Shape, pen: Pen, *, ident: str, look: Look) -> None:
    """The group of a piece: outlines, then what lies inside, then words.

    ident  id of the group, from which those of its elements are made
    """
    out.open("g", _group(piece, shape, pen, ident))
    ink, weight, base = look.ink, look.weight, look.base
    _outlines(out, shape, pen, ident=ident, look=look)
    out.open("g", {"fill": "none", "stroke": ink, "stroke-width": FINE})
    _internal_lines(out, shape, pen)
    _darts(out, shape, pen)
    _grain(out, shape, pen, ink)
    _holes(out, shape, pen)
    out.close("g")
    _notches(out, shape, pen, ink, weight)
    _texts(out, shape, pen, ink if not base else INK, base=base)
    if base:
        _words_of_our_own(out, piece, shape, pen)
    out.close("g")


def _group(piece: Piece, shape: Shape, pen: Pen, ident: str) -> Attributes:
    moved = pen.move != (0.0, 0.0)
    source = shape.seam_line_source
    return {
        "id": ident,
        "inkscape:label": piece.name,
        "data-piece": piece.name,
        "data-quantity": f"{piece.quantity[0]} {piece.quantity[1]}",
        "data-material": piece.material or None,
        "data-category": piece.category or None,
        "data-half": "true" if shape.mirrored_half else None,
        "data-source": source.value if source is not SeamLineSource.FILE else None,
        "data-flags": _json(shape.flags) if shape.flags else None,
        "data-allowances": " ".join(map(pen.n, shape.allowances)) or None,
        "data-moved": f"{pen.n(pen.move[0])} {pen.n(pen.move[1])}" if moved else None,
    }


def _outlines(out: Out, shape: Shape, pen: Pen, *, ident: str, look: Look) -> None:
    ink = look.ink
    fill = PAPER if look.paper else "none"
    outer = {"fill": fill, "stroke": ink, "stroke-width": look.weight}
    seam = pen.path(shape.seam_line)
    if shape.cut_line is not None:
        cut = pen.path(shape.cut_line)
        out.leaf(
            "path",
            {
                "id": f"{ident}-cut-line",
                "inkscape:label": "cut line",
                "data-role": "cut",
                "data-check": checksum(cut),
                **outer,
                "d": cut,
            },
        )
        outer = {
            "fill": "none", "stroke": ink, "stroke-width": FINE, "stroke-dasharray": SEAM_DASH
        }  # fmt: skip
    joints = shape.seam_line.segments[:, 0]
    corners = [
        [c.name, c.station.segment, *map(_plain, pen.xy(_point(joints[c.station.segment])))]
        for c in shape.corners
    ]
    grade_points = [
        ["s", g.rule, g.line.value, *map(int, station_text(*g.station).split())]
        if g.station is not None
        else ["p", g.rule, g.line.value, *map(_plain, pen.xy(g.at or (0.0, 0.0)))]
        for g in shape.grade_points
    ]
    stations = "; ".join(station_text(*s) for s in shape.curve_points)
    out.leaf(
        "path",
        {
            "id": f"{ident}-seam-line",
            "inkscape:label": "seam line",
            "data-role": "seam",
            "data-check": checksum(seam),
            "data-corners": _json(corners),
            "data-grade-points": _json(grade_points) if grade_points else None,
            "data-curve-points": stations or None,
            **outer,
            "d": seam,
        },
    )


def _internal_lines(out: Out, shape: Shape, pen: Pen) -> None:
    for line in shape.internal_lines:
        data = pen.path(line.curve)
        out.leaf(
            "path",
            {
                "inkscape:label": line.name or line.kind.value,
                "data-role": "internal",
                "data-kind": line.kind.value,
                "data-name": line.name or None,
                "data-layer": line.layer or None,
                "data-turn-points": " ".join(map(str, line.turn_points)) or None,
                "data-curve-points": " ".join(map(str, line.curve_points)) or None,
                "data-check": checksum(data),
                "stroke-dasharray": DASHES[line.kind],
                "d": data,
            },
        )


def _darts(out: Out, shape: Shape, pen: Pen) -> None:
    for dart in shape.darts:
        left, right = (
            _point(shape.seam_line.point_of(station)) for station in (dart.left, dart.right)
        )
        data = pen.polyline(left, dart.apex, right)
        out.leaf(
            "path",
            {
                "inkscape:label": dart.name or "dart",
                "data-role": "dart",
                "data-name": dart.name,
                "data-left": station_text(*dart.left),
                "data-right": station_text(*dart.right),
                "data-check": checksum(data),
                "stroke-dasharray": "4 2",
                "d": data,
            },
        )


def _grain(out: Out, shape: Shape, pen: Pen, ink: str) -> None:
    grain = shape.grain_line
    if grain is None:
        return
    data = pen.polyline(grain.start, grain.end)
    out.leaf(
        "path",
        {
            "inkscape:label": "grain line",
            "data-role": "grain",
            "data-check": checksum(data),
            "d": data,
        },
    )
    for tip, tail in ((grain.start, grain.end), (grain.end, grain.start)):
        head = arrow_head(tip, tail, pen)
        if head:
            out.leaf("path", {"data-role": "decoration", "fill": ink, "stroke": "none", "d": head})


def _holes(out: Out, shape: Shape, pen: Pen) -> None:
    for hole in shape.drill_holes:
        x, y = pen.xy(hole.at)
        out.leaf(
            "circle",
            {
                "inkscape:label": hole.name or "drill hole",
                "data-role": "drill",
                "data-name": hole.name or None,
                "data-diameter": None if hole.diameter is None else pen.n(hole.diameter),
                "data-category": None if hole.category is None else str(hole.category),
                "cx": x,
                "cy": y,
                "r": pen.n(_diameter(hole) / 2),
            },
        )


def _diameter(hole: DrillHole) -> float:
    """As it is drawn: a hole that is too small to be seen, or of unknown size, as any other."""
    return hole.diameter if hole.diameter is not None and hole.diameter > 1e-3 else _HOLE


def _notches(out: Out, shape: Shape, pen: Pen, ink: str, weight: str) -> None:
    if not shape.notches:
        return
    out.open("g", {"fill": "none", "stroke": ink, "stroke-width": weight})
    for notch in shape.notches:
        on_cut = notch.line is LineRole.CUT and shape.cut_line is not None
        line = shape.cut_line if on_cut and shape.cut_line is not None else shape.seam_line
        data = notch_path(notch, line, pen)
        x, y = pen.xy(_point(line.point_of(notch.station)))
        out.leaf(
            "path",
            {
                "inkscape:label": notch.name,
                "data-role": "notch",
                "data-name": notch.name,
                "data-type": notch.type.value,
                "data-line": "cut" if notch.line is LineRole.CUT else None,
                "data-x": x,
                "data-y": y,
                "data-station": station_text(*notch.station),
                "data-depth": None if notch.depth is None else pen.n(notch.depth),
                "data-width": None if notch.width is None else pen.n(notch.width),
                "data-angle": None if notch.angle is None else pen.n(notch.angle),
                "data-distance": pen.n(notch.distance) if notch.distance else None,
                "data-offset": " ".join(map(pen.n, notch.offset)) if any(notch.offset) else None,
                "data-check": checksum(data),
                "d": data,
            },
        )
    out.close("g")


def _texts(out: Out, shape: Shape, pen: Pen, ink: str, *, base: bool) -> None:
    if not shape.texts:
        return
    out.open(
        "g",
        {
            "fill": ink,
            # Sizes lie over each other: only the base size speaks aloud.
            "fill-opacity": None if base else "0.16",
            "font-family": "sans-serif",
        },
    )
    for text in shape.texts:
        x, y = pen.xy(text.at)
        out.leaf(
            "text",
            {
                "x": x,
                "y": y,
                "font-size": pen.n(text.height),
                "transform": None
                if text.rotation == 0.0
                else f"rotate({pen.n(-text.rotation)} {x} {y})",
                "data-role": "text",
                "data-text-role": text.role.value,
                "data-layer": text.layer or None,
                "data-rotation": None if text.rotation == 0.0 else pen.n(text.rotation),
                "xml:space": "preserve",
            },
            text.text,
        )
    out.close("g")


def _words_of_our_own(out: Out, piece: Piece, shape: Shape, pen: Pen) -> None:
    """The piece's name, where no text says it, and the names of corners and notches, small."""
    words: list[tuple[float, float, float, str]] = []
    if not any(t.role is TextRole.NAME for t in shape.texts):
        x0, y0, x1, y1 = (float(v) for v in shape.seam_line.bbox)
        height = min(14.0, max(4.0, 0.05 * (x1 - x0)))
        words.append(((x0 + x1) / 2, (y0 + y1) / 2, height, piece.name))
    marks: list[Corner | Notch] = [*shape.corners, *shape.notches]
    for mark in marks:
        if mark.name.rpartition("-")[0] in ("corner", "notch"):
            continue
        if isinstance(mark, Notch) and mark.line is not LineRole.SEAM:
            continue
        station = mark.station
        point = shape.seam_line.point_of(station)
        tangent = shape.seam_line.tangents_of([station.segment], [station.t])[0]
        inward = (-float(tangent[1]), float(tangent[0]))
        words.append(
            (float(point[0]) + 9.0 * inward[0], float(point[1]) + 9.0 * inward[1], 3.2, mark.name)
        )
    if not words:
        return
    out.open(
        "g",
        {
            "data-role": "decoration", "fill": QUIET, "font-family": "sans-serif",
            "text-anchor": "middle",
        },
    )  # fmt: skip
    for px, py, height, text in words:
        x, y = pen.xy((px, py))
        out.leaf("text", {"x": x, "y": y, "font-size": pen.n(height)}, text)
    out.close("g")


def _point(array: FloatArray) -> tuple[float, float]:
    return float(array[0]), float(array[1])


def _plain(number: str) -> float | int:
    return float(number) if "." in number else int(number)


def _json(value: object) -> str:
    return json.dumps(value, ensure_ascii=False, separators=(",", ":"))
