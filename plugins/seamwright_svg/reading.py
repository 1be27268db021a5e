"""Reading a drawing: bytes in, a pattern and findings out."""

from __future__ import annotations

import json
from collections import defaultdict
from pathlib import PurePath
from typing import Any

import numpy as np

from seamwright.geometry import FloatArray
from seamwright.model import Foreign, Pattern, Piece, Shape, align_sizes
from seamwright.plugins.api import Context, ReadResult, Source

from .areas import overlap
from .bodies import Body, bodies_of, common_marks, name_nests, same_names, settle_bounds, unique_names
from .css import Sheet
from .fragments import lettering_fragment, stroke_fragment
from .gather import Gathered, gather, kept_outside, open_outlines
from .items import Drawing, Lettering, Stroke
from .known import known_factor
from .members import Members
from .metadata import grade_rules_in, notes_in, with_plan
from .naming import piece_name
from .notes import Notes, count, listed
from .options import SvgIn
from .outlines import Outline, as_stroke, nest, split_marks, without_twins
from .references import check_references, split_texts, take_squares
from .scale import Scale, scale_of
from .shape_making import shape_of
from .sizes import Sizes, decide, ordered
from .tree import Tree, parse
from .uses import check_uses
from .walk import walk
from .wording import material_from, name_from, quantity_from


def read(source: Source, options: SvgIn, context: Context) -> ReadResult:
    """The pattern that an SVG drawing holds.

    Raises SeamwrightError where the file as a whole cannot be read (not XML, not SVG, refused for
    safety, over a limit); everything smaller is a finding.
    """
    tree = parse(source.data, source.name, context.limits)
    check_uses(tree, source.name, context.limits)
    notes = Notes(source.name, context)
    sheet = _sheet(tree, notes)
    scale, drawing = _walked(tree, sheet, options, notes, context)
    pattern, facts = _pattern(tree, drawing, scale, options, notes)
    _closing(notes)
    facts["elements"] = tree.count
    return ReadResult(pattern=pattern, findings=tuple(notes.findings), facts=facts)


def _sheet(tree: Tree, notes: Notes) -> Sheet:
    sheet = Sheet()
    for node in tree.root.walk():
        if node.tag == "style":
            sheet.add(node.content())
    notes.external += [f"style sheet: {i}" for i in sheet.imports]
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
        factor = known_factor(walk(tree, sheet, scale, options, trial, context.limits), options, notes)
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
    _report_joins(bodies, gathered, notes)
    _report_open(members, bodies, sizes, options, notes)
    _report_bounds(bodies, notes)
    pattern = _assembled(tree, bodies, sizes, options, notes)
    pattern = pattern.but(foreign=_outside(sorted(members.outside, key=lambda i: i.order), notes))
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


# -- assembling -----------------------------------------------------------------------------


def _assembled(
    tree: Tree, bodies: list[Body], sizes: Sizes, options: SvgIn, notes: Notes
) -> Pattern:
    root = tree.root
    written = _listed_names(root.attrs.get("data-sizes"))
    named = [b.size for b in bodies if b.size is not None]
    order = [s for s in written if s in named] + [
        s for s in ordered(named) if s not in written
    ]  # fmt: skip
    if not order and bodies:
        order = [options.size]
    by_piece: dict[str, list[Body]] = defaultdict(list)
    for name in _listed_names(root.attrs.get("data-pieces")):
        by_piece[name] = []
    for body in bodies:
        by_piece[body.name].append(body)
    pieces: list[Piece] = []
    base = _base(order, root.attrs.get("data-base-size"), options, notes)
    everywhere: list[str] = []
    for name, mine in by_piece.items():
        if not mine:
            continue
        shapes: dict[str, Shape] = {}
        for body in mine:
            if body.size is not None:
                shapes.setdefault(body.size, shape_of(body, body.size, options, notes))
        common = next((b for b in mine if b.size is None), None)
        if common is not None:
            shape = shape_of(common, order[0], options, notes)
            missing = [s for s in order if s not in shapes]
            shapes.update({s: shape.but(size=s) for s in missing})
            if len(order) > 1:
                everywhere.append(name)
        piece = _piece(name, mine, tuple(shapes[s] for s in order if s in shapes))
        pieces.append(piece if all(b.exact for b in mine) else align_sizes(piece, base))
    if everywhere:
        notes.note(
            "sizes.one-for-all",
            f"pieces without a size ({listed(everywhere)}) are taken to be the same in all "
            f"{len(order)} sizes",
        )
    if sizes.loose:
        notes.note(
            "sizes.from-names",
            f"sizes are taken from the ends of names: {listed(ordered(sizes.loose), 12)}",
            hint='to say it outright, name layers "Size 10", "Size 12"',
        )
    if not pieces:
        notes.error(
            "svg.no-outline",
            "the drawing holds no closed outline, so no piece",
            root,
            hint='close the outlines, or join their ends with a wider tolerance: join = "0.5 mm"',
        )
    return Pattern(
        name=root.attrs.get("data-pattern") or _title(tree) or PurePath(notes.file).stem,
        pieces=tuple(pieces),
        sizes=tuple(order),
        base_size=base,
        grade_rules=grade_rules_in(tree, notes),
        notes=notes_in(tree),
    )


