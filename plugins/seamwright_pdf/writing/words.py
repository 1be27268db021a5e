"""Words of a piece, each at a place inside it that no line crosses."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from scipy.spatial import cKDTree

from seamwright.geometry import FloatArray
from seamwright.model import Piece, Shape, Text, TextRole
from seamwright.model.layout import samples
from seamwright.numbers import fixed

from ..layout_words import WORDS
from .cells import Cells, inside_all
from .letters import ASCENT, CAP, DESCENT, Letters, fitted
from .looks import Look
from .operators import fill, numbers, string, tagged
from .units import SHARED, Laid, Unit

_CELL: Final = 1.0  # mm
SPACING: Final = 0.9  # mm between the points that occupy cells
_SCALES: Final = (1.0, 0.75, 0.55, 0.42, 0.32)
_NAME: Final = 9.0  # mm; font size of a piece's name, and of the lines below it
_LINE: Final = 5.0
_APART: Final = 2.5  # mm; nearer than this to the next size's line, a line is not named
_LEAST: Final = 2.0
_WIDEST: Final = 170.0  # mm; a longer name is cut off with an ellipsis
_JOIN: Final = 5.0  # mm; words keep so far from where pages meet, clear of matching marks
_TRIED: Final = 400


@dataclass(slots=True)
class Told:
    """What the words of all pieces had to be content with."""

    outside: list[str]
    unmarked: int = 0


Grid = tuple[float, float, float, float] | None
"""Left, top and steps of the pages; None where a piece lies on one page whole."""


def instructions(
    pattern_name: str, piece: Piece, shapes: Sequence[Shape], *, number: int, count: int
) -> list[str]:
    """The lines under a piece's name."""
    sizes = [s.size for s in shapes]
    size = f"Sizes {sizes[0]} to {sizes[-1]}" if len(sizes) > 1 else f"Size {sizes[0]}"
    right, left = piece.quantity
    cut = f"Cut {right}" if not left else f"Cut {right} + {left} mirrored"
    if any(s.mirrored_half for s in shapes):
        cut += " on the fold"
    if piece.material:
        cut += f" · {piece.material}"
    out = [f"{pattern_name} · {size}" if pattern_name else size, cut, f"Piece {number} of {count}"]
    if not any(s.cut_line is not None for s in shapes):
        out.append("Seam lines: add seam allowance")
    return out


def letter(
    laid: Laid,
    block: list[str],
    looks: Sequence[Look],
    letters: Letters,
    told: Told,
    grid: Grid,
) -> list[Unit]:
    """All words of one piece as units. block: the name first, then the lines below it."""
    boxes = np.array([c.bbox for c in laid.drawn])
    box = np.concatenate((boxes[:, :2].min(axis=0), boxes[:, 2:].max(axis=0)))
    cells = Cells((box[0] - 12, box[1] - 12, box[2] + 12, box[3] + 12), _CELL)
    laid.points = samples(laid.drawn, SPACING)
    cells.add_points(laid.points)
    for curve in laid.drawn:  # arrow heads
        if curve.n == 1:
            for x, y in (curve.start, curve.end):
                cells.add_box(float(x) - 2.5, float(y) - 2.5, float(x) + 2.5, float(y) + 2.5)
    rings = [laid.seam[size].flatten(0.2) for size, _ in laid.shapes]
    out = _texts(laid, cells, rings, letters, told)
    if block:
        out += _block(laid, block, cells, rings, letters, told, grid)
    if len(laid.shapes) > 1:
        out += _size_names(laid, cells, looks, letters, told, grid)
    return out


def _nearest_inside(
    corners: FloatArray, wanted: FloatArray, size: FloatArray, rings: list[FloatArray]
) -> FloatArray | None:
    """Of free boxes the one nearest to where it is wanted (its middle) with its middle in all
    rings; no line crosses a free box, so then all of it is inside."""
    middles = corners + 0.5 * size
    order = np.argsort(np.hypot(*(middles - wanted).T), kind="stable")
    for start in range(0, min(len(order), 40 * _TRIED), _TRIED):
        some = order[start : start + _TRIED]
        good = inside_all(rings, middles[some])
        if good.any():
            out: FloatArray = corners[some[int(np.argmax(good))]]
            return out
    return None


