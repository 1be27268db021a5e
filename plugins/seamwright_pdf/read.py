"""Reading a PDF: bytes in, a pattern and findings out."""

from __future__ import annotations

from typing import Any

import numpy as np

from seamwright.geometry import FloatArray
from seamwright.model import Pattern
from seamwright.model.recognise import Matrix, Notes, Stated, count, listed, recognise
from seamwright.plugins.api import Context, ReadResult, SeamwrightError, Source

from .options import PdfIn
from .reading.bounds import Bounds
from .reading.content import Interpreter
from .reading.document import active_parts, info, opened
from .reading.drawing import Assembled, Assembler, Sheet
from .reading.items import Content
from .reading.layers import Layers
from .reading.pages import Frame, OwnTile, frame_of, own_tile
from .reading.tiles import Grid, apart, by_shared_lines, on_grid

_MOST_PAGES = 2000


def read(source: Source, options: PdfIn, context: Context) -> ReadResult:
    """The pattern that a PDF holds.

    Raises SeamwrightError: pdf.encrypted, pdf.broken, pdf.limit, pdf.raster, pdf.no-pages,
    pdf.grid.
    """
    notes = Notes(
        source.name,
        "pdf",
        context.length,
        rescale="read with scale = {factor}, if the whole file was made at another size",
    )
    bounds = Bounds(context.limits, source.name)
    with opened(source.data, bounds, source.name) as pdf:
        layers = Layers(pdf.Root)
        frames, contents, tiles = _pages(pdf, options, layers, bounds, notes)
        stated = _stated(pdf)
        _tell_document(pdf, layers, contents, notes)
    assembled = _assembled(frames, contents, tiles, options, notes)
    if not assembled.drawing.strokes:
        _refuse_empty(contents, notes)
    found = recognise(assembled.drawing, options, notes, stated=stated)
    if found.outside:
        notes.note(
            "pdf.outside",
            f"outside all pieces: {count(len(found.outside), 'line or text', 'lines and texts')}; "
            "not kept",
        )
    facts: dict[str, Any] = {
        **found.facts,
        "pages": len(frames),
        "layers": layers.names,
        "repeated": assembled.repeated,
    }
    pattern: Pattern = found.pattern
    return ReadResult(pattern=pattern, findings=tuple(notes.findings), facts=facts)


def _pages(
    pdf: Any, options: PdfIn, layers: Layers, bounds: Bounds, notes: Notes
) -> tuple[list[Frame], list[Content], list[OwnTile | None]]:
    """The pages that are read: frames, contents, and what our own writer says of them."""
    pages = list(pdf.pages)
    if len(pages) > _MOST_PAGES:
        bounds.over("instances", f"{len(pages)} pages; {_MOST_PAGES} are read at most")
    wanted = _numbers(options.pages, len(pages), notes.file)
    interpreter = Interpreter(layers, bounds)
    frames, contents, tiles = [], [], []
    for number in wanted:
        page = pages[number].obj
        frame = _scaled(frame_of(page), float(options.scale))
        tile = own_tile(page)
        if tile is not None and tile.kind != "Tile":
            continue  # a cover holds nothing of the pattern
        to_mm = frame.to_mm if tile is None else tile.to_sheet
        frames.append(frame)
        contents.append(interpreter.page(page, to_mm))
        tiles.append(tile)
    if not frames:
        raise SeamwrightError.of("pdf.no-pages", "there is no page to read", file=notes.file)
    return frames, contents, tiles


def _scaled(frame: Frame, scale: float) -> Frame:
    if scale == 1.0:
        return frame
    a, b, c, d, e, f = (v * scale for v in frame.to_mm)
    return Frame((a, b, c, d, e, f), frame.width * scale, frame.height * scale)


def _numbers(text: str, whole: int, file: str) -> list[int]:
    """Pages as "1, 3-5" to numbers from 0. Raises SeamwrightError."""
    if not text.strip():
        return list(range(whole))
    out: list[int] = []
    for part in text.split(","):
        first, dash, last = part.strip().partition("-")
        if not first.strip().isdigit() or (dash and not last.strip().isdigit()):
            raise _no_pages(text, whole, file)
        a, b = int(first), int(last) if dash else int(first)
        if not 1 <= a <= b <= whole:
            raise _no_pages(text, whole, file)
        out += range(a - 1, b)
    return out


def _no_pages(text: str, whole: int, file: str) -> SeamwrightError:
    return SeamwrightError.of(
        "pdf.no-pages",
        f'"{text}" are no pages of this file, which has {whole}',
        file=file,
        hint='name pages as in "2-9" or "1, 3-5"',
    )


def _assembled(
    frames: list[Frame],
    contents: list[Content],
    tiles: list[OwnTile | None],
    options: PdfIn,
    notes: Notes,
) -> Assembled:
    places = _places(frames, contents, tiles, options, notes)
    assembler = Assembler()
    boxes = [_box(f, p) for f, p in zip(frames, places, strict=True)]
    grid = options.columns is not None
    for i, (frame, content, place, tile) in enumerate(
        zip(frames, contents, places, tiles, strict=True)
    ):
        cell = _cell(i, boxes) if grid and float(options.tile_overlap) > 0 else None
        assembler.add(
            Sheet(i + 1, content, frame, place, boxes[i], own=tile is not None, cell=cell),
            several=len(frames) > 1,
        )
    bands = assembler.bands()
    if bands is not None:
        x, y = bands.at
        notes.warn(
            "line.double",
            f"{count(bands.count, 'line')} drawn as thin filled shapes, "
            f"{notes.length(bands.width)} wide: both sides of a line, not the line",
            x=x,
            y=y,
            measured=bands.width,
            hint="export the lines as strokes; what is measured on these is off by half the width",
        )
    out = assembler.finish()
    if out.clipped:
        notes.note(
            "pdf.clipped",
            f"{count(out.clipped, 'line')} reach out of the page behind a clip and are read whole",
        )
    return out


