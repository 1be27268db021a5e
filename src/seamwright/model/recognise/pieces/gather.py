"""From strokes to outlines: closed curves, and open strokes joined where their ends meet."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Hashable
from dataclasses import dataclass, field
from typing import Final

import numpy as np

from seamwright.geometry import FloatArray

from ..items import Drawing, Group, Stroke
from ..words.naming import named_by
from ..words.roles import Role
from ..words.sizes import Sizes
from .areas import Area, diagonal
from .join import Loop, chains_of, loops_of
from .outlines import (
    Outline,
    bound_role,
    constant_distance,
    is_page,
    is_rectangle,
    outline_of,
    said_role,
    size_of,
)

_ASIDE: Final = frozenset({Role.REFERENCE, Role.DECORATION})
_JOINABLE: Final = frozenset({None, Role.SEAM, Role.CUT, Role.OUTLINE})
_SEARCH: Final = (0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0)  # mm; how far apart loose ends are looked for
_LARGE: Final = 30.0  # mm; what is smaller is no outline that failed to close


@dataclass(slots=True)
class Gathered:
    """outlines  candidates for the bounds of pieces
    strokes      all other lines of pieces
    aside        test squares, scale bars and the like
    frames       page borders and backgrounds
    outside      what our own writer put outside all pieces
    loops        outlines that were joined, for findings
    """

    outlines: list[Outline] = field(default_factory=list)
    strokes: list[Stroke] = field(default_factory=list)
    aside: list[Stroke] = field(default_factory=list)
    frames: list[Outline] = field(default_factory=list)
    outside: list[Stroke] = field(default_factory=list)
    loops: dict[Outline, Loop] = field(default_factory=dict)


@dataclass(slots=True)
class Open:
    """An outline that does not close. ends (2, 2): both sides of its widest gap."""

    strokes: list[Stroke]
    gap: float
    ends: FloatArray
    closes: bool  # whether a wider join would close it


def kept_outside(group: Group | None) -> bool:
    """Whether our own writer put it outside all pieces."""
    return group is not None and any(g.named.data("role") == "outside" for g in group.up())


def gather(drawing: Drawing, sizes: Sizes, join: float, page: FloatArray | None) -> Gathered:
    """Sorts the strokes of a drawing."""
    out = Gathered()
    loose: list[Stroke] = []
    for stroke in drawing.strokes:
        role, _ = said_role(stroke)
        if kept_outside(stroke.group):
            out.outside.append(stroke)
        elif role in _ASIDE:
            out.aside.append(stroke)
        elif not stroke.curve.closed:
            loose.append(stroke)
        else:
            _, may_bound = bound_role([stroke])
            if may_bound or role is Role.FRAME:
                outline = outline_of([stroke], Area(stroke.curve), sizes)
                out.outlines.append(outline)
            else:
                out.strokes.append(stroke)
    loops, left = _join(loose, sizes, join)
    out.strokes += left
    for loop in loops:
        outline = outline_of(loop.strokes, Area(loop.curve), sizes)
        out.outlines.append(outline)
        out.loops[outline] = loop
        # The edge on the fold is part of the outline and a fold line as well.
        out.strokes += [s for s in loop.strokes if said_role(s)[0] is Role.FOLD]
    out.outlines.sort(key=lambda o: o.order)
    out.strokes.sort(key=lambda s: s.order)
    _take_frames(out, sizes, page)
    return out


def _join(strokes: list[Stroke], sizes: Sizes, tolerance: float) -> tuple[list[Loop], list[Stroke]]:
    """Outlines made of open strokes: first within one container and one way of drawing, then
    across them, at last with lines on the fold as edges."""
    aside = [s for s in strokes if said_role(s)[0] not in _JOINABLE | {Role.FOLD}]
    folds = [s for s in strokes if said_role(s)[0] is Role.FOLD]
    left = [s for s in strokes if said_role(s)[0] in _JOINABLE]

    def cut(stroke: Stroke) -> bool:
        return said_role(stroke)[0] is Role.CUT

    loops: list[Loop] = []
    ways: list[Callable[[Stroke], Hashable]] = [
        lambda s: (s.group, size_of(s, sizes), cut(s), s.looks.dashed),
        lambda s: (size_of(s, sizes), cut(s)),
    ]
    for key in ways:
        found, left = _by(left, key, tolerance)
        loops += found
    if folds and left:
        found, left = _by([*left, *folds], ways[1], tolerance)
        loops += found
        folds = [s for s in folds if s in left]
        left = [s for s in left if s not in folds]
    return loops, [*aside, *folds, *left]


def _by(
    strokes: list[Stroke], key: Callable[[Stroke], Hashable], tolerance: float
) -> tuple[list[Loop], list[Stroke]]:
    families: dict[Hashable, list[Stroke]] = defaultdict(list)
    for stroke in strokes:
        families[key(stroke)].append(stroke)
    loops: list[Loop] = []
    left: list[Stroke] = []
    for family in families.values():
        found, rest = loops_of(family, tolerance)
        loops += found
        left += rest
    return loops, left


def _take_frames(out: Gathered, sizes: Sizes, page: FloatArray | None) -> None:
    """Sets page borders and backgrounds aside: a rectangle as large as the page, or one that is
    only filled, or one that is called a frame, around pieces."""
    for outline in list(out.outlines):
        if outline.role in (Role.SEAM, Role.CUT) or outline.named is None:
            continue
        if outline.size is not None or outline.named.data("piece") is not None:
            continue
        called = any(said_role(s)[0] is Role.FRAME for s in outline.strokes)
        if not called and named_by(outline.named, sizes, is_group=False):
            continue
        looks = outline.strokes[0].looks
        framed = called or is_page(outline, page)
        painted = looks.filled and not looks.stroked and is_rectangle(outline)
        if not (framed or painted):
            continue
        around = [
            o
            for o in out.outlines
            if o is not outline
            and o.shape.diagonal >= _LARGE
            and o.area < outline.area
            and outline.shape.share_inside(o.shape.curve.joints, 0.5) > 0.98
        ]
        if not framed and not all(o.strokes[0].looks.stroked for o in around):
            continue
        apart = len(around) > 1 or (
            len(around) == 1 and constant_distance(outline, around[0]) is None
        )
        if around and (apart or called):
            out.outlines.remove(outline)
            out.frames.append(outline)


def open_outlines(strokes: list[Stroke], sizes: Sizes, join: float) -> list[Open]:
    """Open strokes that look like an outline that does not close, with the gap in the way."""
    left = [s for s in strokes if not s.curve.closed and said_role(s)[0] in _JOINABLE]
    left = [s for s in left if s.named.data("role") is None]
    found: list[Open] = []
    for tolerance in _SEARCH:
        if tolerance <= join or len(left) < 1:
            continue
        loops, left = _by(left, lambda s: (s.group, size_of(s, sizes)), tolerance)
        for loop in loops:
            if diagonal(loop.curve.bbox) >= _LARGE:
                found.append(Open(loop.strokes, loop.gap, loop.ends, True))
        for stroke in list(left):
            curve = stroke.curve
            gap = float(np.hypot(*(curve.end - curve.start)))
            if gap <= tolerance and diagonal(curve.bbox) >= _LARGE:
                left.remove(stroke)
                found.append(Open([stroke], gap, np.stack((curve.end, curve.start)), True))
    families: dict[Hashable, list[Stroke]] = defaultdict(list)
    for stroke in left:
        families[stroke.group, size_of(stroke, sizes)].append(stroke)
    for family in families.values():
        for chain in chains_of(family, join):
            ends = np.array([chain.end, chain.start])
            gap = float(np.hypot(*(ends[1] - ends[0])))
            boxes = np.array([s.curve.bbox for s in chain.strokes])
            box = np.concatenate((boxes[:, :2].min(axis=0), boxes[:, 2:].max(axis=0)))
            narrow = min(box[2] - box[0], box[3] - box[1])
            if chain.length >= 3.0 * _LARGE and gap <= 0.5 * chain.length and narrow >= _LARGE:
                found.append(Open(chain.strokes, gap, ends, False))
    return found
