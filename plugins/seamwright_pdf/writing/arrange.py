"""Which piece lies where, and which part of the sheet each page shows: few pages, few joins."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from math import atan2, ceil, degrees, inf
from typing import Final

import numpy as np

from seamwright.geometry import Curve, FloatArray
from seamwright.model import Shape
from seamwright.model.layout import Layout, Order, Placement, Ready, place, prepare, samples
from seamwright.plugins.api import SeamwrightError

from ..options import PdfOut
from ..paper import LONGEST, Paper

_COARSE: Final = 8.0  # mm; cells of the points by which the pages of a try are counted
_CLOSE: Final = 2.0  # mm; the same for the best of them
_BEST: Final = 6
_SPARE: Final = 1.0  # mm around what is drawn, for the width of lines
_ORDERS: Final[tuple[Order, ...]] = ("area", "longest")
_MOST_COLUMNS: Final = 10
MOST_PAGES: Final = 2000
LARGEST: Final = 200_000.0
"""mm; wider than this a pattern is a mistake."""


@dataclass(frozen=True, slots=True)
class Window:
    """A page: what of the sheet it shows (x0, y0, x1, y1 in sheet mm), its row and column, and
    where neighbours join it (left, right, above, below)."""

    box: tuple[float, float, float, float]
    row: int
    column: int
    joins: tuple[bool, bool, bool, bool] = (False, False, False, False)

    @property
    def name(self) -> str:
        """ "A1": row A, column 1."""
        return f"{_letters(self.row)}{self.column + 1}"


@dataclass(frozen=True, slots=True)
class Plan:
    """The chosen arrangement.

    width, height   of the paper as it lies
    overlap         of neighbouring windows; 0 where each page stands alone
    rows, columns   of the grid; pages: its windows that hold something, in reading order
    """

    width: float
    height: float
    margin: float
    overlap: float
    rows: int
    columns: int
    placements: tuple[Placement, ...]
    pages: tuple[Window, ...]
    grid: tuple[float, float, float, float] | None = None  # left, top, step in x and in y

    @property
    def left_out(self) -> int:
        """Empty windows of the grid."""
        return self.rows * self.columns - len(self.pages)


def grain_turn(shapes: Sequence[Shape]) -> float:
    """Degrees that turn a piece's grain line upright; 0 where it has none."""
    for shape in shapes:
        grain = shape.grain_line
        if grain is not None and grain.start != grain.end:
            angle = degrees(atan2(grain.end[1] - grain.start[1], grain.end[0] - grain.start[0]))
            turn = 90.0 - angle
            nearest = round(turn / 90.0) * 90.0
            return nearest if abs(turn - nearest) < 1e-9 else turn
    return 0.0


def arrange(
    drawn: Sequence[Sequence[Curve]],
    shapes: Sequence[Sequence[Shape]],
    options: PdfOut,
    paper: Paper,
    *,
    guide: tuple[float, float] | None,
) -> Plan:
    """The plan with the fewest pages; of those the one with the fewest joins.

    drawn   all lines of each piece, where they lie in the pattern
    guide   width and height of a block that is laid among the pieces, as the last placement;
            None where it has a page of its own
    """
    points = [_thinned(samples(curves, 0.5 * _COARSE), _COARSE) for curves in drawn]
    if options.layout == "keep":
        plans = list(_kept(points, paper, options, guide))
    else:
        parallel = options.grain == "parallel"
        ready = prepare(
            drawn,
            turns=(0.0, 180.0) if parallel else (0.0, 90.0, 180.0, 270.0),
            bases=[grain_turn(s) for s in shapes] if parallel else None,
        )
        if guide is not None:
            block = [[Curve.polyline([(0, 0), (guide[0], 0), guide, (0, guide[1])], closed=True)]]
            ready = Ready(ready.ways + prepare(block, turns=(0.0,)).ways, ready.cell)
        plans = list(_packed(points, ready, paper, options, guide))
    # Counted coarsely, many arrangements come out alike: the best few are counted closely.
    close = [_thinned(samples(curves, 0.5 * _CLOSE), _CLOSE) for curves in drawn]
    best = min(
        (
            counted(plan, _placed(close, plan.placements, guide), 0.8 * _CLOSE)
            for plan in sorted(plans, key=_cost)[:_BEST]
        ),
        key=_cost,
    )
    if len(best.pages) > MOST_PAGES:
        raise SeamwrightError.of(
            "pdf.too-many-pages",
            f"{len(best.pages)} pages would be needed; {MOST_PAGES} is the most",
            hint="check the scale of the file, take larger paper, or fewer sizes",
        )
    return best


def _cost(plan: Plan) -> tuple[int, int, int, int]:
    joins = sum(sum(page.joins) for page in plan.pages)
    return len(plan.pages), joins, plan.rows * plan.columns, plan.columns


def _lying(paper: Paper, options: PdfOut) -> list[tuple[float, float]]:
    upright = (paper.width, paper.height)
    if not paper.turns or paper.roll or paper.free or paper.width == paper.height:
        return [upright]
    ways = {"portrait": [upright], "landscape": [upright[::-1]]}
    return ways.get(options.orientation, [upright, upright[::-1]])


