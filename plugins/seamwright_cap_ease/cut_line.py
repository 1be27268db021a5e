"""The cut line over a cap that was redrawn.

Where the old cut line ran parallel to the cap, it is drawn anew at the same distance and joined to
what lies beside it, which stays exactly as it was. Where it did not, it can only be taken away:
an old cut line beside a new seam line would be cut by somebody.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from seamwright.geometry import Curve, GeometryError, Station
from seamwright.geometry.offset import offset_open
from seamwright.model import LineRole, Shape
from seamwright.model.edit import Replaced
from seamwright.model.measure import measure
from seamwright.model.projection import project

from .edge import CapEdge
from .fold import Folded

_PARALLEL = 0.15  # mm; a cut line farther from an exact parallel than this is no parallel
_JOIN = 0.1  # mm; the new stretch must meet the old cut line this well
_SAME = 1e-6  # mm
_SAMPLES = 24


def follow_cut_line(cap: CapEdge, folded: Folded, replaced: Replaced) -> tuple[Shape, bool]:
    """The redrawn shape with a cut line that fits, or with none; and whether it has one.

    replaced  the shape with the new seam line and still the old cut line
    """
    old, shape = cap.shape, replaced.shape
    if old.cut_line is None:
        return shape, True
    stray = [i for i, n in enumerate(old.notches) if n.line is LineRole.CUT]
    feet = dict(zip(stray, project([old], [(0, i) for i in stray]), strict=True))
    new = _redrawn(cap, folded, old.cut_line)
    stations: dict[str, Station] = {}
    for i in stray:
        on_seam = replaced.move(feet[i].station)
        if new is None:
            stations[old.notches[i].name] = on_seam
            continue
        kept = old.cut_line.point_of(old.notches[i].station)
        if new.nearest(kept[None]).distances[0] > _SAME:
            # Laid on the seam line and carried square to the cut line (common practice).
            kept = shape.seam_line.point_of(on_seam)
        near = new.nearest(kept[None])
        stations[old.notches[i].name] = Station(int(near.segments[0]), float(near.ts[0]))
    line = LineRole.SEAM if new is None else LineRole.CUT
    notches = tuple(
        replace(n, station=stations[n.name], line=line) if n.name in stations else n
        for n in shape.notches
    )
    if new is None and stations:
        order = measure([shape.but(cut_line=None, notches=notches)])[0].notches
        notches = tuple(notches[i] for i in np.argsort(order, kind="stable"))
    return shape.but(cut_line=new, notches=notches), new is not None


def _redrawn(cap: CapEdge, folded: Folded, cut: Curve) -> Curve | None:
    """The whole cut line with its stretch over the cap drawn anew; None where it will not go."""
    low, high = folded.held[0], cap.edge.length - folded.held[1]
    old_part = cap.edge.part(low, high)
    # Away from the very ends, where a corner's finish may come in.
    s = np.linspace(0.05, 0.95, _SAMPLES) * old_part.length
    distances = cut.nearest(old_part.point_at(s)).distances
    width = float(np.median(distances))
    if np.abs(distances - width).max() > _PARALLEL:
        return None
    new_part = folded.curve.part(low, folded.curve.length - folded.held[1])
    try:
        parallel = offset_open(new_part, width)
        ends = cut.nearest(np.array([parallel.start, parallel.end]))
        if ends.distances.max() > _JOIN:
            return None
        rest = cut.part(float(ends.lengths[1]), float(ends.lengths[0]))
        return rest.joined(parallel, tolerance=_JOIN).closed_up(_JOIN)
    except GeometryError:
        return None
