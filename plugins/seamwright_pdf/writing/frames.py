"""What a page needs to be taped to its neighbours: frame, trim lines, matching marks, its name."""

from __future__ import annotations

from typing import Final

import numpy as np

from seamwright.geometry import FloatArray

from .arrange import Plan, Window
from .cells import Cells
from .letters import CAP, Letters, fitted
from .looks import FINE, GREY
from .operators import ALONG, box, fill, lines, pen

_MARK: Final = 4.0  # mm from the middle of a matching mark to its points
_TRIM: Final = (2.0, 1.0)
_NAMES: Final = (14.0, 9.0, 6.0, 4.0, 3.0)


def frame(plan: Plan, page: Window) -> str:
    """Frame and marks of a tile, in sheet mm, clipped by the caller to the window.

    The left and upper edge of a page that joins another there is its trim line: cut there and lay
    it on the line that the neighbour shows. Matching marks lie on these lines, half on each page.
    """
    x0, y0, x1, y1 = page.box
    left, right, above, below = page.joins
    out = [pen(FINE, (), GREY), box(x0, y0, x1, y1) + " S"]
    if plan.overlap:
        out.append(pen(FINE, _TRIM, GREY))
        if right:
            out.append(lines([(x1 - plan.overlap, y0), (x1 - plan.overlap, y1)]) + " S")
        if below:
            out.append(lines([(x0, y0 + plan.overlap), (x1, y0 + plan.overlap)]) + " S")
    marks = matching_marks(plan, page)
    if marks:
        out += [fill(GREY), *(_diamond(x, y, upright) for x, y, upright in marks)]
    del left, above
    return "\n".join(out)


def matching_marks(plan: Plan, page: Window) -> list[tuple[float, float, bool]]:
    """Places (x, y) in sheet mm of the marks on a page, and whether on an upright line: two on
    each edge that is joined, at the same places of the sheet as on the neighbour's page."""
    x0, y0, x1, y1 = page.box
    left, right, above, below = page.joins
    over = plan.overlap
    across = [x0 + share * (x1 - over - x0) for share in (0.25, 0.75)]
    up = [y1 - share * (y1 - over - y0) for share in (0.25, 0.75)]
    out: list[tuple[float, float, bool]] = []
    out += [(x0, y, True) for y in up if left]
    out += [(x1 - over, y, True) for y in up if right]
    out += [(x, y1, False) for x in across if above]
    out += [(x, y0 + over, False) for x in across if below]
    return out


def _diamond(x: float, y: float, upright: bool) -> str:
    """Two triangles whose points meet on the line: a hair's breadth off is seen at once."""
    a, b = _MARK, 0.6 * _MARK
    if upright:
        pairs = ([(x, y), (x - a, y + b), (x - a, y - b)], [(x, y), (x + a, y + b), (x + a, y - b)])
    else:
        pairs = ([(x, y), (x - b, y - a), (x + b, y - a)], [(x, y), (x - b, y + a), (x + b, y + a)])
    return " ".join(lines(p, closed=True) for p in pairs) + " f"


def names(
    plan: Plan,
    points: FloatArray,
    taken: list[tuple[float, float, float, float]],
    title: str,
    letters: Letters,
) -> dict[str, str]:
    """The name of each page, where no line crosses it, the larger the better.

    points  close together on everything that is drawn, sheet mm; taken: boxes of words
    """  # fmt: skip
    out: dict[str, str] = {}
    boxes = np.array([page.box for page in plan.pages])
    whole = Cells((*boxes[:, :2].min(axis=0), *boxes[:, 2:].max(axis=0)), 1.5)
    whole.add_points(points)
    for page in plan.pages:
        x0, y0, x1, y1 = page.box
        cells = whole.part(page.box)
        for box_ in taken:
            if box_[0] < x1 and box_[2] > x0 and box_[1] < y1 and box_[3] > y0:
                cells.add_box(*box_)
        for x, y, upright in matching_marks(plan, page):
            a = _MARK if upright else 0.6 * _MARK
            b = 0.6 * _MARK if upright else _MARK
            cells.add_box(x - a, y - b, x + a, y + b)
        out[page.name] = _name(plan, page, cells, title, letters)
    return out


def _name(plan: Plan, page: Window, cells: Cells, title: str, letters: Letters) -> str:
    x0, y0, x1, y1 = page.box
    over = plan.overlap
    below = f"{fitted(letters, title, 3.0, 60.0)} · {page.name}" if title else ""
    for height in _NAMES:
        for text in (below, ""):
            small = max(2.4, 0.28 * height)
            wide = letters.width(page.name, height)
            if text:
                wide = max(wide, letters.width(text, small))
            high = CAP * height + (1.6 * small if text else 0.0)
            free = cells.free(wide, high)
            keep = (
                (free[:, 0] > x0 + 2) & (free[:, 0] + wide < x1 - over * page.joins[1] - 2)
                & (free[:, 1] > y0 + over * page.joins[3] + 2) & (free[:, 1] + high < y1 - 2)
            )  # fmt: skip
            free = free[keep]
            if not len(free):
                continue
            corner = np.array([x0 + 6.0, y1 - 6.0 - high])
            x, y = free[int(np.argmin(np.abs(free - corner).sum(axis=1)))]
            words = [fill(GREY)]
            words.append(letters.show(page.name, float(x), float(y) + high - CAP * height, height))
            if text:
                words.append(letters.show(text, float(x), float(y) + 0.25 * small, small))
            return "\n".join(words)
    return ""


def window_shift(plan: Plan, page: Window) -> tuple[float, float]:
    """Points by which the sheet is moved so that the window lies inside the margins."""
    return (plan.margin - page.box[0]) * ALONG, (plan.margin - page.box[1]) * ALONG
