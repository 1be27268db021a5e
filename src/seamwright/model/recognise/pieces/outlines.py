"""The closed curves that may be outlines of pieces, and what each is: seam line or cut line."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Final

import numpy as np

from seamwright.geometry import LINE, FloatArray

from ..items import Group, Named, Stroke
from ..words.roles import Role
from ..words.sizes import Sizes
from .areas import Area, diagonal, holding, overlap, samples, within

#: Roles of a line that bounds a piece.
BOUNDS: Final = frozenset({Role.SEAM, Role.CUT, Role.OUTLINE})
_SMALL: Final = 25.0  # mm; a closed mark on an outline is no larger
_MEETS: Final = 0.5  # mm
_MARK: Final = 40.0  # mm; no notch or hole is larger


@dataclass(slots=True, eq=False)
class Outline:
    """A closed curve that may bound a piece.

    strokes  what it was drawn with: one closed stroke, or several that were joined
    group    the innermost container that holds all of them
    size     from labels, or found by shape; None where nothing says
    role     SEAM, CUT, OUTLINE (it bounds a piece, no more is known), or None
    inside   the outlines of the same size that it lies in, smallest first
    """

    shape: Area
    strokes: list[Stroke]
    group: Group | None
    size: str | None
    role: Role | None
    inside: list[Outline] = field(default_factory=list)

    @property
    def order(self) -> int:
        """Place in the drawing."""
        return self.strokes[0].order

    @property
    def named(self) -> Named | None:
        """The element that is the outline, None where several strokes form it."""
        return self.strokes[0].named if len(self.strokes) == 1 else None

    @property
    def area(self) -> float:
        """Area without sign, mm2."""
        return abs(self.shape.curve.area)

    def chain(self) -> list[Group]:
        """The containers around it, outermost first."""
        return self.group.chain() if self.group else []


def as_stroke(outline: Outline) -> Stroke:
    """An outline that bounds nothing, as a line; one made of several strokes goes by the first."""
    first = outline.strokes[0]
    if len(outline.strokes) == 1:
        return first
    return Stroke(outline.shape.curve, first.named, first.group, first.looks, first.order)


def size_of(item: Stroke, sizes: Sizes) -> str | None:
    """The size that the item's own label states, or the nearest container's."""
    own = sizes.of.get(item.named)
    return own if own is not None else size_of_group(item.group, sizes)


def size_of_group(group: Group | None, sizes: Sizes) -> str | None:
    """The size of the nearest container that states one."""
    if group is None or not sizes.of:
        return None
    for g in group.up():
        size = sizes.of.get(g.named)
        if size is not None:
            return size
    return None


def said_role(stroke: Stroke) -> tuple[Role | None, bool]:
    """The role that words state, the element's own first, and whether they say nothing else.

    A container speaks for what it holds when its label is a role and nothing more ("Notches";
    "Notch collar" is the name of a piece), or when it can hold nothing else (`let_speak`).
    """
    own = own_role(stroke.named)
    if own[0] is not None:
        return own
    if stroke.group is not None:
        for group in stroke.group.up():
            role, strict = own_role(group.named)
            if role is not None and (strict or group.speaks):
                return role, True
            if group.named.data("piece") is not None:
                break
    return None, False


def let_speak(strokes: list[Stroke]) -> None:
    """Marks the containers whose label says a role and more, and that hold just such a mark: a
    group "grain line front" with one long line in it, a group "front notches" with short ones."""
    held: dict[Group, list[Stroke]] = defaultdict(list)
    for stroke in strokes:
        for group in stroke.group.up() if stroke.group else ():
            held[group].append(stroke)
    for group, mine in held.items():
        role, strict = own_role(group.named)
        if role is None or strict:
            continue
        long = [s for s in mine if diagonal(s.curve.bbox) > _MARK]
        if any(s.curve.closed for s in long):
            continue
        most = {Role.NOTCH: 0, Role.DRILL: 0, Role.GRAIN: 1, Role.FOLD: 1, Role.DART: 3}.get(role)
        group.speaks = most is not None and len(long) <= most


def own_role(named: Named) -> tuple[Role | None, bool]:
    """The role that the element's own attributes state."""
    said = named.said_role
    if said is not None:
        return said, True
    words = named.role_words()
    return (None, False) if words is None else (words.role, words.strict)


