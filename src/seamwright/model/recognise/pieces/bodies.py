"""Which outlines are pieces, in which size, and what belongs to each.

Structure comes first: a container with an outline is a piece, wherever it lies. Where containers
say nothing, shape decides: an outline that is not inside another is a piece.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from dataclasses import dataclass, field
from itertools import pairwise

from ..items import Group, Lettering, Stroke
from ..notes import Notes, count
from ..words.labels import normal
from ..words.naming import group_name, last_resort, piece_name
from ..words.roles import Role
from ..words.sizes import Sizes
from .areas import samples, within
from .outlines import Outline, alike, constant_distance


@dataclass(slots=True, eq=False)
class Body:
    """One piece in one size, as far as the drawing has been understood.

    name      "" until a text or a number stands in; fallback: a name better than a number
    group     the container that is this piece (and perhaps its other sizes), None in a flat
              drawing; named: whether it bears a name
    outer     the outermost outline; seam and cut: what it and those inside are
    inner     closed curves inside that bound nothing
    exact     whether our own writer named it: the name stands as it is
    labels    what the containers and the outline are called, in full
    strokes   all other lines that belong to it
    """

    name: str
    size: str | None
    group: Group | None
    named: bool
    outer: Outline
    seam: Outline | None = None
    cut: Outline | None = None
    inner: list[Outline] = field(default_factory=list)
    strokes: list[Stroke] = field(default_factory=list)
    texts: list[Lettering] = field(default_factory=list)
    guessed_cut: bool = False
    fallback: str = ""
    exact: bool = False
    labels: tuple[str, ...] = ()

    @property
    def bounds(self) -> list[Outline]:
        """The seam line first, then the cut line, as far as there are any."""
        return [o for o in (self.seam, self.cut) if o is not None]


def name_nests(outlines: list[Outline], sizes: Sizes, notes: Notes) -> None:
    """Gives sizes "1", "2", ... to outlines of one piece that are drawn over each other without
    any size: alike in shape, in the same container, without names of their own."""
    families: dict[Group | None, list[Outline]] = defaultdict(list)
    for outline in outlines:
        own = outline.named is not None and piece_name(outline, [], sizes)
        if outline.size is None and not own and outline.role in (None, Role.OUTLINE, Role.SEAM):
            families[outline.group].append(outline)
    found: list[list[Outline]] = []
    for family in families.values():
        if not 2 <= len(family) <= 400:
            continue
        left = sorted(family, key=lambda o: o.area)
        while left:
            first = left.pop(0)
            nest = [first]
            for other in list(left):
                if alike(nest[-1], other):
                    nest.append(other)
                    left.remove(other)
            if len(nest) == 2 and constant_distance(nest[1], nest[0]) is not None:
                continue
            if len(nest) > 2 and _pairs(nest):
                continue
            if len(nest) > 1:
                found.append(nest)
    if not found:
        return
    most = max(map(len, found))
    for nest in found:
        for number, outline in enumerate(nest, start=1):
            outline.size = str(number)
    notes.warn(
        "sizes.unnamed",
        f"{count(len(found), 'piece')} drawn several times over without names of sizes; read as "
        f"sizes 1 to {most}, smallest first",
        hint='name the layers or outlines by size, "Size 10", "Size 12"',
    )


def _pairs(nest: list[Outline]) -> bool:
    """Whether three or more alike outlines are rather seam, cut and more lines of one piece."""
    return all(constant_distance(b, a) is not None for a, b in pairwise(nest))


def bodies_of(outlines: list[Outline], sizes: Sizes) -> list[Body]:
    """The pieces, one body a size, in document order."""
    own: dict[tuple[Group, str | None], Body] = {}
    drawn: list[Outline] = []
    for outline in sorted(outlines, key=lambda o: o.order):
        group = next((g for g in outline.chain() if g.named.data("piece") is not None), None)
        if group is None:
            drawn.append(outline)
        elif (group, outline.size) in own:
            own[group, outline.size].inner.append(outline)
        else:
            name = group.named.data("piece") or ""
            own[group, outline.size] = Body(name, outline.size, group, True, outline, exact=True)
    bodies = [*own.values(), *_drawn_bodies(drawn, sizes)]
    return sorted(bodies, key=lambda b: b.outer.order)


def common_marks(outlines: list[Outline], sizes: Sizes) -> list[Outline]:
    """Outlines without a size that lie inside sized ones: marks that all sizes share, no pieces."""
    sized = [o for o in outlines if o.size is not None]
    if not sized:
        return []
    out = []
    for outline in outlines:
        if outline.size is not None:
            continue
        points = samples(outline.shape.curve)
        for other in sized:
            if (
                other.area > outline.area
                and within(outline.shape.box, other.shape.box, 0.05)
                and _holds(other, outline, sizes)
                and other.shape.share_inside(points, 0.05) > 0.98
            ):
                out.append(outline)
                break
    return out


def _drawn_bodies(outlines: list[Outline], sizes: Sizes) -> list[Body]:
    tops = [o for o in outlines if not any(_holds(outer, o, sizes) for outer in o.inside)]
    chosen = set(tops)
    # Holding is no chain: what is held only by what is held itself stands for itself.
    for outline in outlines:
        if outline not in chosen and not any(
            o in chosen and _holds(o, outline, sizes) for o in outline.inside
        ):
            tops.append(outline)
            chosen.add(outline)
    counts: Counter[tuple[Group, str | None]] = Counter()
    for top in tops:
        for group in top.chain():
            counts[group, top.size] += 1
    bodies: dict[Outline, Body] = {}
    for top in sorted(tops, key=lambda o: o.order):
        around = [g for g in top.chain() if counts[g, top.size] == 1]
        name = piece_name(top, around, sizes)
        named = any(group_name(g, sizes) for g in around)
        body = Body(name, top.size, around[0] if around else None, named, top)
        body.fallback = _shared_name(top, sizes) or last_resort(top, around)
        body.labels = tuple(
            w.text
            for named in (
                *(g.named for g in reversed(around)),
                *((top.named,) if top.named else ()),
            )
            for w in (named.label, named.title)
            if w.text
        )
        bodies[top] = body
    for outline in outlines:
        if outline not in chosen:
            holder = next(o for o in outline.inside if o in bodies and _holds(o, outline, sizes))
            bodies[holder].inner.append(outline)
    return _seam_with_cut(list(bodies.values()))


def _seam_with_cut(bodies: list[Body]) -> list[Body]:
    """Bodies of one name and size, one a seam line and one a cut line, are one piece: the two
    lines may cross where an allowance ends."""
    found: dict[tuple[str, str | None], Body] = {}
    out = []
    for body in bodies:
        key = (normal(body.name), body.size)
        partner = found.get(key) if body.name else None
        if partner is not None and {partner.outer.role, body.outer.role} == {Role.SEAM, Role.CUT}:
            partner.inner += [body.outer, *body.inner]
            continue
        found.setdefault(key, body)
        out.append(body)
    return out


def _shared_name(top: Outline, sizes: Sizes) -> str:
    """The name of the nearest container that holds this and other pieces: "Collar" for two."""
    for group in reversed(top.chain()):
        name = group_name(group, sizes)
        if name:
            return name
    return ""


def _holds(outer: Outline, inner: Outline, sizes: Sizes) -> bool:
    """Whether what lies inside also belongs inside: not, where both are in named containers of
    their own (a pocket piece laid on the front is a piece)."""
    a, b = outer.chain(), inner.chain()
    shared = 0
    while shared < min(len(a), len(b)) and a[shared] is b[shared]:
        shared += 1
    ours = _first_name(a[shared:], sizes)
    theirs = _first_name(b[shared:], sizes)
    if ours and theirs and normal(ours) != normal(theirs):
        return False
    if not ours and not theirs and outer.named is not None and inner.named is not None:
        return _same_by_label(outer, inner, sizes)
    return True


def _same_by_label(outer: Outline, inner: Outline, sizes: Sizes) -> bool:
    """Two outlines whose own labels give both a boundary role and different names are two
    pieces ("front seam", "pocket seam")."""
    if outer.role not in (Role.SEAM, Role.CUT) or inner.role not in (Role.SEAM, Role.CUT):
        return True
    ours, theirs = piece_name(outer, [], sizes), piece_name(inner, [], sizes)
    return not (ours and theirs and normal(ours) != normal(theirs))


def _first_name(groups: list[Group], sizes: Sizes) -> str:
    return next((n for n in (group_name(g, sizes) for g in groups) if n), "")


def settle_bounds(body: Body) -> None:
    """Decides which outline of the body is the seam line and which the cut line."""
    outer = body.outer
    by_role: dict[Role | None, list[Outline]] = defaultdict(list)
    for outline in sorted((outer, *body.inner), key=lambda o: -o.area):
        by_role[outline.role].append(outline)
    seam = by_role[Role.SEAM][0] if by_role[Role.SEAM] else None
    cut = by_role[Role.CUT][0] if by_role[Role.CUT] else None
    if (
        seam is not None
        and cut is None
        and outer is not seam
        and outer.role in (None, Role.OUTLINE)
    ):
        cut = outer
    if cut is not None and seam is None:
        seam = _parallel(cut, body.inner)
    if seam is None and cut is None:
        seam = outer
        inner = _parallel(outer, body.inner)
        if inner is not None:
            seam, cut = inner, outer
            body.guessed_cut = True
    body.seam, body.cut = seam, cut
    body.inner = [o for o in (outer, *body.inner) if o is not seam and o is not cut]


def _parallel(outer: Outline, inner: list[Outline]) -> Outline | None:
    """The outline that runs at a nearly constant distance inside `outer`."""
    for outline in sorted(inner, key=lambda o: -o.area):
        if outline.role in (None, Role.OUTLINE) and constant_distance(outer, outline) is not None:
            return outline
    return None
