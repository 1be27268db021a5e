"""Notches that a sender cut into the outline itself: V shapes, slits and boxes among its vertices.

Walked as they stand they add twice their depth to a seam. They are reported; on request they are
taken out of the outline and become notches.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from seamwright.geometry import LINE, line_segments
from seamwright.model.assemble import pairs_within
from seamwright.plugins.api import Finding, Severity

from ..drawing.points import Points
from ..drawing.strokes import Strokes
from .boundaries import Boundaries
from .layers import CURVE_POINTS, TURN_POINTS

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]
BoolArray = NDArray[np.bool_]

_DEEPEST, _SHALLOWEST, _WIDEST = 15.0, 2.0, 12.0
"""mm; a cut notch is no larger and no smaller (3 to 10 mm deep: common practice, no source)."""
_ALONG = np.cos(np.radians(35.0))  # the line before, across and after a notch runs on so straight


@dataclass(slots=True)
class CutNotches:
    """Notches cut into outlines: N of them.

    stroke, first  the stroke and its joint where the notch leaves the line
    tips           how many vertices lie off the line: 1 (V, slit) or 2 (box)
    foot, tip      (N, 2) middle of the opening, and the place deepest in the piece
    width          (N,) of the opening, mm
    """

    stroke: IntArray
    first: IntArray
    tips: IntArray
    foot: FloatArray
    tip: FloatArray
    width: FloatArray

    @property
    def n(self) -> int:
        """Number of notches."""
        return int(self.stroke.size)


def find_cut_notches(bounds: Boundaries) -> CutNotches:
    """Among the straight outlines of all groups at once."""
    strokes = bounds.strokes
    chosen = np.union1d(bounds.boundary[bounds.boundary >= 0], bounds.seam[bounds.seam >= 0])
    chosen = chosen[strokes.straight()[chosen] & (strokes.counts[chosen] >= 6)]
    parts = [_with_tips(strokes, chosen, tips) for tips in (1, 2)]
    return CutNotches(
        *(np.concatenate([getattr(p, f) for p in parts])
          for f in ("stroke", "first", "tips", "foot", "tip", "width"))
    )  # fmt: skip


def _with_tips(strokes: Strokes, chosen: IntArray, tips: int) -> CutNotches:
    counts = strokes.counts[chosen]
    own = np.repeat(np.arange(chosen.size), counts)
    begin = np.cumsum(counts) - counts
    local = np.arange(own.size) - begin[own]
    base, n = strokes.offsets[chosen][own], counts[own]

    def vertex(k: int) -> FloatArray:
        return np.asarray(strokes.segments[base + (local + k) % n, 0])

    # before -> a (leaves the line) -> tip(s) -> b (back on the line) -> after
    before, a, b, after = vertex(-1), vertex(0), vertex(tips + 1), vertex(tips + 2)
    first_tip, last_tip = vertex(1), vertex(tips)
    opening = b - a
    width = np.hypot(opening[:, 0], opening[:, 1])
    foot, tip = (a + b) / 2.0, (first_tip + last_tip) / 2.0
    into = tip - foot
    depth = np.hypot(into[:, 0], into[:, 1])
    come, go = _unit(a - before), _unit(after - b)
    line = _unit(come + go)
    good = (depth >= _SHALLOWEST) & (depth <= _DEEPEST) & (width <= _WIDEST)
    good &= width < 1.6 * depth
    good &= (come * go).sum(1) > _ALONG
    # The opening lies along the line, and the notch across it.
    good &= ((opening * line).sum(1) > _ALONG * width) | (width < 0.01)
    good &= np.abs((into * line).sum(1)) < 0.6 * depth
    if tips == 2:
        top = last_tip - first_tip
        good &= (np.hypot(top[:, 0], top[:, 1]) <= 1.3 * width + 0.1) & (width > 0.5)
        good &= (top * line).sum(1) > 0
    # Into the piece: to the left of an outline that runs anticlockwise.
    side = line[:, 0] * into[:, 1] - line[:, 1] * into[:, 0]
    good &= (side > 0) == (_areas(strokes, chosen)[own] > 0)
    at = np.flatnonzero(good)
    return CutNotches(
        chosen[own[at]], local[at], np.full(at.size, tips), foot[at], tip[at], width[at]
    )


def _unit(v: FloatArray) -> FloatArray:
    length = np.hypot(v[:, 0], v[:, 1])[:, None]
    with np.errstate(invalid="ignore", divide="ignore"):
        return np.where(length > 0, v / length, 0.0)


def _areas(strokes: Strokes, chosen: IntArray) -> FloatArray:
    out = []
    for s in chosen.tolist():
        p = strokes.segments[int(strokes.offsets[s]) : int(strokes.offsets[s + 1]), 0]
        q = np.roll(p, -1, axis=0)
        out.append(float((p[:, 0] * q[:, 1] - p[:, 1] * q[:, 0]).sum()))
    return np.array(out)


def say_cut_notches(
    found: CutNotches, strokes: Strokes, names: list[str], sizes: list[str], taken_out: bool
) -> list[Finding]:
    """One finding for each outline that has some."""
    out = []
    group = strokes.group[found.stroke]
    for g in np.unique(group).tolist():
        mine = np.flatnonzero(group == g)
        depth = np.hypot(*(found.tip[mine] - found.foot[mine]).T)
        x, y = found.foot[mine[0]]
        fate = (
            "they are taken out and become notches"
            if taken_out
            else "walked as it stands, its seams are too long by twice their depth"
        )
        out.append(
            Finding(
                code="notch.cut-in",
                severity=Severity.NOTE if taken_out else Severity.WARNING,
                message=f"{mine.size} notches look cut into the outline, {depth.mean():.1f} mm "
                f"deep; {fate}",
                piece=names[g],
                size=sizes[g],
                x=float(x),
                y=float(y),
                measured=float(depth.mean()),
                repaired=taken_out,
                hint=None if taken_out else 'say cut-notches = "take out"',
            )
        )
    return out


def take_out(
    found: CutNotches, bounds: Boundaries, points: Points, point_role: IntArray, layer: int
) -> tuple[Boundaries, Points]:
    """Outlines without their cut notches, and points that stand for them on `layer`.

    The vertices at the opening stay; marks on a notch's own vertices go.
    """
    strokes = bounds.strokes
    gone = np.zeros(len(strokes.segments), dtype=bool)
    corners = []
    for s, first, tips in zip(
        found.stroke.tolist(), found.first.tolist(), found.tips.tolist(), strict=True
    ):
        base, n = int(strokes.offsets[s]), int(strokes.counts[s])
        for k in range(1, tips + 1):
            gone[base + (first + k) % n] = True
        for k in range(tips + 2):
            corners.append((strokes.segments[base + (first + k) % n, 0], int(strokes.group[s])))
    counts = np.add.reduceat(~gone, strokes.offsets[:-1])
    offsets = np.zeros(strokes.n + 1, dtype=np.int64)
    np.cumsum(counts, out=offsets[1:])
    kept = np.flatnonzero(~gone)
    segments = strokes.segments[kept].copy()
    for s in np.unique(found.stroke).tolist():
        part = slice(int(offsets[s]), int(offsets[s + 1]))
        start = segments[part, 0]
        segments[part] = line_segments(start, np.roll(start, -1, axis=0))
    outlines = replace(strokes, segments=segments, kinds=strokes.kinds[kept], offsets=offsets)
    assert (outlines.kinds[int(offsets[found.stroke[0]])] == LINE).all()
    marks = (point_role == TURN_POINTS) | (point_role == CURVE_POINTS)
    at = np.flatnonzero(marks)
    hit, _, _ = pairs_within(
        points.xy[at], np.array([c for c, _ in corners]), 0.02,
        groups_a=points.group[at], groups_b=np.array([g for _, g in corners]),
    )  # fmt: skip
    stay = np.setdiff1d(np.arange(points.n), at[hit])
    points = points.picked(stay)
    into = found.tip - found.foot
    n = found.n
    made = {
        "xy": found.foot,
        "z": found.width,
        "thickness": np.hypot(into[:, 0], into[:, 1]),
        "angle": np.degrees(np.arctan2(into[:, 1], into[:, 0])),
        "category": np.full(n, -1, dtype=np.int64),
        "layer": np.full(n, layer, dtype=np.int64),
        "row": strokes.row[found.stroke],
        "group": strokes.group[found.stroke],
    }
    points = replace(
        points, **{name: np.concatenate((getattr(points, name), v)) for name, v in made.items()}
    )
    return replace(bounds, strokes=outlines), points
