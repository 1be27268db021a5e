"""The documents that --json prints, made from the model. Lengths in mm, always."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

import numpy as np

from seamwright.findings import Finding, in_order
from seamwright.model import LineRole, Notch, Pattern, Piece, Seam, Shape
from seamwright.model.measure import Measures, measure


def info_document(
    pattern: Pattern, findings: Iterable[Finding], facts: Mapping[str, Any] | None = None
) -> dict[str, Any]:
    """What is in a pattern. All sizes are measured by one call of the kernel.

    facts  what the reader says of the file itself: counts, unit, texts of the whole style
    """
    shapes = [shape for piece in pattern.pieces for shape in piece.shapes]
    measures = dict(zip(map(id, shapes), measure(shapes), strict=True))
    return {
        "pattern": pattern.name,
        "base_size": pattern.base_size,
        "sizes": list(pattern.sizes),
        "pieces": [_piece(piece, measures) for piece in pattern.pieces],
        "seams": [_seam(seam) for seam in pattern.seams],
        "facts": _plain(facts or {}),
        "findings": [f.to_json() for f in in_order(findings)],
    }


def _plain(value: Any) -> Any:
    """A fact as JSON holds it; what it cannot hold, as text."""
    if isinstance(value, Mapping):
        return {str(key): _plain(v) for key, v in value.items()}
    if isinstance(value, (list, tuple)):
        return [_plain(v) for v in value]
    if value is None or isinstance(value, (bool, int, float, str)):
        return value
    return str(value)


def _piece(piece: Piece, measures: dict[int, Measures]) -> dict[str, Any]:
    return {
        "name": piece.name,
        "quantity": sum(piece.quantity),
        "material": piece.material,
        "shapes": [_shape(shape, measures[id(shape)]) for shape in piece.shapes],
    }


def _shape(shape: Shape, known: Measures) -> dict[str, Any]:
    outline = shape.seam_line
    corners = outline.points_of(
        [c.station.segment for c in shape.corners], [c.station.t for c in shape.corners]
    )
    edges = edges_of(shape, known)
    grain = shape.grain_line
    return {
        "size": shape.size,
        "seam_line_length": known.length,
        "area": abs(outline.area),
        "bbox": [float(v) for v in outline.bbox],
        "edges": edges,
        "corners": [
            {"name": c.name, "x": float(p[0]), "y": float(p[1])}
            for c, p in zip(shape.corners, corners, strict=True)
        ],
        "notches": _notches(shape, known, edges),
        "grain_line": None if grain is None else [list(grain.start), list(grain.end)],
        "internal_lines": len(shape.internal_lines),
        "drill_holes": len(shape.drill_holes),
        "texts": [text.text for text in shape.texts],
    }


def edges_of(shape: Shape, known: Measures) -> list[dict[str, Any]]:
    """Edges from corner to corner, in outline order."""
    names = [corner.name for corner in shape.corners]
    if not names:
        return [{"name": "outline", "start": "", "end": "", "length": known.length}]
    ends = np.append(known.corners[1:], known.corners[0] + known.length)
    lengths = (ends - known.corners).tolist()
    return [
        {"name": f"{a} > {b}", "start": a, "end": b, "length": length}
        for a, b, length in zip(names, [*names[1:], names[0]], lengths, strict=True)
    ]


def _notches(shape: Shape, known: Measures, edges: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """Each notch with the edge that it lies on, and how far along that edge (`at`)."""
    if not shape.notches:
        return []
    points = _notch_points(shape)
    if len(known.corners):
        numbers = np.searchsorted(known.corners, known.notches + 1e-9, side="right") - 1
        along = (known.notches - known.corners[numbers]) % known.length
    else:
        numbers, along = np.zeros(len(shape.notches), dtype=int), known.notches
    return [
        {
            "name": notch.name,
            "type": notch.type.value,
            "edge": edges[int(number)]["name"],
            "at": float(at),
            "x": float(point[0]),
            "y": float(point[1]),
        }
        for notch, number, at, point in zip(shape.notches, numbers, along, points, strict=True)
    ]


def _notch_points(shape: Shape) -> np.ndarray:
    points = np.zeros((len(shape.notches), 2))
    for role, curve in ((LineRole.SEAM, shape.seam_line), (LineRole.CUT, shape.cut_line)):
        rows = [i for i, n in enumerate(shape.notches) if n.line is role]
        if rows and curve is not None:
            stations = [_station(shape.notches[i]) for i in rows]
            points[rows] = curve.points_of([s for s, _ in stations], [t for _, t in stations])
    return points


def _station(notch: Notch) -> tuple[int, float]:
    return notch.station.segment, notch.station.t


def _seam(seam: Seam) -> dict[str, Any]:
    return {
        "name": seam.name,
        "sew": str(seam.sew),
        "to": str(seam.to),
        "at_least": None if seam.ease is None else seam.ease.at_least,
        "at_most": None if seam.ease is None else seam.ease.at_most,
        "meet": [list(pair) for pair in seam.meet],
        "cap": seam.cap,
    }
