"""Marks as our own writer draws them: exact figures stand beside the drawing."""

from __future__ import annotations

import json
from dataclasses import replace
from typing import TYPE_CHECKING, Any

import numpy as np

from seamwright.geometry import Curve, Station
from seamwright.model import (
    Dart,
    DrillHole,
    GradePoint,
    GrainLine,
    InternalKind,
    InternalLine,
    LineRole,
    Notch,
    NotchType,
)

from ..items import Named, Stroke
from ..matrices import apply
from ..pieces.bodies import Body
from ..pieces.outlines import Outline
from ..words.roles import Role
from .checks import number, pair, station_of
from .meetings import Line
from .notches import notch_of
from .units import units_of

if TYPE_CHECKING:
    from .inside import Inside


def take(stroke: Stroke, body: Body, lines: list[Line], found: Inside) -> bool:
    """Takes a stroke that bears our data and puts what it says into `found`; False for others."""
    role = stroke.named.said_role
    if role is None:
        return False
    named, curve = stroke.named, stroke.curve
    if named in found.taken:  # a further stroke of the same element
        return True
    if role is Role.NOTCH:
        notch = _notch(stroke, body, lines)
        if notch is None:
            return False
        found.notches.append(notch)
    elif role is Role.GRAIN:
        a, b = curve.start, curve.end
        found.grain_line = GrainLine(
            start=(float(a[0]), float(a[1])), end=(float(b[0]), float(b[1]))
        )
    elif role is Role.DART:
        dart = _dart(stroke, body, lines[0].curve)
        if dart is None:
            return False
        found.darts.append(dart)
    elif role is Role.DRILL:
        found.holes.append(_hole(named, curve))
    elif role is Role.INTERNAL:
        found.lines.append(_internal(named, curve))
    else:
        return False
    found.taken.add(named)
    return True


def _trusted(body: Body, line: LineRole) -> bool:
    """Whether the outline that stations count on is as our writer drew it."""
    outline = body.seam if line is LineRole.SEAM else body.cut
    outline = outline or body.outer
    return outline.named is not None and outline.named.untouched


def _line_of(lines: list[Line], role: LineRole) -> Line:
    return next((line for line in lines if line.role is role), lines[0])


def _notch(stroke: Stroke, body: Body, lines: list[Line]) -> Notch | None:
    named = stroke.named
    role = LineRole.CUT if named.data("line") == "cut" else LineRole.SEAM
    line = _line_of(lines, role)
    said = named.data("type") or "slit"
    kind = NotchType(said) if said in set(NotchType) else NotchType.SLIT
    place = station_of(named.data("station"), line.curve.n)
    if place is None or not named.untouched or not _trusted(body, line.role):
        (unit,) = units_of([stroke])
        seen = notch_of(unit, [line], labelled=True, name=named.data("name") or "")
        if seen is None:
            return None
        return replace(
            seen, type=kind, depth=number(named, "depth"), width=number(named, "width"),
            angle=number(named, "angle"),
        )  # fmt: skip
    return Notch(
        name=named.data("name") or "",
        station=Station(*place),
        type=kind,
        depth=number(named, "depth"),
        width=number(named, "width"),
        angle=number(named, "angle"),
        line=line.role,
        distance=number(named, "distance") or 0.0,
        offset=pair(named, "offset") or (0.0, 0.0),
    )


def _dart(stroke: Stroke, body: Body, seam: Curve) -> Dart | None:
    named, curve = stroke.named, stroke.curve
    if curve.closed or curve.n != 2:
        return None
    apex = curve.segments[1, 0]
    left = station_of(named.data("left"), seam.n)
    right = station_of(named.data("right"), seam.n)
    if left is None or right is None or not named.untouched or not _trusted(body, LineRole.SEAM):
        near = seam.nearest(np.stack((curve.start, curve.end)))
        left, right = ((int(near.segments[i]), float(near.ts[i])) for i in (0, 1))
    return Dart(
        name=named.data("name") or "",
        left=Station(*left),
        right=Station(*right),
        apex=(float(apex[0]), float(apex[1])),
    )


def _centre(curve: Curve) -> tuple[float, float]:
    x0, y0, x1, y1 = (float(v) for v in curve.bbox)
    return (x0 + x1) / 2, (y0 + y1) / 2


def _hole(named: Named, curve: Curve) -> DrillHole:
    category = named.data("category")
    return DrillHole(
        at=_centre(curve),
        diameter=number(named, "diameter"),
        name=named.data("name") or "",
        category=int(category) if category and category.lstrip("-").isdigit() else None,
    )


def _internal(named: Named, curve: Curve) -> InternalLine:
    said = named.data("kind") or "internal"
    return InternalLine(
        kind=InternalKind(said) if said in set(InternalKind) else InternalKind.INTERNAL,
        curve=curve,
        name=named.data("name") or "",
        layer=named.data("layer") or "",
        turn_points=_numbers(named.data("turn-points")),
        curve_points=_numbers(named.data("curve-points")),
    )


def _numbers(text: str | None) -> tuple[int, ...]:
    return tuple(int(w) for w in (text or "").split() if w.isdigit())


def corners_of(outline: Outline, curve: Curve) -> list[tuple[Station, str]] | None:
    """The corners that the outline's attribute lists, None where it lists none or was edited."""
    named = outline.named
    if named is None or named.data("corners") is None or not named.untouched:
        return None
    found = [(int(joint), name) for name, joint, _, _ in _rows(named.data("corners"), 4)]
    if any(not 0 <= joint < curve.n for joint, _ in found):
        return None
    return [(Station(joint, 0.0), name) for joint, name in found]


def corner_names(outline: Outline) -> list[tuple[str, tuple[float, float]]]:
    """Names of corners and where they were when the file was written, mm."""
    if outline.named is None:
        return []
    matrix = outline.strokes[0].matrix
    return [
        (name, apply(matrix, float(x), float(y)))
        for name, _, x, y in _rows(outline.named.data("corners"), 4)
    ]


def grade_points_of(outline: Outline, body: Body, lines: list[Line]) -> list[GradePoint]:
    """The grade points that the outline's attribute lists, as far as lines were not edited."""
    if outline.named is None:
        return []
    matrix = outline.strokes[0].matrix
    out = []
    for kind, rule, side, a, b in _rows(outline.named.data("grade-points"), 5):
        role = LineRole.CUT if side == "cut" else LineRole.SEAM
        if kind == "p":
            out.append(GradePoint(rule=int(rule), at=apply(matrix, float(a), float(b)), line=role))
            continue
        place = station_of(f"{a} {b}", _line_of(lines, role).curve.n)
        if place is not None and _trusted(body, role):
            out.append(GradePoint(rule=int(rule), station=Station(*place), line=role))
    return out


def _rows(text: str | None, count: int) -> list[Any]:
    """Rows of `count` entries from a JSON attribute; damaged ones are left out."""
    try:
        rows = json.loads(text or "[]")
    except ValueError:
        return []
    return [r for r in rows if isinstance(r, list) and len(r) == count] if isinstance(
        rows, list) else []  # fmt: skip


def curve_points(outline: Outline, curve: Curve) -> tuple[Station, ...]:
    """The curve points that an outline's attribute lists."""
    if outline.named is None or not outline.named.untouched:
        return ()
    out = []
    for part in (outline.named.data("curve-points") or "").split(";"):
        place = station_of(part, curve.n)
        if place is not None:
            out.append(Station(*place))
    return tuple(out)
