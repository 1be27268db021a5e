"""A drawing to a pattern, step by step."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from seamwright.geometry import FloatArray
from seamwright.model.pattern import Pattern

from .items import Drawing, Lettering, Stroke
from .notes import Notes, count
from .pieces.bodies import bodies_of, common_marks, name_nests, settle_bounds
from .pieces.gather import gather, kept_outside
from .pieces.members import Members
from .pieces.outlines import Outline, as_stroke, let_speak, nest, split_marks, without_twins
from .pieces.piece_names import same_names, unique_names
from .pieces.references import check_references, split_texts, take_squares
from .pieces.text_sizes import sizes_from_texts
from .shapes.assembling import Stated, assembled
from .shapes.telling import tell_bounds, tell_joins, tell_open
from .wishes import Wishes
from .words.naming import piece_name
from .words.sizes import decide
from .words.wording import name_from


@dataclass(frozen=True, slots=True)
class Recognised:
    """pattern, what lies outside all its pieces (in the drawing's order), and counts."""

    pattern: Pattern
    outside: tuple[Stroke | Lettering, ...]
    facts: dict[str, Any]


def recognise(
    drawing: Drawing,
    wishes: Wishes,
    notes: Notes,
    *,
    stated: Stated | None = None,
    page: FloatArray | None = None,
) -> Recognised:
    """The pattern that a drawing holds.

    stated  what the file says of the pattern as a whole
    page    the page's box x0, y0, x1, y1 in mm, None where there is none: a rectangle of that
            size around pieces is a border

    What was noticed goes to `notes`; no error is raised for what a drawing may hold.
    """
    let_speak(drawing.strokes)
    sizes = decide(drawing)
    gathered = gather(drawing, sizes, float(wishes.join), page)
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
    tell_open(members, bodies, sizes, wishes, notes)
    tell_bounds(bodies, notes)
    pattern = assembled(stated or Stated(), bodies, sizes, wishes, notes)
    outside = tuple(sorted(members.outside, key=lambda i: i.order))
    if doubled:
        notes.note(
            "outline.double",
            f"{count(doubled, 'outline')} drawn twice in the same place; read once",
        )
    if members.shared:
        notes.note(
            ".shared-mark",
            f"{count(members.shared, 'line or text', 'lines or texts')} without a size in several "
            "sizes of a piece; each of those sizes has its own",
            hint="put what belongs to one size into that size's layer",
        )
    for frame in gathered.frames:
        notes.note(
            ".frame",
            "a rectangle around the pieces is taken as the page's border, not as a piece",
            frame.strokes[0].named.node,
        )
    facts: dict[str, Any] = {
        "strokes": len(drawing.strokes),
        "texts": len(drawing.texts),
        "texts outside": sum(isinstance(i, Lettering) for i in outside),
        "strokes outside": sum(isinstance(i, Stroke) for i in outside),
    }
    return Recognised(pattern, outside, facts)
