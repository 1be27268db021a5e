"""Viewports: viewBox and preserveAspectRatio, for the root, nested drawings and symbols.

SVG 2, chapter 8 (https://www.w3.org/TR/SVG2/coords.html).
"""

from __future__ import annotations

import re
from typing import Final, NamedTuple

from seamwright.model.recognise.matrices import Matrix

from .lengths import NUMBER

_VIEW_BOX = re.compile(rf"\s*({NUMBER})[\s,]+({NUMBER})[\s,]+({NUMBER})[\s,]+({NUMBER})\s*")
_ALIGN = re.compile(r"(?:defer\s+)?(none|x(Min|Mid|Max)Y(Min|Mid|Max))(?:\s+(meet|slice))?")
_ROUNDING: Final = 1e-3
_SHARE: Final = {"Min": 0.0, "Mid": 0.5, "Max": 1.0}


class ViewBox(NamedTuple):
    """Corner and size in user units."""

    x: float
    y: float
    width: float
    height: float


class Fit(NamedTuple):
    """How a viewBox lies in its viewport: factors, and shares of the free room before it."""

    none: bool = False
    slice: bool = False
    x: float = 0.5
    y: float = 0.5


class BadViewBox(ValueError):
    """A viewBox that cannot be read, or has no area."""


def parse_view_box(text: str | None) -> ViewBox | None:
    """The viewBox, None where there is none. Raises BadViewBox."""
    if text is None or not text.strip():
        return None
    match = _VIEW_BOX.fullmatch(text)
    if match is None:
        raise BadViewBox(f'viewBox="{text.strip()[:60]}" does not hold four numbers')
    box = ViewBox(*map(float, match.groups()))
    if not (0.0 < box.width < 1e12 and 0.0 < box.height < 1e12):
        raise BadViewBox(f'viewBox="{text.strip()[:60]}" has no area, or no end')
    return box


def parse_fit(text: str | None) -> Fit:
    """preserveAspectRatio; what is not understood counts as the default, xMidYMid meet."""
    match = _ALIGN.fullmatch((text or "").strip())
    if match is None:
        return Fit()
    if match.group(1) == "none":
        return Fit(none=True)
    return Fit(slice=match.group(4) == "slice", x=_SHARE[match.group(2)], y=_SHARE[match.group(3)])


def scales(box: ViewBox, width: float, height: float, fit: Fit) -> tuple[float, float]:
    """Viewport units a user unit, along x and y.

    Where both ratios differ by no more than a rounded height makes them, the width's counts:
    programs write the height with few digits.
    """
    sx, sy = width / box.width, height / box.height
    if fit.none:
        return sx, sy
    if abs(sx - sy) <= _ROUNDING * sx:
        return sx, sx
    one = max(sx, sy) if fit.slice else min(sx, sy)
    return one, one


def viewport_matrix(
    x: float, y: float, width: float, height: float, box: ViewBox | None, fit: Fit
) -> Matrix:
    """From a viewport's user units to those around it; the viewport lies at (x, y)."""
    if box is None:
        return (1.0, 0.0, 0.0, 1.0, x, y)
    sx, sy = scales(box, width, height, fit)
    free_x = 0.0 if fit.none else (width - box.width * sx) * fit.x
    free_y = 0.0 if fit.none else (height - box.height * sy) * fit.y
    return (sx, 0.0, 0.0, sy, x + free_x - box.x * sx, y + free_y - box.y * sy)