def _places(
    frames: list[Frame],
    contents: list[Content],
    tiles: list[OwnTile | None],
    options: PdfIn,
    notes: Notes,
) -> list[Matrix]:
    """Where each page goes on the whole sheet."""
    still: Matrix = (1.0, 0.0, 0.0, 1.0, 0.0, 0.0)
    if all(t is not None for t in tiles):
        return [still] * len(frames)
    if options.columns is not None:
        rows = options.rows or -(-len(frames) // options.columns)
        if rows * options.columns < len(frames):
            raise SeamwrightError.of(
                "pdf.grid",
                f"{options.columns} columns and {rows} rows hold {rows * options.columns} pages; "
                f"{len(frames)} are read",
                file=notes.file,
                hint='name the pages that are tiles, as in pages = "2-13"',
            )
        grid = Grid(
            options.columns,
            rows,
            float(options.tile_overlap),
            options.order,
            options.first == "bottom",
        )
        return on_grid(frames, grid)
    if len(frames) == 1:
        return [still]
    found = by_shared_lines(contents, frames)
    if found is not None:
        spots = np.array([m[4:] for m in found])
        columns, rows = (len(np.unique(np.round(spots[:, k] / 5.0))) for k in (0, 1))
        notes.note(
            "pdf.tiles-found",
            f"{len(frames)} pages put together by the lines that they share, {columns} across and "
            f"{rows} down",
            hint="look at a piece that runs over several pages",
        )
        return found
    notes.warn(
        "pdf.separate-pages",
        f"{len(frames)} pages are read as separate sheets",
        hint='if they are parts of one sheet, state the grid: columns = 3, tile-overlap = "10 mm"',
    )
    return apart(frames)


def _box(frame: Frame, place: Matrix) -> FloatArray:
    x, y = place[4], place[5]
    return np.array([x, y, x + frame.width, y + frame.height])


def _cell(number: int, boxes: list[FloatArray]) -> FloatArray:
    """The page's box, its sides moved to the middle of the strips that it shares."""
    cell = boxes[number].copy()
    x0, y0, x1, y1 = boxes[number]
    for k, other in enumerate(boxes):
        if k == number:
            continue
        dx, dy = float(other[0] - x0), float(other[1] - y0)
        if abs(dy) < 1.0 and 0 < abs(dx) < x1 - x0:
            middle = (max(x0, other[0]) + min(x1, other[2])) / 2
            cell[2 if dx > 0 else 0] = middle
        if abs(dx) < 1.0 and 0 < abs(dy) < y1 - y0:
            middle = (max(y0, other[1]) + min(y1, other[3])) / 2
            cell[3 if dy > 0 else 1] = middle
    return cell


def _stated(pdf: Any) -> Stated:
    sizes = info(pdf, "SeamwrightSizes")
    own = isinstance(sizes, list)
    title = info(pdf, "Title")
    base = info(pdf, "SeamwrightBase")
    return Stated(
        name=str(title) if own and title else "",
        title=str(title or ""),
        sizes=tuple(str(s) for s in sizes) if isinstance(sizes, list) else (),
        base_size=str(base) if base is not None else "",
        layers=frozenset(str(s) for s in sizes) if isinstance(sizes, list) else frozenset(),
    )


def _tell_document(pdf: Any, layers: Layers, contents: list[Content], notes: Notes) -> None:
    active = active_parts(pdf)
    if active:
        notes.note(
            "pdf.active", f"the file brings {listed(active)}; nothing of it was run or opened"
        )
    if layers.off:
        notes.note(
            "pdf.layers-off",
            f"{count(len(layers.off), 'layer')} off when the file is opened, and read all the "
            f"same: {listed(layers.off, 8)}",
        )
    images = sum(c.images for c in contents)
    if images and any(c.paths for c in contents):
        notes.warn(
            "pdf.images",
            f"{count(images, 'image')} left out: pictures hold no lines",
            hint="if a part of the pattern is missing, it is in a picture: trace it",
        )
    unreadable = sum(c.unreadable_texts for c in contents)
    if unreadable:
        notes.warn(
            "pdf.unreadable-text",
            f"{count(unreadable, 'text')} with letters that the file does not explain",
        )


def _refuse_empty(contents: list[Content], notes: Notes) -> None:
    images = sum(c.images for c in contents)
    if images:
        raise SeamwrightError.of(
            "pdf.raster",
            f"the file holds {count(images, 'picture')} and no lines: it is a scan or an image",
            file=notes.file,
            hint="get the pattern as a vector file, or trace the lines in a drawing program",
        )
    raise SeamwrightError.of(
        "pdf.no-lines", "the pages draw no lines", file=notes.file, hint="look at other pages"
    )
