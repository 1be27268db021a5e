"""Which piece every other line and text belongs to: by its container, else by where it lies."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable

import numpy as np

from seamwright.geometry import FloatArray

from ..items import Group, Lettering, Stroke
from ..words.labels import normal, read_label
from ..words.sizes import Sizes
from .areas import apart, diagonal, overlap, samples
from .bodies import Body
from .outlines import size_of, size_of_group

_NEAR = 25.0  # mm; a mark farther outside than this belongs to no piece by shape alone
_SHORT = 25.0  # mm; a mark no larger belongs to the outline it meets, not to all around it
_MEETS = 0.5  # mm
_CROSSES = 0.3  # mm; what an outline that is only crossed counts against one that is met


class Members:
    """Gives strokes and texts to bodies.

    shared   how many items went to several sizes of one piece
    outside  items that lie in no piece
    """

    def __init__(self, bodies: list[Body], sizes: Sizes) -> None:
        self._bodies = bodies
        self._boxes = np.array([b.outer.shape.box for b in bodies]).reshape(-1, 4)
        self._sizes = sizes
        self._by_group: dict[Group, list[Body]] = defaultdict(list)
        for body in bodies:
            if body.group is not None:
                self._by_group[body.group].append(body)
        self.shared = 0
        self.outside: list[Stroke | Lettering] = []

    def add_strokes(self, strokes: Iterable[Stroke]) -> None:
        """Gives each stroke to the body or bodies it belongs to."""
        for stroke in strokes:
            curve = stroke.curve
            ends = np.stack((curve.start, curve.end))
            points = np.concatenate((ends, samples(curve, 12)))
            small = diagonal(curve.bbox) <= _SHORT
            size = size_of(stroke, self._sizes)
            chosen = self._chosen(stroke.group, size, points, mark=small)
            for body in chosen:
                body.strokes.append(stroke)
            self._count(stroke, chosen)

    def add_texts(self, texts: Iterable[Lettering]) -> None:
        """Gives each text to the body or bodies it stands in."""
        for text in texts:
            size = size_of_group(text.group, self._sizes)
            chosen = self._chosen(text.group, size, np.array([text.anchor]), mark=False)
            word = read_label(text.text).size
            if word is not None and len(chosen) > 1:
                chosen = [b for b in chosen if b.size == word.size] or chosen
            for body in chosen:
                body.texts.append(text)
            self._count(text, chosen)

    def without(self, gone: list[Body]) -> Members:
        """The same without some bodies, and with nothing given away yet but texts."""
        out = Members([b for b in self._bodies if b not in gone], self._sizes)
        out.shared, out.outside = self.shared, list(self.outside)
        return out

    def _count(self, item: Stroke | Lettering, chosen: list[Body]) -> None:
        if not chosen:
            self.outside.append(item)
        elif len(chosen) > 1:
            self.shared += 1

    def _chosen(
        self, group: Group | None, size: str | None, points: FloatArray, *, mark: bool
    ) -> list[Body]:
        """The bodies an item belongs to: one, or all sizes of one piece, or none.

        points  (N, 2) on the item, its two ends first where it is a line
        """
        box = np.concatenate((points.min(axis=0), points.max(axis=0)))
        for outer in group.up() if group is not None else ():
            mine = self._by_group.get(outer)
            if not mine:
                continue
            fitting = [b for b in mine if size is None or b.size in (size, None)]
            if len(fitting) == 1:
                body = fitting[0]
                near = body.named or apart(box, body.outer.shape.box) <= _NEAR
                return [body] if near else []
            if fitting:
                return _by_shape(fitting, points, mark, far=True)
        gap = np.maximum(box[:2] - self._boxes[:, 2:], self._boxes[:, :2] - box[2:]).max(axis=1)
        beside = [self._bodies[i] for i in np.flatnonzero(gap <= _NEAR)]
        beside = [b for b in beside if size is None or b.size in (size, None)]
        return _by_shape(beside, points, mark, far=False)


def _by_shape(bodies: list[Body], points: FloatArray, mark: bool, *, far: bool) -> list[Body]:
    if not bodies:
        return []
    if mark:
        rims = {b: _rim(b, points) for b in bodies}
        least = min(rims.values())
        if least <= _MEETS:
            return _one_piece([b for b, d in rims.items() if d <= least + 0.05])
    off = {b: _off(b, points) for b in bodies}
    inside = [b for b, d in off.items() if d <= _MEETS]
    if inside:
        return _one_piece(inside)
    body = min(off, key=lambda b: off[b])
    return [body] if far or off[body] <= _NEAR else []


def _one_piece(bodies: list[Body]) -> list[Body]:
    """All sizes of the piece whose body is the smallest of these (a piece that lies on another
    keeps what is drawn in it)."""
    smallest = min(bodies, key=lambda b: b.outer.area)
    out = []
    for body in bodies:
        same = normal(body.name) == normal(smallest.name)
        if body is smallest or (
            body.size != smallest.size
            and same
            and (body.name or overlap(body.outer.shape.box, smallest.outer.shape.box) > 0.4)
        ):
            out.append(body)
    return out


def _off(body: Body, points: FloatArray) -> float:
    """How far the middling one of points lies outside the body, 0 inside."""
    area = body.outer.shape
    inside = area.holds(points)
    if inside.all():
        return 0.0
    return float(np.median(np.where(inside, 0.0, area.distances(points))))


def _rim(body: Body, points: FloatArray) -> float:
    """How near the ends of a small mark come to the body's outlines; a line that only crosses
    one counts as near, but not as near as one that starts on it."""
    best = np.inf
    for outline in body.bounds or [body.outer]:
        best = min(best, float(outline.shape.distances(points[:2]).min()))
        inside = outline.shape.holds(points)
        if inside.any() and not inside.all():
            best = min(best, _CROSSES)
    return best