def _packed(
    points: list[FloatArray],
    ready: Ready,
    paper: Paper,
    options: PdfOut,
    guide: tuple[float, float] | None,
) -> Iterator[Plan]:
    margin, gap = float(options.margin), float(options.gap)
    overlap = float(options.overlap)
    area = sum(float(way[0].size[0] * way[0].size[1]) for way in ready.ways if way)
    tallest = max((float(min(w.size.max() for w in way)) for way in ready.ways if way), default=1)
    if paper.free:
        wide = max(tallest, area**0.5 * 1.1)
        layout = place(ready, width=min(wide + 4.0, LONGEST - 2 * margin), gap=gap)
        placements = layout.placements
        yield from _single(placements, options, points, guide)
        return
    for width, height in _lying(paper, options):
        inner, tall = width - 2 * margin, height - 2 * margin
        sheet = min(tall, LONGEST - 2 * margin)
        room = (inner - 2 * _SPARE, sheet - 2 * _SPARE)
        for way, order in ((way, order) for way in _ways(ready) for order in _ORDERS):
            alone = place(way, width=room[0], height=room[1], gap=gap, order=order)
            if alone.width <= room[0] + 1e-6 and alone.length <= room[1] + 1e-6:
                yield _on_sheets(alone, width, height, sheet, margin)
        if paper.roll and sheet < tall:
            tall = sheet
        most = min(_MOST_COLUMNS, ceil(2.0 * area**0.5 / (inner - overlap)) + 1)
        yield from _on_grids(
            ready, points, (width, tall + 2 * margin), options, guide,
            1 if paper.roll else most,
        )  # fmt: skip


def _on_grids(
    ready: Ready,
    points: list[FloatArray],
    paper: tuple[float, float],
    options: PdfOut,
    guide: tuple[float, float] | None,
    most: int,
) -> list[Plan]:
    """A plan for each number of columns; the best of them packed in another order as well."""
    margin, overlap = float(options.margin), float(options.overlap)
    steps = (paper[0] - 2 * margin - overlap, paper[1] - 2 * margin - overlap)

    def on(columns: int, order: Order, way: Ready) -> Plan:
        strip = columns * steps[0] + overlap - 2 * _SPARE
        layout = place(way, width=strip, gap=float(options.gap), order=order)
        return _grid(layout.placements, points, paper, margin, overlap, steps, guide)

    tried = {columns: on(columns, "area", ready) for columns in range(1, most + 1)}
    best = sorted(tried, key=lambda columns: (len(tried[columns].pages), columns))[:3]
    others = [(order, way) for way in _ways(ready) for order in _ORDERS][1:]
    return [*tried.values(), *(on(columns, *other) for columns in best for other in others)]


def _ways(ready: Ready) -> list[Ready]:
    """The pieces with all their turns, upright or upside down only, and on their sides only:
    where rows of alike pieces are best, turning each to its lowest is not."""
    out = [ready]
    for part in (slice(0, None, 2), slice(1, None, 2)):
        if any(len(way) > 2 for way in ready.ways):
            out.append(Ready(tuple(way[part] or way for way in ready.ways), ready.cell))
    return out


def _single(
    placements: tuple[Placement, ...],
    options: PdfOut,
    points: list[FloatArray],
    guide: tuple[float, float] | None,
) -> Iterator[Plan]:
    """One sheet as large as needed, or parts of it where it is too long for a page."""
    margin, overlap = float(options.margin), float(options.overlap)
    box = _box(_placed(points, placements, guide))
    inner = LONGEST - 2 * margin
    box = box + np.array([-_SPARE, -_SPARE, _SPARE, _SPARE])
    width, height = min(box[2] - box[0], inner), min(box[3] - box[1], inner)
    yield _grid(
        placements, points, (width + 2 * margin, height + 2 * margin), margin, overlap,
        (max(width - overlap, 1.0) if box[2] - box[0] > inner else width + 1.0,
         max(height - overlap, 1.0) if box[3] - box[1] > inner else height + 1.0),
        guide,
    )  # fmt: skip


def _kept(
    points: list[FloatArray],
    paper: Paper,
    options: PdfOut,
    guide: tuple[float, float] | None,
) -> Iterator[Plan]:
    box = _box(points)
    # All by the same whole mm to the sheet's corner: far from the origin viewers lose digits.
    move = Placement(dx=-float(np.floor(box[0])), dy=-float(np.floor(box[1])))
    still: tuple[Placement, ...] = tuple(move for _ in points)
    if guide is not None:  # the block goes above what is there
        still = (*still, Placement(dy=float(box[3]) + move.dy + float(options.gap)))
    margin, overlap = float(options.margin), float(options.overlap)
    if paper.free:
        yield from _single(still, options, points, guide)
        return
    for width, height in _lying(paper, options):
        tall = min(height, LONGEST)
        steps = (width - 2 * margin - overlap, tall - 2 * margin - overlap)
        yield _grid(still, points, (width, tall), margin, overlap, steps, guide)


