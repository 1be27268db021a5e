"""Reading a drawing: bytes in, a pattern and findings out."""

from __future__ import annotations

import json
from typing import Any

import numpy as np

from seamwright.geometry import FloatArray
from seamwright.model import Pattern
from seamwright.model.recognise import Drawing, Stated, recognise
from seamwright.plugins.api import Context, ReadResult, Source

from .drawing.walk import walk
from .fragments import outside
from .measures.known import known_factor
from .measures.scale import Scale, scale_of
from .notes import Notes, count, listed, notes_for, tell_counts
from .options import SvgIn
from .tree.css import Sheet
from .tree.metadata import grade_rules_in, notes_in, with_plan
from .tree.parse import Tree, parse
from .tree.uses import check_uses


def read(source: Source, options: SvgIn, context: Context) -> ReadResult:
    """The pattern that an SVG drawing holds.

    Raises SeamwrightError where the file as a whole cannot be read (not XML, not SVG, refused for
    safety, over a limit); everything smaller is a finding.
    """
    tree = parse(source.data, source.name, context.limits)
    check_uses(tree, source.name, context.limits)
    notes = notes_for(source.name, context)
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
        trial = notes_for(notes.file, context)
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
    found = recognise(drawing, options, notes, stated=_stated(tree), page=_page(scale))
    pattern = found.pattern.but(
        foreign=outside(found.outside, notes),
        grade_rules=grade_rules_in(tree, notes),
        notes=notes_in(tree),
    )
    pattern = with_plan(pattern, tree, notes)
    facts = {**found.facts, "hidden": len(notes.hidden), "left out": dict(notes.left_out)}
    return pattern, facts


def _stated(tree: Tree) -> Stated:
    attrs = tree.root.attrs
    layers = (node.attrs.get("data-size") for node in tree.root.children)
    titles = (c.content() for c in tree.root.children if c.tag == "title")
    return Stated(
        name=attrs.get("data-pattern", ""),
        title=" ".join(next(titles, "").split()),
        sizes=_names(attrs.get("data-sizes")),
        pieces=_names(attrs.get("data-pieces")),
        base_size=attrs.get("data-base-size", ""),
        layers=frozenset(size for size in layers if size is not None),
        root=tree.root,
    )


def _names(text: str | None) -> tuple[str, ...]:
    try:
        found = json.loads(text or "[]")
    except ValueError:
        return ()
    return tuple(str(s) for s in found) if isinstance(found, list) else ()