def bound_role(strokes: list[Stroke]) -> tuple[Role | None, bool]:
    """The role of a closed curve made of these strokes, and whether it may bound a piece."""
    roles = [said_role(s) for s in strokes]
    for wanted in (Role.CUT, Role.SEAM, Role.OUTLINE):
        if any(role is wanted for role, _ in roles):
            return wanted, True
    for role, strict in roles:
        if role is not None and strict:
            return role, False
    return None, True


def outline_of(strokes: list[Stroke], shape: Area, sizes: Sizes) -> Outline:
    """An outline candidate; its role is settled elsewhere."""
    role, _ = bound_role(strokes)
    group = strokes[0].group
    for stroke in strokes[1:]:
        group = _common(group, stroke.group)
    named_sizes = {size_of(s, sizes) for s in strokes}
    size = named_sizes.pop() if len(named_sizes) == 1 else size_of_group(group, sizes)
    return Outline(shape, strokes, group, size, role)


def _common(a: Group | None, b: Group | None) -> Group | None:
    if a is None or b is None:
        return None
    above = set(a.up())
    return next((g for g in b.up() if g in above), None)


def is_page(outline: Outline, page: FloatArray | None) -> bool:
    """Whether this is the page's own border: a rectangle of its place and size."""
    if page is None or outline.role in (Role.SEAM, Role.CUT):
        return False
    if not is_rectangle(outline):
        return False
    slack = 0.005 * diagonal(page)
    return bool(np.abs(outline.shape.box - page).max() <= slack)


def is_rectangle(outline: Outline) -> bool:
    """Whether the outline is a rectangle along the axes."""
    curve = outline.shape.curve
    if curve.n != 4 or (curve.kinds != LINE).any():
        return False
    x0, y0, x1, y1 = curve.bbox
    return bool(abs(outline.area - (x1 - x0) * (y1 - y0)) <= 1e-6 * outline.area)


def without_twins(outlines: list[Outline]) -> tuple[list[Outline], int]:
    """The outlines, those left out that repeat another one of the same size exactly (a fill and
    a stroke drawn apart), and how many these were."""
    seen: dict[tuple[object, ...], list[Outline]] = defaultdict(list)
    out = []
    for outline in outlines:
        box = tuple(np.round(outline.shape.box, 3).tolist())
        key = (outline.size, outline.shape.curve.n, *box)
        twin = next(
            (
                o
                for o in seen[key]
                if (o.role is outline.role or None in (o.role, outline.role))
                and abs(o.area - outline.area) <= 1e-3
                and float(o.shape.curve.nearest(samples(outline.shape.curve)).distances.max())
                < 1e-3
            ),
            None,
        )
        if twin is None:
            seen[key].append(outline)
            out.append(outline)
        elif twin.role is None:
            twin.role = outline.role
    return out, len(outlines) - len(out)


def nest(outlines: list[Outline], slack: float = 0.05) -> None:
    """Finds for every outline those of the same size that it lies in."""
    by_size: dict[str | None, list[Outline]] = defaultdict(list)
    for outline in outlines:
        outline.inside = []
        by_size[outline.size].append(outline)
    for group in by_size.values():
        group.sort(key=lambda o: (-o.area, o.order))
        inner, outer = holding(np.array([o.shape.box for o in group]), slack)
        keep = outer < inner  # sorted by area: what holds something comes before it
        points: dict[int, FloatArray] = {}
        for i, k in sorted(zip(inner[keep].tolist(), outer[keep].tolist(), strict=True)):
            if i not in points:
                points[i] = samples(group[i].shape.curve)
            if group[k].shape.share_inside(points[i], slack) > 0.98:
                group[i].inside.insert(0, group[k])