def _grid(
    placements: tuple[Placement, ...],
    points: list[FloatArray],
    paper: tuple[float, float],
    margin: float,
    overlap: float,
    steps: tuple[float, float],
    guide: tuple[float, float] | None,
) -> Plan:
    """Windows on a grid from the top left of what is drawn; those that hold nothing left out."""
    placed = _placed(points, placements, guide)
    p = np.concatenate(placed)
    x0, y0, x1, y1 = _box(placed)
    x0, y0, x1, y1 = x0 - _SPARE, y0 - _SPARE, x1 + _SPARE, y1 + _SPARE
    wide, high = x1 - x0, y1 - y0
    columns = max(1, ceil((wide - overlap - 1e-6) / steps[0]))
    rows = max(1, ceil((high - overlap - 1e-6) / steps[1]))
    # What is left over is shared out evenly, so that nothing lies at the very edge.
    left = x0 - 0.5 * (columns * steps[0] + overlap - wide)
    top = y1 + 0.5 * (rows * steps[1] + overlap - high)
    if columns * rows > 50 * MOST_PAGES:
        raise SeamwrightError.of(
            "pdf.too-many-pages",
            f"a grid of {columns} by {rows} pages would be needed",
            hint="check the scale of the file, take larger paper, or fewer sizes",
        )
    grid = (float(left), float(top), float(steps[0]), float(steps[1]))
    plan = Plan(paper[0], paper[1], margin, overlap, rows, columns, placements, (), grid)
    return counted(plan, [p], 0.0)


def counted(plan: Plan, points: Sequence[FloatArray], reach: float) -> Plan:
    """The plan with the pages that hold one of the points, or come within `reach` mm of it.

    A point counts for the window that it lies in without the strip shared with the next one, so
    every point is on a page.
    """
    if plan.grid is None:
        return plan
    left, top, *steps = plan.grid
    rows, columns, margin = plan.rows, plan.columns, plan.margin
    held = np.zeros((rows, columns), dtype=bool)
    for p in points:
        ends = {-reach, reach}
        across = [((p[:, 0] + by - left) / steps[0]).astype(np.int64) for by in sorted(ends)]
        down = [((top - p[:, 1] + by) / steps[1]).astype(np.int64) for by in sorted(ends)]
        for i in across:
            np.clip(i, 0, columns - 1, out=i)
        for j in down:
            np.clip(j, 0, rows - 1, out=j)
            for i in across:
                held[j, i] = True
    pages = []
    inner = (plan.width - 2 * margin, plan.height - 2 * margin)
    for row, column in np.argwhere(held).tolist():
        x, y = left + column * steps[0], top - row * steps[1]
        joins = (
            column > 0 and bool(held[row, column - 1]),
            column + 1 < columns and bool(held[row, column + 1]),
            row > 0 and bool(held[row - 1, column]),
            row + 1 < rows and bool(held[row + 1, column]),
        )
        pages.append(Window((x, y - inner[1], x + inner[0], y), row, column, joins))
    return replace(plan, pages=tuple(pages))


def _on_sheets(layout: Layout, width: float, height: float, sheet: float, margin: float) -> Plan:
    """Whole pieces on pages of their own, below one another on the sheet; a roll is cut where
    its content ends."""
    long = layout.length + 2 * _SPARE if height == inf else sheet
    step = long + 20.0
    placements = tuple(
        Placement(
            dx=p.dx + _SPARE, dy=p.dy + _SPARE - p.sheet * step, degrees=p.degrees, sheet=p.sheet
        )
        for p in layout.placements
    )
    pages = tuple(
        Window((0.0, -k * step, width - 2 * margin, -k * step + long), k, 0)
        for k in range(layout.sheets)
    )
    return Plan(width, long + 2 * margin, margin, 0.0, layout.sheets, 1, placements, pages)


def _placed(
    points: list[FloatArray],
    placements: tuple[Placement, ...],
    guide: tuple[float, float] | None,
) -> list[FloatArray]:
    out = []
    for p, at in zip(points, placements, strict=False):
        m = at.matrix
        out.append(p @ m[:, :2].T + m[:, 2])
    if guide is not None:
        at = placements[-1]
        grid = np.array([(x, y) for x in (0.0, 0.5, 1.0) for y in (0.0, 0.5, 1.0)])
        out.append(grid * np.array(guide) + np.array([at.dx, at.dy]))
    return out


def _box(parts: Sequence[FloatArray]) -> FloatArray:
    p = np.concatenate(parts)
    return np.concatenate((p.min(axis=0), p.max(axis=0)))


def _thinned(points: FloatArray, cell: float) -> FloatArray:
    """One point in each small cell is enough to count pages by."""
    low = points.min(axis=0)
    index = ((points - low) / cell).astype(np.int64)
    _, first = np.unique(index[:, 0] * 1_000_003 + index[:, 1], return_index=True)
    ends = np.concatenate((points.argmin(axis=0), points.argmax(axis=0)))
    out: FloatArray = points[np.unique(np.concatenate((first, ends)))]
    return out


def _letters(row: int) -> str:
    name = ""
    row += 1
    while row:
        row, rest = divmod(row - 1, 26)
        name = chr(ord("A") + rest) + name
    return name
