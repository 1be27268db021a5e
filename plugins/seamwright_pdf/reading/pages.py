"""Pages and their frames: CropBox, Rotate, UserUnit (ISO 32000-1, 14.11.2 and 7.7.3.3)."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Final

from seamwright.model.recognise import Matrix

from ..layout_words import APPLICATION, POINT
from .objects import entry, number

_MOST: Final = 1e7  # points; no page is larger


@dataclass(frozen=True, slots=True)
class Frame:
    """What of a page is visible, and how: to_mm takes its user space to mm from the lower left of
    the visible page as it is shown; width and height in mm."""

    to_mm: Matrix
    width: float
    height: float


@dataclass(frozen=True, slots=True)
class OwnTile:
    """What our own writer says of a page: "Tile" or "Cover"; the sheet's mm from user space."""

    kind: str
    row: int
    column: int
    to_sheet: Matrix


def frame_of(page: Any) -> Frame:
    """The page's frame; defaults where boxes are missing or make no sense."""
    media = _box(_inherited(page, "/MediaBox")) or (0.0, 0.0, 612.0, 792.0)
    crop = _box(_inherited(page, "/CropBox"))
    if crop is not None:
        x0, y0 = max(crop[0], media[0]), max(crop[1], media[1])
        x1, y1 = min(crop[2], media[2]), min(crop[3], media[3])
        if x1 > x0 and y1 > y0:
            media = (x0, y0, x1, y1)
    unit = entry(page, "/UserUnit", 1)
    units = number(unit, 1.0)
    factor = POINT * (units if 0 < units <= 75_000 else 1.0)
    turn = int(number(_inherited(page, "/Rotate"), 0.0)) % 360
    x0, y0, x1, y1 = media
    w, h = (x1 - x0) * factor, (y1 - y0) * factor
    s = factor
    match turn:  # degrees clockwise by which the page is shown
        case 90:
            return Frame((0.0, -s, s, 0.0, -y0 * s, x1 * s), h, w)
        case 180:
            return Frame((-s, 0.0, 0.0, -s, x1 * s, y1 * s), w, h)
        case 270:
            return Frame((0.0, s, -s, 0.0, y1 * s, -x0 * s), h, w)
    return Frame((s, 0.0, 0.0, s, -x0 * s, -y0 * s), w, h)


def own_tile(page: Any) -> OwnTile | None:
    """What our own writer says of the page, None where it says nothing."""
    try:
        data = page["/PieceInfo"][APPLICATION]["/Private"]
        kind = str(data["/Kind"])[1:]
        if kind != "Tile":
            return OwnTile(kind, 0, 0, (POINT, 0.0, 0.0, POINT, 0.0, 0.0))
        tx, ty = (float(v) for v in data["/Shift"])
        shift: Matrix = (POINT, 0.0, 0.0, POINT, -tx * POINT, -ty * POINT)
        return OwnTile(kind, int(data["/Row"]), int(data["/Column"]), shift)
    except (KeyError, ValueError, TypeError, AttributeError):
        return None


def _inherited(page: Any, key: str) -> Any:
    node, steps = page, 0
    while node is not None and steps < 64:
        value = entry(node, key)
        if value is not None:
            return value
        node, steps = entry(node, "/Parent"), steps + 1
    return None


def _box(value: Any) -> tuple[float, float, float, float] | None:
    try:
        a, b, c, d = (float(v) for v in value)
    except (TypeError, ValueError):
        return None
    x0, x1, y0, y1 = min(a, c), max(a, c), min(b, d), max(b, d)
    good = x1 - x0 > 0 and y1 - y0 > 0 and max(map(abs, (a, b, c, d))) < _MOST
    return (x0, y0, x1, y1) if good else None