def _piece(name: str, mine: list[Body], shapes: tuple[Shape, ...]) -> Piece:
    quantity: tuple[int, int] | None = None
    material = category = ""
    for body in mine:
        named = body.group.named if body.group is not None else None
        words = (named.data("quantity") or "").split() if named is not None else []
        if named is not None and len(words) == 2 and all(w.isdigit() for w in words):
            quantity = (int(words[0]), int(words[1]))
            material = named.data("material") or ""
            category = named.data("category") or ""
            break
        said = [*body.labels, *(t.text for t in body.texts)]
        quantity = quantity or quantity_from(said)
        material = material or material_from(body.texts)
    return Piece(
        name=name, shapes=shapes, quantity=quantity or (1, 0), material=material, category=category
    )


def _base(order: list[str], stated: str | None, options: SvgIn, notes: Notes) -> str:
    if not order:
        return ""
    if options.base_size:
        if options.base_size in order:
            return options.base_size
        notes.error(
            "sizes.no-base",
            f'there is no size "{options.base_size}" in the drawing; '
            f"its sizes: {listed(order, 12)}",
            hint="name one of them as base-size",
        )
    if stated in order:
        return str(stated)
    middle = order[(len(order) - 1) // 2]
    if len(order) > 1:
        notes.note(
            "sizes.base-assumed",
            f'no base size is stated; taken to be the middle one, "{middle}"',
            hint="state it: base-size",
        )
    return middle


def _listed_names(text: str | None) -> list[str]:
    try:
        found = json.loads(text or "[]")
    except ValueError:
        return []
    return [str(s) for s in found] if isinstance(found, list) else []


def _title(tree: Tree) -> str:
    for child in tree.root.children:
        if child.tag == "title":
            return " ".join(child.content().split())
    return ""


# -- findings -------------------------------------------------------------------------------


def _report_joins(bodies: list[Body], gathered: Gathered, notes: Notes) -> None:
    for body in bodies:
        for outline in body.bounds:
            loop = gathered.loops.get(outline)
            if loop is None:
                continue
            x, y = loop.ends[0]
            notes.note(
                "outline.joined",
                f"{body.name}: the outline was drawn in {len(loop.strokes)} strokes; joined, "
                f"the widest gap was {notes.length(loop.gap)}",
                loop.strokes[0].named.node,
                piece=body.name,
                size=body.size,
                x=float(x),
                y=float(y),
                measured=loop.gap,
                repaired=loop.gap > 1e-9,
            )


def _report_open(
    members: Members, bodies: list[Body], sizes: Sizes, options: SvgIn, notes: Notes
) -> None:
    loose: dict[Stroke, Body | None] = {
        s: None for s in members.outside if isinstance(s, Stroke)
    }
    for body in bodies:
        for stroke in body.strokes:
            loose.setdefault(stroke, body)
    for found in open_outlines(list(loose), sizes, float(options.join)):
        holder = loose[found.strokes[0]]
        boxes = np.array([s.curve.bbox for s in found.strokes])
        box = np.concatenate((boxes[:, :2].min(axis=0), boxes[:, 2:].max(axis=0)))
        if holder is not None and overlap(box, holder.outer.shape.box) < 0.5:
            continue  # a line inside a piece may well be open
        (x, y), (u, v) = found.ends
        what = holder.name if holder is not None else _called(found.strokes)
        hint = (
            f'join = "{_rounded_up(found.gap)} mm" closes it; or join the ends in the drawing'
            if found.closes
            else "draw the missing part"
        )
        notes.error(
            "outline.open",
            f"{what + ': ' if what else ''}an outline of {count(len(found.strokes), 'stroke')} does "
            f"not close, its ends lie {notes.length(found.gap)} apart",
            found.strokes[0].named.node,
            piece=what or None,
            x=float(x),
            y=float(y),
            related=((float(u), float(v)),),
            measured=found.gap,
            limit=float(options.join),
            hint=hint,
        )


def _called(strokes: list[Stroke]) -> str:
    for group in reversed(strokes[0].chain()):
        for words in group.named.names:
            name = words.name(without_role=False, without_size=False)
            if name:
                return name
    return ""


def _rounded_up(gap: float) -> str:
    digits = next((d for d in range(4) if gap * 10**d >= 2), 4)
    return f"{np.ceil(gap * 10**digits * 1.001) / 10**digits:g}"


def _report_bounds(bodies: list[Body], notes: Notes) -> None:
    guessed = [b for b in bodies if b.guessed_cut]
    if guessed:
        names = list(dict.fromkeys(b.name for b in guessed))
        notes.warn(
            "outline.two-lines",
            f"two outlines run one inside the other ({listed(names)}): the outer is taken as the "
            "cut line, the inner as the seam line",
            hint='label them "cut line" and "seam line"',
        )
    plain = [
        b
        for b in bodies
        if b.seam is not None and not b.guessed_cut and b.seam.role is None and b.cut is None
    ]
    if plain:
        notes.note(
            "outline.unlabelled",
            f"{count(len(plain), 'outline')} without a label taken as seam lines "
            f"({listed(list(dict.fromkeys(b.name for b in plain)))})",
            hint='if they are cut lines, label them "cut line" and state the allowance',
        )


def _outside(items: list[Stroke | Lettering], notes: Notes) -> tuple[Foreign, ...]:
    if not items:
        return ()
    strokes = [i for i in items if isinstance(i, Stroke)]
    texts = [i for i in items if isinstance(i, Lettering)]
    parts = []
    if strokes:
        parts.append(count(len(strokes), "line"))
    if texts:
        words = [f'"{t.text[:40]}"' for t in texts]
        parts.append(f"{count(len(texts), 'text')} ({listed(words, 3)})")
    notes.note(
        "svg.outside",
        f"outside all pieces: {' and '.join(parts)}; kept for writing SVG again",
    )
    return tuple(
        stroke_fragment(i) if isinstance(i, Stroke) else lettering_fragment(i) for i in items
    )


def _closing(notes: Notes) -> None:
    """Counts become findings."""
    if notes.hidden:
        notes.warn(
            "svg.hidden",
            f"{count(len(notes.hidden), 'hidden part')} left out: {listed(notes.hidden)}",
            hint="show them in the drawing program, or read with hidden = true",
        )
    if notes.external:
        notes.warn(
            "svg.external",
            f"{count(len(notes.external), 'reference')} to something outside the file not followed: "
            f"{listed(notes.external, 3)}",
            hint="what they show is not part of the pattern",
        )
    if notes.left_out:
        counts = [f"{n} {tag}" for tag, n in sorted(notes.left_out.items())]
        notes.warn(
            "svg.not-read",
            f"elements that hold no lines were not read: {listed(counts, 8)}",
            hint="trace images and convert special objects to paths if they matter",
        )
