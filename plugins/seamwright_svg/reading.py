"""Reading a drawing: bytes in, a pattern and findings out."""

from __future__ import annotations

from typing import Any

import numpy as np

from seamwright.geometry import FloatArray
from seamwright.model import Pattern
from seamwright.plugins.api import Context, ReadResult, Source

from .drawing.items import Drawing, Lettering, Stroke
from .drawing.walk import walk
from .measures.known import known_factor
from .measures.scale import Scale, scale_of
from .notes import Notes, count, listed
from .options import SvgIn
from .pieces.bodies import bodies_of, common_marks, name_nests, settle_bounds
from .pieces.gather import gather, kept_outside
from .pieces.members import Members
from .pieces.outlines import Outline, as_stroke, let_speak, nest, split_marks, without_twins
from .pieces.piece_names import same_names, unique_names
from .pieces.references import check_references, split_texts, take_squares
from .pieces.text_sizes import sizes_from_texts
from .shapes.assembling import assembled
from .shapes.telling import outside, tell_bounds, tell_counts, tell_joins, tell_open
from .tree.css import Sheet
from .tree.metadata import with_plan
from .tree.parse import Tree, parse
from .tree.uses import check_uses
from .words.naming import piece_name
from .words.sizes import decide
from .words.wording import name_from


def read(source: Source, options: SvgIn, context: Context) -> ReadResult:
    """The pattern that an SVG drawing holds.

    Raises SeamwrightError where the file as a whole cannot be read (not XML, not SVG, refused for
    safety, over a limit); everything smaller is a finding.
    """
    tree = parse(source.data, source.name, context.limits)
    check_uses(tree, source.name, context.limits)
    notes = Notes(source.name, context)
    sheet = sheet_of(tree, notes)
    scale, drawing = _walked(tree, sheet, options, notes, context)
    pattern, facts = _pattern(tree, drawing, scale, options, notes)
    tell_counts(notes)
    facts["elements"] = tree.count
    return ReadResult(pattern=pattern, findings=tuple(notes.findings), facts=facts)


def sheet_of(tree: Tree, notes: Notes) -> Sheet:
    sheet = Sheet()
    for node in tree.root.walk():
        if node.tag == "style":
            sheet.add(node.content())
    notes.external += [f"style sheet: {i}" for i in (*tree.sheets, *sheet.imports)]
    if sheet.skipped:
        notes.note(
            "svg.style",
            f"{count(len(sheet.skipped), 'style rule')} not understood: {listed(sheet.skipped, 3)}",
            hint="parts that these rules hide or move are read as if the rules were absent",
        )
    return sheet


def _walked(
    tree: Tree, sheet: Sheet, options: SvgIn, notes: Notes, context: Context
) -> tuple[Scale, Drawing]:
    """The drawing in mm. With something of known size in it, it is measured first."""
    scale = scale_of(tree.root, options, context, notes.file)
    if options.known:
        trial = Notes(notes.file, context)
        factor = known_factor(
            walk(tree, sheet, scale, options, trial, context.limits), options, notes
        )
        scale = scale.times(factor)
    notes.findings += scale.findings
    return scale, walk(tree, sheet, scale, options, notes, context.limits)


def _page(scale: Scale) -> FloatArray | None:
    page = scale.page
    if page is None:
        return None
    x0, x1 = page.x * scale.x, (page.x + page.width) * scale.x
    y0, y1 = -(page.y + page.height) * scale.y, -page.y * scale.y
    return np.array([x0, y0, x1, y1])


def _pattern(
    tree: Tree, drawing: Drawing, scale: Scale, options: SvgIn, notes: Notes
) -> tuple[Pattern, dict[str, Any]]:
    let_speak(drawing.strokes)
    sizes = decide(drawing)
    gathered = gather(drawing, sizes, float(options.join), _page(scale))
    outlines, doubled = without_twins(gathered.outlines)

    def named(outline: Outline) -> bool:
        return bool(piece_name(outline, outline.chain(), sizes))

    outlines, marks = split_marks(outlines, named)
    name_nests(outlines, sizes, notes)
    common = common_marks(outlines, sizes)
    marks += common
    outlines = [o for o in outlines if o not in common]
    nest(outlines)
    bodies = bodies_of(outlines, sizes)
    for body in bodies:
        settle_bounds(body)
    texts, aside = split_texts([t for t in drawing.texts if not kept_outside(t.group)])
    members = Members(bodies, sizes)
    members.add_texts(texts)
    squares = take_squares(bodies)
    sizes_from_texts(bodies, notes)
    for body in bodies:
        if not body.exact:
            body.name = body.name or name_from(body.texts)
    same_names(bodies)
    unique_names(bodies, notes)
    if squares:
        members = members.without(squares)
    loose = [*gathered.strokes, *(as_stroke(mark) for mark in marks)]
    members.add_strokes(sorted(loose, key=lambda s: s.order))
    members.outside += gathered.outside
    members.outside += [t for t in drawing.texts if kept_outside(t.group)]
    check_references(gathered.aside, aside, squares, notes)
    tell_joins(bodies, gathered, notes)
    tell_open(members, bodies, sizes, options, notes)
    tell_bounds(bodies, notes)
    pattern = assembled(tree, bodies, sizes, options, notes)
    pattern = pattern.but(foreign=outside(sorted(members.outside, key=lambda i: i.order), notes))
    if doubled:
        notes.note(
            "outline.double",
            f"{count(doubled, 'outline')} drawn twice in the same place; read once",
        )
    if members.shared:
        notes.note(
            "svg.shared-mark",
            f"{count(members.shared, 'line or text', 'lines or texts')} without a size in several "
            "sizes of a piece; each of those sizes has its own",
            hint="put what belongs to one size into that size's layer",
        )
    for frame in gathered.frames:
        notes.note(
            "svg.frame",
            "a rectangle around the pieces is taken as the page's border, not as a piece",
            frame.strokes[0].named.node,
        )
    pattern = with_plan(pattern, tree, notes)
    facts: dict[str, Any] = {
        "strokes": len(drawing.strokes),
        "texts": len(drawing.texts),
        "texts outside": sum(isinstance(i, Lettering) for i in members.outside),
        "strokes outside": sum(isinstance(i, Stroke) for i in members.outside),
        "hidden": len(notes.hidden),
        "left out": dict(notes.left_out),
    }
    return pattern, facts
