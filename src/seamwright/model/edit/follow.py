"""The cut line beside a stretch of seam line that was redrawn.

Where the old cut line ran parallel to the stretch, it is drawn anew at the same distance and
joined to what lies beside it, which stays exactly as it was. Where it did not, it can only be
taken away: an old cut line beside a new seam line would be cut by somebody.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from seamwright.geometry import Curve, GeometryError, Station
from seamwright.geometry.offset import offset_open

from ..marks import LineRole, Notch
from ..measure import measure
from ..projection import project
from ..shape import Shape
from .replace_run import Replaced

_PARALLEL = 0.15  # mm; a cut line farther from an exact parallel than this is no parallel
_JOIN = 0.1  # mm; the new stretch must meet the old cut line this well
_SAME = 1e-6  # mm
_SAMPLES = 24


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Followed:
    """shape  with a cut line that fits the new seam line, or with none
    fits     False where the old cut line could not follow and was taken away
    """

    shape: Shape
    fits: bool


def follow_cut_line(
    old: Shape, replaced: Replaced, moved: Sequence[tuple[float, float]]
) -> Followed:
    """The redrawn shape with its cut line brought along.

    old       the shape before; replaced: the new one, still with the old cut line
    moved     stretches of the old seam line that moved: lengths (mm from corner 1) at which each
              begins and ends, going with the outline (past its start where the end is smaller)
    Notches on the cut line that lie in such a stretch are carried along the seam line and then
    square to the new cut line (common practice, no source); with the cut line taken away, all of
    them are laid on the seam line.
    """
    if old.cut_line is None:
        return Followed(shape=replaced.shape, fits=True)
    cut: Curve | None = old.cut_line
    for start, end in moved:
        cut = None if cut is None else _redrawn(old, replaced, cut, start, end)
    return Followed(shape=_with(old, replaced, cut), fits=cut is not None)


def _redrawn(old: Shape, replaced: Replaced, cut: Curve, start: float, end: float) -> Curve | None:
    """The whole cut line with one stretch drawn anew; None where it will not go."""
    old_part = old.seam_line.part(start, end)
    # Away from the very ends, where a corner's finish may come in.
    s = np.linspace(0.05, 0.95, _SAMPLES) * old_part.length
    distances = cut.nearest(old_part.point_at(s)).distances
    width = float(np.median(distances))
    if np.abs(distances - width).max() > _PARALLEL:
        return None
    line = replaced.shape.seam_line
    ends = [replaced.move(old.seam_line.station_at(x % old.seam_line.length)) for x in (start, end)]
    new_part = line.part(*(line.length_of(station) for station in ends))
    try:
        parallel = offset_open(new_part, width)
        meet = cut.nearest(np.array([parallel.start, parallel.end]))
        if meet.distances.max() > _JOIN:
            return None
        rest = cut.part(float(meet.lengths[1]), float(meet.lengths[0]))
        return rest.joined(parallel, tolerance=_JOIN).closed_up(_JOIN)
    except GeometryError:
        return None


def _with(old: Shape, replaced: Replaced, cut: Curve | None) -> Shape:
    """The new shape with that cut line, and the notches that sat on the old one."""
    shape = replaced.shape
    stray = [i for i, n in enumerate(old.notches) if n.line is LineRole.CUT]
    if not stray:
        return shape.but(cut_line=cut)
    assert old.cut_line is not None
    feet = project([old], [(0, i) for i in stray])
    stations: dict[str, Station] = {}
    for i, foot in zip(stray, feet, strict=True):
        notch = old.notches[i]
        station = replaced.move(foot.station)
        if cut is not None:
            point = old.cut_line.point_of(notch.station)[None]
            if cut.nearest(point).distances[0] > _SAME:
                point = shape.seam_line.point_of(station)[None]
            near = cut.nearest(point)
            station = Station(int(near.segments[0]), float(near.ts[0]))
        stations[notch.name] = station
    line = LineRole.SEAM if cut is None else LineRole.CUT
    notches = tuple(
        replace(n, station=stations[n.name], line=line) if n.name in stations else n
        for n in shape.notches
    )
    return shape.but(cut_line=cut, notches=_in_order(shape, notches) if cut is None else notches)


def _in_order(shape: Shape, notches: tuple[Notch, ...]) -> tuple[Notch, ...]:
    """By length from corner 1, now that all lie on the seam line."""
    (measures,) = measure([shape.but(cut_line=None, notches=notches)])
    return tuple(notches[i] for i in np.argsort(measures.notches, kind="stable"))
