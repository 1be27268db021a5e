"""A piece lengthened or shortened at a line, the two edges that it crosses redrawn."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from seamwright.geometry import CUBIC, LINE, Curve, FloatArray, GeometryError, line_segments
from seamwright.geometry.simple import crosses_itself
from seamwright.model import Shape
from seamwright.model.turning import Move, with_joints

from .level import Level
from .marks import (
    Along,
    carried_notches,
    carried_place,
    edge_at,
    edge_starts,
    legs_kept_equal,
    shifted_inside,
)

_CORNER = 0.5  # mm; nearer than this to a corner it is not said which edge is meant
_LEAST = 0.2  # of an edge's extent must be left
_STEEPEST = 0.5  # a blend that shortens more than this at its middle shows as a dent
_PARTS = 6  # cubics in a blended stretch


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Opened:
    """shape    after
    edges       numbers of the two edges that the line crosses: where the part that moves begins,
                and where it ends
    lengths     before and after, (2, 2), mm
    """

    shape: Shape
    edges: tuple[int, int]
    lengths: FloatArray


def opened(
    shape: Shape,
    level: Level,
    amount: float,
    within: float | None,
    scales: tuple[float, float] = (1.0, 1.0),
) -> Opened:
    """The part beyond the line moved by `amount` along the line's way.

    within  None: each crossed edge is stretched evenly along the way between its two corners (an
            affine map: straight stays straight, curves stay smooth). Otherwise only what lies
            nearer to the line than `within` is redrawn, by a map of the plane that is smooth to
            the first order (cubic smoothstep)
    scales  of the two crossed edges, about their corners that stay: to equal lengths of what is
            sewn to them; the neighbouring edge follows by a similarity
    The shape has no cut line and no notches on one. Marks on the crossed edges keep their lengths
    to the end on their own side. GeometryError where it does not go.
    """
    seam = shape.seam_line
    if len(shape.corners) < 2:
        raise GeometryError("the piece has no corners, so no edges to lengthen")
    starts = edge_starts(shape)
    places = (level.begin % seam.length, level.end % seam.length)
    edges = (edge_at(starts, places[0]), edge_at(starts, places[1]))
    for i, place in zip(edges, places, strict=True):
        if min(place - starts[i], starts[i + 1] - place) < _CORNER:
            raise GeometryError(
                f'the line meets the outline at corner "{_nearest(shape, starts, place)}": it is '
                "not said which edge becomes longer"
            )
    if edges[0] == edges[1]:
        raise GeometryError("the line begins and ends in one edge")
    for dart in shape.darts:
        low = seam.length_of(dart.left)
        if any((p - low) % seam.length < (seam.length_of(dart.right) - low) % seam.length
               for p in places):  # fmt: skip
            raise GeometryError(f'the line meets the mouth of the dart "{dart.name}"')
    shift = amount * level.way
    blends = [_Blend(shape, starts, i, p, level, shift, within, moved_end=k == 0)
              for k, (i, p) in enumerate(zip(edges, places, strict=True))]  # fmt: skip
    outline, split = with_joints(seam, [s for b in blends for s in b.joints])
    corners = [split(c.station).segment for c in shape.corners]
    n, count = outline.n, len(corners)

    def segments_of(i: int) -> np.ndarray[tuple[int, ...], np.dtype[np.int64]]:
        first, last = corners[i], corners[(i + 1) % count]
        return (first + np.arange((last - first) % n or n)) % n

    new = np.array(outline.segments)
    kinds = np.array(outline.kinds)
    inner = [(edges[0] + k) % count for k in range(1, (edges[1] - edges[0]) % count)]
    for i in inner:
        new[segments_of(i)] += shift
    for i, blend in zip(edges, blends, strict=True):
        blend.apply(new, kinds, segments_of(i))
    _scaled(new, [segments_of(i) for i in (edges[0], *inner, edges[1])], scales)
    new[:, 0] = np.roll(new[:, 3], 1, axis=0)
    straight = kinds == LINE
    new[straight] = line_segments(new[straight, 0], new[straight, 3])
    made = shape.but(
        seam_line=Curve.from_segments(new, kinds, closed=True),
        corners=tuple(replace(c, station=split(c.station)) for c in shape.corners),
        notches=(),
    )
    return _with_marks(shape, made, level, shift, edges, places, split)


def _nearest(shape: Shape, starts: FloatArray, place: float) -> str:
    i = int(np.argmin(np.abs(starts - place))) % len(shape.corners)
    return shape.corners[i].name


def _with_marks(
    old: Shape,
    made: Shape,
    level: Level,
    shift: FloatArray,
    edges: tuple[int, int],
    places: tuple[float, float],
    split: Move,
) -> Opened:
    if crosses_itself(made.seam_line):
        raise GeometryError("the new outline would cross itself")
    was, now = edge_starts(old), edge_starts(made)
    lengths = np.array([[was[i + 1] - was[i], now[i + 1] - now[i]] for i in edges])
    rules = {
        i: Along(
            old=float(lengths[k, 0]),
            new=float(lengths[k, 1]),
            place=places[k] - float(was[i]),
            tie_to_start=k == 0,
        )
        for k, i in enumerate(edges)
    }
    made = shifted_inside(made, level.origin, level.normal, shift)
    made = made.but(
        notches=carried_notches(old, made, rules, split),
        darts=tuple(
            replace(
                d,
                left=carried_place(old, made, rules, split, d.left),
                right=carried_place(old, made, rules, split, d.right),
            )
            for d in made.darts
        ),
        grade_points=tuple(
            g
            if g.station is None
            else replace(g, station=carried_place(old, made, rules, split, g.station))
            for g in made.grade_points
        ),
        curve_points=tuple(split(s) for s in old.curve_points),
    )
    return Opened(shape=legs_kept_equal(old, made), edges=edges, lengths=lengths)


class _Blend:
    """How one crossed edge goes over from the part that stays to the part that moves."""

    def __init__(
        self,
        shape: Shape,
        starts: FloatArray,
        edge: int,
        place: float,
        level: Level,
        shift: FloatArray,
        within: float | None,
        *,
        moved_end: bool,
    ) -> None:
        seam = shape.seam_line
        self.level, self.shift = level, shift
        curve = shape.edge_curve(edge)
        u = self._far(np.array([curve.start, curve.end]))
        low, high = (float(u[0]), float(u[1])) if moved_end else (float(u[1]), float(u[0]))
        if not low < 0.0 < high:
            raise GeometryError("an edge that the line crosses ends on the side where it began")
        self.smooth = within is not None
        self.joints = []
        if within is not None:
            here = place - float(starts[edge])
            before, after = self._window(curve, here, within)
            ends = self._far(curve.point_at(np.array([before, after])))
            low, high = float(ends.min()), float(ends.max())
            if float(np.ptp(curve.flatten(0.01) @ np.array([-level.way[1], level.way[0]]))) > 1e-9:
                self.joints = [
                    seam.station_at((float(starts[edge]) + s) % seam.length)
                    for s in np.linspace(before, after, _PARTS + 1)
                ]
        self.low, self.high = low, high
        room, change = high - low, float(shift @ level.normal)
        if room + change < _LEAST * room:
            raise GeometryError("there is too little of an edge to be shortened by so much")
        # The smooth step is steepest in its middle, by one and a half.
        if self.smooth and room + 1.5 * change < _STEEPEST * room:
            raise GeometryError(
                "the edges cannot be blended so near the line: let them change farther from it, "
                "or from corner to corner"
            )

    def _far(self, points: FloatArray) -> FloatArray:
        return np.asarray((points - self.level.origin) @ self.level.normal)

    def _window(self, curve: Curve, here: float, within: float) -> tuple[float, float]:
        """Where along the edge, going out from the line, it comes `within` far from it."""
        out = []
        for end in (0.0, curve.length):
            s = np.linspace(here, end, 257)
            off = np.abs(self._far(curve.point_at(s)))
            hit = np.flatnonzero(off >= within)
            if not len(hit):
                out.append(end)
                continue
            a, b = float(s[hit[0] - 1]), float(s[hit[0]])
            for _ in range(60):
                middle = 0.5 * (a + b)
                far = abs(float(self._far(np.asarray(curve.point_at(middle))[None])[0]))
                a, b = (middle, b) if far < within else (a, middle)
            out.append(0.5 * (a + b))
        return out[0], out[1]

    def apply(self, new: FloatArray, kinds: np.ndarray, numbers: np.ndarray) -> None:
        """The edge's segments redrawn, in place."""
        old = new[numbers]
        x = (self._far(old) - self.low) / (self.high - self.low)
        if not self.smooth:
            new[numbers] = old + x[..., None] * self.shift
            return
        t = np.clip(x, 0.0, 1.0)
        weight = t * t * (3.0 - 2.0 * t)
        slope = 6.0 * t * (1.0 - t) / (self.high - self.low)
        made = old + weight[..., None] * self.shift
        inside = (x.min(axis=1) < 1.0 - 1e-9) & (x.max(axis=1) > 1e-9)
        bent = inside & bool(self.joints)
        # A handle is a derivative: it goes under the map's own derivative at its end.
        for handle, end in ((1, 0), (2, 3)):
            h = old[:, handle] - old[:, end]
            turned = h + (slope[:, end] * (h @ self.level.normal))[:, None] * self.shift
            made[bent, handle] = made[bent, end] + turned[bent]
        new[numbers] = made
        kinds[numbers[bent]] = CUBIC


