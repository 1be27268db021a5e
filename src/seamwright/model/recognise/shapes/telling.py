"""What reading noticed, as findings."""

from __future__ import annotations

import numpy as np

from ..items import Stroke
from ..notes import Notes, count, listed
from ..pieces.areas import overlap
from ..pieces.bodies import Body
from ..pieces.gather import Gathered, open_outlines
from ..pieces.members import Members
from ..wishes import Wishes
from ..words.sizes import Sizes

_LONG = 20.0  # mm; inside a piece shorter strokes are marks


def tell_joins(bodies: list[Body], gathered: Gathered, notes: Notes) -> None:
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


def tell_open(
    members: Members, bodies: list[Body], sizes: Sizes, options: Wishes, notes: Notes
) -> None:
    loose: dict[Stroke, Body | None] = {s: None for s in members.outside if isinstance(s, Stroke)}
    for body in bodies:
        for stroke in body.strokes:
            if stroke.curve.length >= _LONG:
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
            f"{what + ': ' if what else ''}an outline of {count(len(found.strokes), 'stroke')} "
            f"does not close, its ends lie {notes.length(found.gap)} apart",
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


def tell_bounds(bodies: list[Body], notes: Notes) -> None:
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
