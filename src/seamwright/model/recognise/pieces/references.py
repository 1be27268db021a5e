"""Test squares and scale bars: not pieces, but a check of the scale."""

from __future__ import annotations

from ..items import Lettering, Stroke
from ..notes import Notes, count
from ..words.naming import named_by
from ..words.roles import Role
from ..words.sizes import Sizes
from ..words.wording import is_reference, stated_length
from .areas import diagonal
from .bodies import Body
from .outlines import is_rectangle, own_role

_LARGEST = 320.0  # mm; a test square or its like is no larger
_OFF = 0.01  # of its length; what a test square may be wrong by


def split_texts(texts: list[Lettering]) -> tuple[list[Lettering], list[Lettering]]:
    """Texts of the pattern, and those in containers of a scale or a legend."""
    mine: list[Lettering] = []
    aside: list[Lettering] = []
    for text in texts:
        roles = [own_role(g.named) for g in text.chain()] + [own_role(text.named)]
        apart = any(role in (Role.REFERENCE, Role.DECORATION) and strict for role, strict in roles)
        (aside if apart else mine).append(text)
    return mine, aside


def take_squares(bodies: list[Body]) -> list[Body]:
    """Takes nameless rectangles out of `bodies` in which a text speaks of a test or a scale, or
    states just their size."""
    squares = []
    for body in list(bodies):
        outer = body.outer
        if body.inner or outer.role is not None or not is_rectangle(outer):
            continue
        if outer.named is not None and named_by(outer.named, Sizes(), is_group=False):
            continue
        if outer.shape.diagonal > _LARGEST or not body.texts:
            continue
        said = stated_length([t.text for t in body.texts])
        x0, y0, x1, y1 = outer.shape.box
        fits = said is not None and any(
            abs(side - said) <= 0.01 * said for side in (x1 - x0, y1 - y0)
        )
        if is_reference(body.texts) or (fits and len(body.texts) <= 2):
            bodies.remove(body)
            squares.append(body)
    return squares


def check_references(
    strokes: list[Stroke], texts: list[Lettering], squares: list[Body], notes: Notes
) -> None:
    """Holds test squares and scale bars against the size that is written on them."""
    number = len(squares) + len({s.named for s in strokes})
    if not number:
        return
    notes.note(
        ".reference",
        f"{count(number, 'test square or scale', 'test squares or scales')} left out: no piece",
    )
    for body in squares:
        said = stated_length([t.text for t in body.texts])
        if said is not None:
            _compare(body.outer.strokes[0], said, notes)
    for stroke in strokes:
        labels = [w.text for w in stroke.named.names]
        near = [
            t.text
            for t in texts
            if diagonal(stroke.curve.bbox) > 0
            and stroke.curve.bbox[0] - 15 <= t.anchor[0] <= stroke.curve.bbox[2] + 15
            and stroke.curve.bbox[1] - 15 <= t.anchor[1] <= stroke.curve.bbox[3] + 15
        ]
        said = stated_length([*labels, *near])
        simple = stroke.curve.closed or stroke.curve.n == 1
        if said is not None and simple:
            _compare(stroke, said, notes)


def _compare(stroke: Stroke, said: float, notes: Notes) -> None:
    x0, y0, x1, y1 = (float(v) for v in stroke.curve.bbox)
    drawn = (x1 - x0, y1 - y0) if stroke.curve.closed else (stroke.curve.length,)
    best = min(drawn, key=lambda side: abs(side - said))
    # A bar with a label elsewhere may be something else: only slips of a known kind are errors.
    if abs(best - said) <= _OFF * said or not 0.2 <= best / said <= 5.0:
        return
    notes.error(
        "scale.mismatch",
        f"the test square or scale says {notes.length(said)}, drawn it is {notes.length(best)}: "
        f"the drawing is {best / said:.4g} times its true size",
        stroke.named.node,
        x=x0,
        y=y0,
        measured=best,
        limit=said,
        hint=notes.rescale.format(
            id=stroke.named.node.id or "ID", length=f"{said:g} mm", factor=f"{said / best:.9g}"
        ),
    )
