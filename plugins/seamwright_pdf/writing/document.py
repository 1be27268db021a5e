"""A pattern as a PDF: chosen, laid out, drawn, finished."""

from __future__ import annotations

from dataclasses import replace
from io import BytesIO
from math import isfinite
from typing import Final

import numpy as np
from reportlab.pdfgen.canvas import Canvas

from seamwright.geometry import Curve
from seamwright.model import Pattern, Piece, Shape
from seamwright.plugins.api import (
    Context,
    Finding,
    Part,
    SeamwrightError,
    Severity,
    WriteResult,
    did_you_mean,
)

from ..options import PdfOut
from ..paper import Paper, paper_of
from . import guide
from .arrange import LARGEST, Plan, arrange, counted
from .content import page_content
from .finish import GUIDE_KEY, Layers, PageData, finish
from .frames import frame, names, window_shift
from .letters import Letters, names_of, sound
from .looks import look_of
from .operators import ALONG
from .shapes import draw
from .units import Laid, Unit
from .words import SPACING, Told, instructions, letter, says_its_name

_LARGE: Final = 400.0  # mm; on paper with no side below it the guide lies among the pieces
_KEY_ROOM: Final = 55.0
_KEY_PAGE: Final = 7.0  # mm; smaller pages on the key plan send it to a page of its own

Chosen = list[tuple[Piece, list[tuple[int, Shape]]]]


