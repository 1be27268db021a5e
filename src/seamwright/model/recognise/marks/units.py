"""Small strokes that belong together: the stem and bar of one mark, the two sides of a V."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from seamwright.geometry import LINE, FloatArray

from ..items import Stroke
from ..pieces.areas import apart

_TOUCH = 0.3  # mm; strokes nearer than this are one mark


@dataclass(slots=True, eq=False)
class Unit:
    """Strokes that touch. vertices (N, 2): their ends and joints, those in one place once."""

    strokes: list[Stroke]
    vertices: FloatArray

    @property
    def order(self) -> int:
        """Place in the drawing."""
        return self.strokes[0].order

    @property
    def straight(self) -> bool:
        """Whether all strokes are made of straight segments."""
        return all(bool((s.curve.kinds == LINE).all()) for s in self.strokes)

    @property
    def middle(self) -> FloatArray:
        """The middle of the box around it."""
        boxes = np.array([s.curve.bbox for s in self.strokes])
        return np.asarray((boxes[:, :2].min(axis=0) + boxes[:, 2:].max(axis=0)) / 2)


def units_of(strokes: list[Stroke]) -> list[Unit]:
    """Marks, each of one stroke or of several that touch."""
    parent = list(range(len(strokes)))

    def root(i: int) -> int:
        while parent[i] != i:
            parent[i] = parent[parent[i]]
            i = parent[i]
        return i

    boxes = [s.curve.bbox for s in strokes]
    for i in range(len(strokes)):
        for j in range(i):
            if apart(boxes[i], boxes[j]) <= _TOUCH and _touch(strokes[i], strokes[j]):
                a, b = root(i), root(j)
                parent[max(a, b)] = min(a, b)
    groups: dict[int, list[Stroke]] = {}
    for i, stroke in enumerate(strokes):
        groups.setdefault(root(i), []).append(stroke)
    return [Unit(g, _vertices(g)) for g in groups.values()]


def _touch(a: Stroke, b: Stroke) -> bool:
    for one, other in ((a.curve, b.curve), (b.curve, a.curve)):
        ends = np.stack((one.start, one.end))
        if float(other.nearest(ends).distances.min()) <= _TOUCH:
            return True
    return bool(len(a.curve.intersections(b.curve).own))


def _vertices(strokes: list[Stroke]) -> FloatArray:
    found: list[FloatArray] = []
    for stroke in strokes:
        for point in stroke.curve.joints:
            if not any(float(np.hypot(*(point - p))) <= _TOUCH for p in found):
                found.append(point)
    return np.array(found)