def _scaled(new: FloatArray, runs: list[np.ndarray], scales: tuple[float, float]) -> None:
    """Both crossed edges scaled about the corners that stay; what lies between follows."""
    if scales == (1.0, 1.0):
        return
    first, inner, last = runs[0], runs[1:-1], runs[-1]
    if not inner:
        raise GeometryError("the part that moves has one corner only: nothing can give way")
    ends = new[first[-1], 3].copy(), new[last[0], 0].copy()
    new[first] = new[first[0], 0] + scales[0] * (new[first] - new[first[0], 0])
    new[last] = new[last[-1], 3] + scales[1] * (new[last] - new[last[-1], 3])
    moved = new[first[-1], 3], new[last[0], 0]
    if len(inner) == 1:
        new[inner[0]] = _similar(new[inner[0]], ends, moved)
        return
    for run, old, now in ((inner[0], ends[0], moved[0]), (inner[-1], ends[1], moved[1])):
        other = new[run[-1], 3] if run is inner[0] else new[run[0], 0]
        new[run] = _similar(new[run], (old, other), (now, other))


def _similar(
    points: FloatArray, old: tuple[FloatArray, FloatArray], new: tuple[FloatArray, FloatArray]
) -> FloatArray:
    """Points under the similarity that takes two points to two others."""
    one = np.array([1.0, 1.0j])
    (a, b), (c, d) = (np.stack(p) @ one for p in (old, new))
    z = c + (points @ one - a) * ((d - c) / (b - a))
    return np.stack([z.real, z.imag], axis=-1)