def _stray(mark: Outline, largest: float) -> bool:
    return mark.shape.diagonal <= 0.05 * largest


def split_marks(
    outlines: list[Outline], named: Callable[[Outline], bool]
) -> tuple[list[Outline], list[Outline]]:
    """Those that may be pieces, and small closed marks: a triangle that touches an outline from
    outside is a notch, a nameless scrap beside the pieces (a letter, an arrow head) is none.

    named  whether labels name an outline as a piece
    """
    if len(outlines) < 2:
        return outlines, []
    diagonals = np.array([o.shape.diagonal for o in outlines])
    largest = float(diagonals.max())
    keep, marks = [], []
    for i, outline in enumerate(outlines):
        small = diagonals[i] <= _SMALL and 8.0 * diagonals[i] <= largest
        if (
            small
            and outline.role not in BOUNDS
            and (
                _touches(outline, outlines, diagonals)
                or (_stray(outline, largest) and not named(outline))
            )
        ):
            marks.append(outline)
        else:
            keep.append(outline)
    return keep, marks


def _touches(mark: Outline, outlines: list[Outline], diagonals: FloatArray) -> bool:
    box = mark.shape.box
    points = samples(mark.shape.curve)
    for other, size in zip(outlines, diagonals, strict=True):
        if size < 4.0 * mark.shape.diagonal or other.size not in (mark.size, None):
            continue
        grown = other.shape.box + np.array([-1.0, -1.0, 1.0, 1.0]) * _MEETS
        if box[2] < grown[0] or box[0] > grown[2] or box[3] < grown[1] or box[1] > grown[3]:
            continue
        inside = other.shape.holds(points)
        if inside.any() and not inside.all():
            return True
        if not inside.any() and float(other.shape.distances(points).min()) <= _MEETS:
            return True
    return False


def constant_distance(outer: Outline, inner: Outline) -> float | None:
    """The usual distance between two outlines if it is nearly the same all round (a seam
    allowance), a wider hem and a fold without any allowed for; else None."""
    if not within(inner.shape.box, outer.shape.box, 0.5):
        return None
    if inner.area < 0.4 * outer.area:
        return None
    curve = inner.shape.curve
    points = curve.point_at(np.linspace(0.0, curve.length, 96, endpoint=False))
    if outer.shape.share_inside(points, 0.5) < 0.98:
        return None
    distance = outer.shape.distances(points)
    usual = float(np.median(distance))
    if not 2.0 <= usual <= 80.0 or float(distance.max()) > 120.0:
        return None
    slack = max(1.5, 0.1 * usual)
    near = np.abs(distance - usual) <= slack
    wider = distance[distance > usual + 5.0]
    hem = float(np.median(wider)) if wider.size else usual
    known = near | (distance <= 1.0) | (np.abs(distance - hem) <= slack)
    return usual if float(near.mean()) >= 0.3 and float(known.mean()) >= 0.75 else None


def alike(a: Outline, b: Outline) -> bool:
    """Whether two outlines could be the same piece in two sizes, drawn over each other."""
    if overlap(a.shape.box, b.shape.box) < 0.4:
        return False
    if min(a.area, b.area) < 0.4 * max(a.area, b.area):
        return False
    corners = [len(o.shape.curve.corner_segments(20.0)) for o in (a, b)]
    if all(_chords(o, n) for o, n in zip((a, b), corners, strict=True)):
        # Curves as chords: their number says nothing, and tight bends count as corners.
        lengths = sorted(o.shape.curve.length for o in (a, b))
        return abs(corners[0] - corners[1]) <= 2 and lengths[0] >= 0.8 * lengths[1]
    return corners[0] == corners[1] and a.shape.curve.n == b.shape.curve.n


def _chords(outline: Outline, corners: int) -> bool:
    """Whether the outline is a curve flattened to chords."""
    curve = outline.shape.curve
    return not (curve.kinds != LINE).any() and curve.n >= 3 * max(corners, 4)