def _block(
    laid: Laid,
    block: list[str],
    cells: Cells,
    rings: list[FloatArray],
    letters: Letters,
    told: Told,
    grid: Grid,
) -> list[Unit]:
    smallest = min(rings, key=lambda r: float(np.ptp(r[:, 0]) * np.ptp(r[:, 1])))
    middle = 0.5 * (smallest.min(axis=0) + smallest.max(axis=0))
    tries = [(scale, True) for scale in _SCALES[:4] if grid is not None]
    tries += [(scale, False) for scale in _SCALES]
    for scale, whole in tries:
        rows = _rows(block, scale, letters)
        wide = max(w for _, _, w in rows)
        high = sum(1.25 * h for _, h, _ in rows)
        for turned in (False, True):
            size = np.array([high, wide] if turned else [wide, high])
            free = cells.free(*size)
            if whole and grid is not None:
                free = free[_on_one_page(free, size, grid)]
            corner = _nearest_inside(free, middle, size, rings)
            if corner is not None:
                return [_set(laid, rows, corner, size, turned, cells, letters)]
    told.outside.append(laid.piece.name)
    rows = _rows(block, _SCALES[-1], letters)
    size = np.array([max(w for _, _, w in rows), sum(1.25 * h for _, h, _ in rows)])
    free = cells.free(*size)
    if not len(free):
        rows = rows[:1]
        size = np.array([rows[0][2], 1.25 * rows[0][1]])
        free = cells.free(*size)
    if not len(free):
        return []
    corner = free[int(np.argmin(np.hypot(*(free + 0.5 * size - middle).T)))]
    return [_set(laid, rows, corner, size, False, cells, letters)]


def _on_one_page(
    corners: FloatArray, size: FloatArray, grid: tuple[float, float, float, float]
) -> np.ndarray:
    """Which boxes no join of pages cuts, nor the strip beside it."""
    left, top, step_x, step_y = grid
    low, far = corners - _JOIN, corners + size + _JOIN
    out: np.ndarray = (
        np.floor((low[:, 0] - left) / step_x) == np.floor((far[:, 0] - left) / step_x)
    ) & (np.floor((top - low[:, 1]) / step_y) == np.floor((top - far[:, 1]) / step_y))
    return out


def _rows(block: list[str], scale: float, letters: Letters) -> list[tuple[str, float, float]]:
    out = []
    for i, text in enumerate(block):
        height = max(_LEAST, scale * (_NAME if i == 0 else _LINE))
        text = fitted(letters, text, height, _WIDEST * scale)
        out.append((text, height, letters.width(text, height)))
    return out


def _set(
    laid: Laid,
    rows: list[tuple[str, float, float]],
    corner: FloatArray,
    size: FloatArray,
    turned: bool,
    cells: Cells,
    letters: Letters,
) -> Unit:
    x0, y0 = (float(v) for v in corner)
    x1, y1 = x0 + float(size[0]), y0 + float(size[1])
    words, down = [fill((0.0,))], 0.0
    for text, height, _ in rows:
        base = down + (0.125 + ASCENT) * height
        down += 1.25 * height
        if turned:  # reads from below upwards
            words.append(letters.show(text, x0 + base, (y0 + y1) / 2, height, turn=90, anchor=0.5))
        else:
            words.append(letters.show(text, (x0 + x1) / 2, y1 - base, height, anchor=0.5))
    cells.add_box(x0, y0, x1, y1)
    code = tagged("Artifact", "", "\n".join(words))
    return Unit(SHARED, laid.number, WORDS, "", (x0, y0, x1, y1), code)


def _texts(
    laid: Laid, cells: Cells, rings: list[FloatArray], letters: Letters, told: Told
) -> list[Unit]:
    """The file's own texts: at their place where it is free, else at the nearest free one. The
    same words in several sizes lie on each other, so that they can be read with all sizes on."""
    from .shapes import _head  # noqa: PLC0415 - the same head as the piece's lines

    places: dict[tuple[str, float], tuple[float, float, bool]] = {}
    out = []
    for size, shape in laid.shapes:
        head = _head(laid, shape, False) if shape.texts else ""
        for text in shape.texts:
            shown = letters.printable(text.text)
            height = min(max(text.height, _LEAST), 60.0)
            wide = max(letters.width(shown, height), 0.5)
            key = (text.text, text.height)
            if key not in places:
                places[key] = _text_place(laid, text, wide, height, cells, rings, told)
            x, y, turned = places[key]
            box = (x, y, x + height, y + wide) if turned else (x, y, x + wide, y + height)
            words = (
                letters.show(shown, x + ASCENT * height, y, height, turn=90)
                if turned
                else letters.show(shown, x, y + DESCENT * height, height)
            )
            facts = (
                f"/Words {string(text.text)} /At {numbers(text.at)} "
                f"/Height {fixed(text.height, 9)} /Turn {fixed(text.rotation, 9)} "
                f"/Role {string(text.role.value)}"
            )
            if text.layer:
                facts += f" /Layer {string(text.layer)}"
            code = f"{fill((0.0,))}\n{tagged('Text', facts, words)}"
            out.append(Unit(size, laid.number, WORDS, head, box, code))
    return out