def write(pattern: Pattern, options: PdfOut, context: Context) -> WriteResult:
    """The document in one part. Raises SeamwrightError: pdf.nothing, pdf.no-size,
    pdf.out-of-range, pdf.too-many-pages."""
    sizes = _sizes(pattern, options)
    chosen = _chosen(pattern, sizes)
    _in_range(chosen)
    paper = paper_of(options.paper)
    out = BytesIO()
    canvas = Canvas(out, pageCompression=0, invariant=1)
    letters = Letters(canvas)
    title = options.title or pattern.name
    facts = _facts(pattern, chosen, sizes, title, letters, options)
    apart = not (paper.free or paper.roll or min(paper.width, paper.height) >= _LARGE)
    width = min(guide.WIDTH, paper.width - 2 * float(options.margin))
    block = None if apart else (width, guide.height_of(facts, width) + 5.5 + _KEY_ROOM + 8.0)
    plan = arrange(
        [_lines(shapes) for _, shapes in chosen],
        [[shape for _, shape in shapes] for _, shapes in chosen],
        options,
        paper,
        guide=block,
    )
    laid, units, told = _drawn(pattern, chosen, sizes, plan, letters, options)
    points = np.concatenate([one.points for one in laid])
    held = [points, *(np.array(u.box).reshape(2, 2) for u in units if u.kind == "words")]
    if block is not None:
        at = plan.placements[-1]
        held.append(np.array([(at.dx + x, at.dy + y) for x in (0.0, block[0] / 2, block[0])
                              for y in (0.0, block[1] / 2, block[1])]))  # fmt: skip
    plan = counted(plan, held, 0.6 * SPACING)
    facts = replace(facts, summary=(*facts.summary, _pages_in_words(plan)))
    contents, pages = _pages(plan, laid, units, points, title, letters, facts, block, options)
    if apart:
        cover = _cover(plan, laid, letters, facts, paper, options)
        contents[:0], pages[:0] = cover[0], cover[1]
    for (wide, high), _ in contents:  # what is on them is put in at the end, packed only once
        canvas.setPageSize((wide * ALONG, high * ALONG))
        canvas.showPage()
    canvas.setTitle(sound(title))
    canvas.setAuthor(sound(options.author or _author(pattern)))
    canvas.setSubject("Sewing pattern at true size")
    canvas.setCreator("Seamwright")
    canvas.save()
    on = set(options.show) if options.show else set(sizes)
    layers = Layers(
        sizes=tuple(map(sound, sizes)),
        on=tuple(size in on for size in sizes),
        used=frozenset((u.size, u.kind) for u in units if u.size >= 0),
    )
    base = pattern.base_size if pattern.base_size in sizes else sizes[len(sizes) // 2]
    data = finish(
        out.getvalue(),
        [c for _, c in contents],
        pages,
        layers,
        base=sound(base),
        all_sizes=[sound(s) for s in sizes],
    )
    findings = _findings(plan, paper, letters, told, len(contents), context)
    return WriteResult(parts=(Part(data=data),), findings=tuple(findings))


def _pages_in_words(plan: Plan) -> str:
    count = len(plan.pages)
    if count == 1:
        return "1 page"
    first, last = plan.pages[0].name, plan.pages[-1].name
    words = f"{count} pages, {first} to {last}: the letter is the row, the number the column"
    return f"{words} ({plan.left_out} empty ones left out)" if plan.left_out else words


def _sizes(pattern: Pattern, options: PdfOut) -> list[str]:
    used = [shape.size for piece in pattern.pieces for shape in piece.shapes]
    there = list(dict.fromkeys((*pattern.sizes, *used)))
    for name in (*options.sizes, *options.show):
        if name not in there:
            raise SeamwrightError.of(
                "pdf.no-size",
                f'the pattern has no size "{name}"',
                hint=f"{did_you_mean(name, there)}; its sizes: {', '.join(there)}",
            )
    found = [s for s in there if s in used and (not options.sizes or s in options.sizes)]
    if not found:
        raise SeamwrightError.of(
            "pdf.nothing",
            "the pattern has no piece in any size: there is nothing to draw",
            hint="look at what was read",
        )
    return found


def _chosen(pattern: Pattern, sizes: list[str]) -> Chosen:
    number = {size: i for i, size in enumerate(sizes)}
    out: Chosen = []
    for piece in pattern.pieces:
        shapes = [(number[s.size], s) for s in piece.shapes if s.size in number]
        if shapes:
            out.append((piece, sorted(shapes, key=lambda pair: pair[0])))
    return out


def _in_range(chosen: Chosen) -> None:
    for piece, shapes in chosen:
        for _, shape in shapes:
            points = [t.at for t in shape.texts] + [h.at for h in shape.drill_holes]
            points += [d.apex for d in shape.darts]
            if shape.grain_line is not None:
                points += [shape.grain_line.start, shape.grain_line.end]
            box = shape.seam_line.bbox
            middle = 0.5 * (box[:2] + box[2:])
            far = [abs(v - m) for p in points for v, m in zip(p, middle, strict=True)]
            far += [float(v) for v in box[2:] - box[:2]]
            figures = [t.height for t in shape.texts] + [t.rotation for t in shape.texts]
            figures += [v for n in shape.notches for v in (n.depth, n.width, n.angle) if v]
            bad = [v for v in (*far, *figures) if not isfinite(v)]
            if bad or max(far) > LARGEST:
                what = "a number that is none" if bad else f"an extent of {max(far):.0f} mm"
                raise SeamwrightError.of(
                    "pdf.out-of-range",
                    f'the piece "{piece.name}" holds {what}: no paper holds that',
                    piece=piece.name,
                    size=shape.size,
                    hint="check the scale of the file, and look for a stray point",
                )


def _lines(shapes: list[tuple[int, Shape]]) -> list[Curve]:
    """All that is drawn of a piece, where it lies in the pattern."""
    out: list[Curve] = []
    for _, shape in shapes:
        out.append(shape.seam_line)
        if shape.cut_line is not None:
            out.append(shape.cut_line)
        out += [line.curve for line in shape.internal_lines]
        if shape.grain_line is not None and shape.grain_line.start != shape.grain_line.end:
            out.append(Curve.line(shape.grain_line.start, shape.grain_line.end))
        out += [Curve.polyline([d.apex, d.apex]) for d in shape.darts]
        out += [Curve.circle(h.at, 5.0) for h in shape.drill_holes]
    return out


def _drawn(
    pattern: Pattern,
    chosen: Chosen,
    sizes: list[str],
    plan: Plan,
    letters: Letters,
    options: PdfOut,
) -> tuple[list[Laid], list[Unit], Told]:
    looks = [look_of(i, len(sizes), colour=options.colour) for i in range(len(sizes))]
    all_laid, units, told = [], [], Told([])
    for number, (piece, shapes) in enumerate(chosen):
        laid = Laid(number, piece, plan.placements[number], shapes)
        for size, shape in shapes:
            units += draw(
                laid, size=size, shape=shape, look=looks[size], lone=len(sizes) == 1,
                base=shape.size == pattern.base_size,
            )  # fmt: skip
        only = [shape for _, shape in shapes]
        block = instructions(
            pattern.name, piece, only, number=number + 1, count=len(chosen)
        )  # fmt: skip
        if not says_its_name(piece, only):
            block.insert(0, piece.name)
        units += letter(
            laid, [letters.printable(t) for t in block], looks, letters, told, plan.grid
        )
        all_laid.append(laid)
    return all_laid, units, told


def _facts(
    pattern: Pattern,
    chosen: Chosen,
    sizes: list[str],
    title: str,
    letters: Letters,
    options: PdfOut,
) -> guide.Facts:
    pieces = len(chosen)
    words = f"{pieces} piece" + ("" if pieces == 1 else "s")
    words += f" · sizes {sizes[0]} to {sizes[-1]}" if len(sizes) > 1 else f" · size {sizes[0]}"
    rows = [letters.printable(words)]
    author = options.author or _author(pattern)
    if author:
        rows.append(letters.printable(author))
    shapes = [shape for _, some in chosen for _, shape in some]
    return guide.Facts(
        title=letters.printable(title),
        summary=tuple(rows),
        sizes=tuple(sizes),
        looks=tuple(look_of(i, len(sizes), colour=options.colour) for i in range(len(sizes))),
        cut_and_seam=any(s.cut_line is not None for s in shapes),
    )


def _author(pattern: Pattern) -> str:
    return next((text for name, text in pattern.notes if name.casefold() == "author"), "")


Contents = list[tuple[tuple[float, float], str]]


def _pages(
    plan: Plan,
    laid: list[Laid],
    units: list[Unit],
    points: np.ndarray,
    title: str,
    letters: Letters,
    facts: guide.Facts,
    block: tuple[float, float] | None,
    options: PdfOut,
) -> tuple[Contents, list[PageData]]:
    taken = [u.box for u in units if u.kind == "words"]
    guided = ""
    if block is not None:
        at = plan.placements[-1]
        top = at.dy + block[1]
        guided, y = guide.draw(facts, letters, at.dx, top - 2.0, block[0], plan.overlap)
        if options.key_plan and len(plan.pages) > 1:
            room = (at.dx, at.dy, at.dx + block[0], y - 3.0)
            guided += "\n" + guide.key_plan(plan, _rings(laid), letters, room)
        guided = f"/OC /{GUIDE_KEY} BDC /Artifact BMC\n{guided}\nEMC EMC"
        taken.append((at.dx, at.dy, at.dx + block[0], top))
    tiled = len(plan.pages) > 1 or plan.grid is not None
    named = names(plan, points, taken, letters.printable(title), letters) if tiled else {}
    boxes = np.array([u.box for u in units])
    contents: Contents = []
    pages = []
    for page in plan.pages:
        furniture = f"{frame(plan, page)}\n{named[page.name]}" if tiled else ""
        content = page_content(plan, page, units, boxes, furniture)
        tx, ty = window_shift(plan, page)
        if guided:
            box = plan.placements[-1]
            if _meets(page.box, (box.dx, box.dy, box.dx + block[0], box.dy + block[1])):  # type: ignore[index]
                content = content[:-1] + guided + "\nQ"
        contents.append(((plan.width, plan.height), content))
        pages.append(
            PageData(
                page.name,
                {
                    "Kind": "/Tile", "Row": page.row, "Column": page.column,
                    "Window": [float(v) for v in page.box], "Shift": [tx, ty],
                    "Overlap": float(plan.overlap),
                },
            )
        )  # fmt: skip
    return contents, pages


def _meets(a: tuple[float, ...], b: tuple[float, ...]) -> bool:
    return a[0] < b[2] and b[0] < a[2] and a[1] < b[3] and b[1] < a[3]


def _rings(laid: list[Laid]) -> list[np.ndarray]:
    """The largest outline of each piece, coarse."""
    out = []
    for one in laid:
        largest = max(one.outer.values(), key=lambda c: abs(c.area))
        out.append(largest.flatten(1.0))
    return out


def _cover(
    plan: Plan,
    laid: list[Laid],
    letters: Letters,
    facts: guide.Facts,
    paper: Paper,
    options: PdfOut,
) -> tuple[Contents, list[PageData]]:
    """The first page, upright where its line fits, and one for the key plan where it does not."""
    margin = float(options.margin)
    wide, high = paper.width, paper.height
    if wide - 2 * margin < guide.LINE <= high - 2 * margin:
        wide, high = high, wide
    inset = margin + 2.0
    content, y = guide.draw(
        facts, letters, inset, high - inset, min(wide - 2 * inset, 190.0), plan.overlap
    )
    contents = [content]
    if options.key_plan:
        room = (inset, inset, wide - inset, y - 4.0)
        if room[3] - room[1] < _KEY_ROOM or guide.smallest_page(plan, room) < _KEY_PAGE:
            room = (inset, inset, wide - inset, high - inset)
            contents.append("")
        contents[-1] += "\n" + guide.key_plan(plan, _rings(laid), letters, room)
    return (
        [
            ((wide, high), f"q 1 J 1 j\n/OC /{GUIDE_KEY} BDC /Artifact BMC\n{c}\nEMC EMC\nQ")
            for c in contents
        ],
        [PageData("Guide" if i == 0 else "Plan", {"Kind": "/Cover"}) for i in range(len(contents))],
    )


def _findings(
    plan: Plan, paper: Paper, letters: Letters, told: Told, count: int, context: Context
) -> list[Finding]:
    shown = f"{context.length(plan.width)} by {context.length(plan.height)}"
    message = f"{count} page{'' if count == 1 else 's'} on paper {paper.name} ({shown})"
    if plan.grid is not None and plan.rows * plan.columns > 1:
        message += f": {plan.rows} rows of {plan.columns}"
        if plan.left_out:
            message += f", {plan.left_out} of them empty and left out"
    out = [Finding(code="pdf.pages", severity=Severity.NOTE, message=message, measured=None)]
    if (paper.roll or paper.free) and len(plan.pages) > 1:
        out.append(
            Finding(
                code="pdf.split",
                severity=Severity.WARNING,
                message=f"the sheet would be longer than {context.length(5080.0)}, which viewers "
                f"read differently: it is split into {len(plan.pages)} pages",
                measured=float(len(plan.pages)),
                hint="print all of them; wider paper needs fewer",
            )
        )
    if letters.missing:
        out.append(
            Finding(
                code="pdf.glyph",
                severity=Severity.WARNING,
                message=f"the font has no letters for {names_of(letters.missing)}: they are "
                "printed by these numbers",
                hint="rename what holds them if it must be read on paper",
            )
        )
    outside = list(dict.fromkeys(told.outside))
    if outside or told.unmarked:
        words = []
        if outside:
            words.append(f"no room inside for the words of {', '.join(outside[:6])}")
        if told.unmarked:
            words.append(f"{told.unmarked} lines without room for their size's name beside them")
        out.append(
            Finding(
                code="pdf.label",
                severity=Severity.NOTE,
                message="; ".join(words),
                hint="the key on the first page tells the sizes by their line patterns",
            )
        )
    return out
