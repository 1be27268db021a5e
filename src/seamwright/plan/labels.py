"""Finding places for labels beside what they name, so that they do not cover one another.

Pixels, y down. One label after the other takes, of its possible places, the one that covers the
least of what is there already.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np

from seamwright.geometry import FloatArray

_TURNS = np.radians([0, 20, -20, 40, -40, 65, -65, 90, -90, 120, -120, 180])
_AWAY = np.array([12.0, 20.0, 32.0, 48.0, 70.0, 100.0, 140.0])


@dataclass(frozen=True, slots=True, kw_only=True)
class Label:
    """A text in its place: box x0, y0, x1, y1; `at` is the place it names."""

    text: str
    kind: str
    at: tuple[float, float]
    box: tuple[float, float, float, float]

    @property
    def middle(self) -> tuple[float, float]:
        """The middle of the box."""
        x0, y0, x1, y1 = self.box
        return (x0 + x1) / 2, (y0 + y1) / 2

    @property
    def distance(self) -> float:
        """From the place named to the box."""
        x0, y0, x1, y1 = self.box
        x, y = self.at
        dx, dy = max(x0 - x, 0.0, x - x1), max(y0 - y, 0.0, y - y1)
        return float(np.hypot(dx, dy))


@dataclass(slots=True, kw_only=True)
class Placer:
    """Places labels one by one. ink: (N, 2) points of the lines that labels should not cover;
    frame: x0, y0, x1, y1 that they should not leave."""

    ink: FloatArray
    frame: tuple[float, float, float, float]
    placed: list[Label] = field(default_factory=list)
    _boxes: list[tuple[float, float, float, float]] = field(default_factory=list)

    def keep_off(self, box: tuple[float, float, float, float]) -> None:
        """A box that no label should cover."""
        self._boxes.append(box)

    def place(
        self,
        text: str,
        kind: str,
        spots: Sequence[tuple[tuple[float, float], tuple[float, float]]],
        *,
        size: float,
    ) -> Label:
        """Places a label. spots: places it may name, each with the direction (unit) in which the
        label would like to stand from there, best first; size: of the letters."""
        w, h = width(text, size) + 4.0, size * 1.25
        best: tuple[float, Label] | None = None
        for rank, (at, toward) in enumerate(spots):
            boxes, cost = self._candidates(at, toward, w, h)
            cost = cost + 6.0 * rank + self._covered(boxes)
            i = int(np.argmin(cost))
            if best is None or cost[i] < best[0]:
                x0, y0, x1, y1 = (float(v) for v in boxes[i])
                best = (float(cost[i]), Label(text=text, kind=kind, at=at, box=(x0, y0, x1, y1)))
            if best[0] < 6.0 * (rank + 1):
                break
        assert best is not None, "a label needs a spot"
        self.placed.append(best[1])
        self._boxes.append(best[1].box)
        return best[1]

    def _candidates(
        self, at: tuple[float, float], toward: tuple[float, float], w: float, h: float
    ) -> tuple[FloatArray, FloatArray]:
        """Boxes (n, 4) round a place, and what each costs for being far or turned away."""
        heading = np.arctan2(toward[1], toward[0]) + _TURNS
        unit = np.stack((np.cos(heading), np.sin(heading)), axis=-1)
        middle = np.array(at) + unit[None] * (
            _AWAY[:, None, None] + _reach(unit, w, h)[None, :, None]
        )
        middle = middle.reshape(-1, 2)
        half = np.array([w, h]) / 2
        cost = _AWAY[:, None] / 4.0 - 3.0 + np.degrees(np.abs(_TURNS))[None] / 15.0
        return np.concatenate((middle - half, middle + half), axis=1), cost.reshape(-1)

    def _covered(self, boxes: FloatArray) -> FloatArray:
        cost = np.zeros(len(boxes))
        if self._boxes:
            there = np.array(self._boxes)
            w = np.minimum(boxes[:, None, 2], there[None, :, 2]) - np.maximum(
                boxes[:, None, 0], there[None, :, 0]
            )
            h = np.minimum(boxes[:, None, 3], there[None, :, 3]) - np.maximum(
                boxes[:, None, 1], there[None, :, 1]
            )
            over = np.clip(w, 0.0, None) * np.clip(h, 0.0, None)
            cost += np.where(over > 0.0, 200.0 + over, 0.0).sum(axis=1)
        x, y = self.ink[None, :, 0], self.ink[None, :, 1]
        inside = (x > boxes[:, :1]) & (x < boxes[:, 2:3]) & (y > boxes[:, 1:2]) & (y < boxes[:, 3:])
        cost += 3.0 * inside.sum(axis=1)
        x0, y0, x1, y1 = self.frame
        out = np.clip(x0 - boxes[:, 0], 0, None) + np.clip(boxes[:, 2] - x1, 0, None)
        out += np.clip(y0 - boxes[:, 1], 0, None) + np.clip(boxes[:, 3] - y1, 0, None)
        return cost + 20.0 * out


def _reach(unit: FloatArray, w: float, h: float) -> FloatArray:
    """From the middle of a box w x h to its border, in directions (n, 2)."""
    with np.errstate(divide="ignore"):
        across = np.where(unit[:, 0] == 0.0, np.inf, w / 2 / np.abs(unit[:, 0]))
        up = np.where(unit[:, 1] == 0.0, np.inf, h / 2 / np.abs(unit[:, 1]))
    out: FloatArray = np.minimum(across, up)
    return out


def width(text: str, size: float) -> float:
    """About how wide a text is in a sans-serif face, a little generous."""
    wide = sum(1 for c in text if unicodedata.east_asian_width(c) in "WF")
    none = sum(1 for c in text if unicodedata.combining(c))
    return size * (0.61 * (len(text) - wide - none) + 1.05 * wide)
