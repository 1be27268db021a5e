"""What reading noticed, as findings."""

from __future__ import annotations

import numpy as np

from seamwright.model import Foreign

from ..drawing.items import Lettering, Stroke
from ..notes import Notes, count, listed
from ..options import SvgIn
from ..pieces.areas import overlap
from ..pieces.bodies import Body
from ..pieces.gather import Gathered, open_outlines
from ..pieces.members import Members
from ..words.sizes import Sizes
from .fragments import lettering_fragment, stroke_fragment

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
    members: Members, bodies: list[Body], sizes: Sizes, options: SvgIn, notes: Notes
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


def outside(items: list[Stroke | Lettering], notes: Notes) -> tuple[Foreign, ...]:
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


def tell_counts(notes: Notes) -> None:
    """Counts become findings."""
    if notes.hidden:
        notes.warn(
            "svg.hidden",
            f"{count(len(notes.hidden), 'hidden part')} left out: {listed(notes.hidden)}",
            hint="show them in the drawing program, or read with hidden = true",
        )
    if notes.nothing:
        notes.note(
            "svg.no-extent",
            f"{count(len(notes.nothing), 'shape')} without extent left out: "
            f"{listed(notes.nothing)}",
        )
    if notes.external:
        notes.warn(
            "svg.external",
            f"{count(len(notes.external), 'reference')} to other files not followed: "
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