def _text_place(
    laid: Laid,
    text: Text,
    wide: float,
    height: float,
    cells: Cells,
    rings: list[FloatArray],
    told: Told,
) -> tuple[float, float, bool]:
    """Lower left of the text's box, and whether it stands upright along the sheet."""
    # Along the paper's width, as one reads, unless it was drawn aslant or along something.
    angle = (text.rotation + laid.placement.degrees) % 180.0 if text.rotation else 0.0
    turned = 45.0 <= angle < 135.0
    size = np.array([height, wide] if turned else [wide, height])
    c, s = np.cos(np.radians(text.rotation)), np.sin(np.radians(text.rotation))
    middle = (
        text.at[0] + 0.5 * (wide * c - 0.5 * height * s),
        text.at[1] + 0.5 * (wide * s + 0.5 * height * c),
    )
    wanted = np.array(laid.on_sheet(middle))
    corner = wanted - 0.5 * size
    if not cells.is_free(*corner, *(corner + size)):
        for way in (turned, not turned):
            measure = np.array([height, wide] if way else [wide, height])
            free = cells.free(*measure)
            found = _nearest_inside(free, wanted, measure, rings)
            if found is None and len(free):
                found = free[int(np.argmin(np.hypot(*(free + 0.5 * measure - wanted).T)))]
                told.outside.append(laid.piece.name)
            if found is not None:
                corner, size, turned = found, measure, way
                break
        else:
            told.outside.append(laid.piece.name)
    cells.add_box(*(float(v) for v in (*corner, *(corner + size))))
    return float(corner[0]), float(corner[1]), turned


def _size_names(
    laid: Laid,
    cells: Cells,
    looks: Sequence[Look],
    letters: Letters,
    told: Told,
    grid: Grid,
) -> list[Unit]:
    """Each size's name beside its own line, inside it, at up to three places."""
    out = []
    spread = {size: cKDTree(samples([laid.outer[size]], 1.5 * _APART)) for size, _ in laid.shapes}
    order = [size for size, _ in laid.shapes]
    for index, (size, shape) in enumerate(laid.shapes):
        name = letters.printable(shape.size)
        curve = laid.outer[size]
        each = max(1, int(np.clip(curve.length / 10.0, 24, 160)) // curve.n)
        segments = np.repeat(np.arange(curve.n), each)
        ts = np.tile((np.arange(each) + 0.5) / each, curve.n)
        count = len(ts)
        points, along = curve.points_of(segments, ts), curve.tangents_of(segments, ts)
        normals = np.stack((-along[:, 1], along[:, 0]), axis=1)
        # Only where the line can be told from those of the neighbouring sizes.
        alone = np.ones(count, dtype=bool)
        for other in order[max(index - 1, 0) : index + 2]:
            if other != size:
                alone &= (
                    spread[other].query(points, distance_upper_bound=1.3 * _APART)[0]
                    > 1.25 * _APART
                )
        if not alone.any():
            continue
        found: list[int] = []
        for height, far in ((3.4, 2.2), (2.4, 1.7), (3.4, 3.6), (2.4, 2.9)):
            wide, high = letters.width(name, height), (CAP + 0.05) * height
            reach = 0.5 * (np.abs(normals[:, 0]) * wide + np.abs(normals[:, 1]) * high)
            middles = points + (reach + far * _CELL)[:, None] * normals
            corners = middles - 0.5 * np.array([wide, high])
            fit = alone & cells.are_free(corners, wide, high)
            if grid is not None:
                fit &= _on_one_page(corners, np.array([wide, high]), grid)
            good = np.flatnonzero(fit)
            for i in good.tolist():
                if len(found) < 3 and all(
                    min(abs(i - j), count - abs(i - j)) > count // 5 for j in found
                ):
                    found.append(i)
                    x, y = (float(v) for v in corners[i])
                    cells.add_box(x, y, x + wide, y + high)
                    code = f"{fill(looks[size].ink)}\n" + tagged(
                        "Artifact", "", letters.show(name, x, y + 0.03 * height, height)
                    )
                    box = (x, y, x + wide, y + high)
                    out.append(Unit(size, laid.number, WORDS, "", box, code))
            if len(found) == 3:
                break
        if not found:
            told.unmarked += 1
    return out


def says_its_name(piece: Piece, shapes: Sequence[Shape]) -> bool:
    """Whether a text of the file says the piece's name already."""
    return any(
        t.role is TextRole.NAME or t.text.strip() == piece.name for s in shapes for t in s.texts
    )
