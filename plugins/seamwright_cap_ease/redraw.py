"""The sleeve with its new cap: everything outside the cap stays exactly as it was."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from seamwright.geometry import Curve, FloatArray
from seamwright.model import Shape
from seamwright.model.edit import Replacement, follow_cut_line, replace_runs

from .edge import CapEdge
from .fold import Folded

_RIM = 1.0  # mm


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Redrawn:
    """shape     the sleeve in one size with its new cap
    cut_line     False where the old cut line could not follow and was taken away
    inside       what is drawn inside the cap above the bicep line and was not moved with it
    sticking_out those of them that the new cap no longer covers
    """

    shape: Shape
    cut_line: bool
    inside: tuple[str, ...]
    sticking_out: tuple[str, ...]


def redraw(cap: CapEdge, folded: Folded) -> Redrawn:
    """The shape with the new edge; marks keep their length from the underarm below a tuck and
    from the shoulder point above it."""
    replaced = replace_runs(
        cap.shape,
        [
            Replacement(
                start=cap.start,
                end=cap.end,
                curve=folded.curve,
                carry=lambda s: float(folded.taken.after(s)),
            )
        ],
    )
    whole, begin = cap.shape.seam_line.length, cap.shape.seam_line.length_of(cap.start)
    moved = (begin + folded.held[0]) % whole, (begin + cap.edge.length - folded.held[1]) % whole
    followed = follow_cut_line(cap.shape, replaced, [moved])
    inside, out = _inside(cap, folded)
    return Redrawn(shape=followed.shape, cut_line=followed.fits, inside=inside, sticking_out=out)


def _inside(cap: CapEdge, folded: Folded) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Names of things inside the cap, and of those that lie outside the new edge."""
    named = _things(cap.shape)
    if not named:
        return (), ()
    import shapely  # noqa: PLC0415 - heavy, and needed only here

    def area(edge: Curve) -> Any:
        return shapely.make_valid(shapely.Polygon(edge.flatten(0.05)))

    before, after = area(cap.edge), area(folded.curve)

    def drawn(points: FloatArray) -> Any:
        return shapely.LineString(points) if len(points) > 1 else shapely.Point(points[0])

    # What lies on the bicep line lies where nothing moves.
    core, covered = shapely.buffer(before, -_RIM), shapely.buffer(after, 0.01)
    inside = [(name, g) for name, p in named if shapely.intersects(core, g := drawn(p))]
    out = [
        name
        for name, g in inside
        if not shapely.is_empty(shapely.difference(shapely.intersection(g, before), covered))
    ]
    return tuple(name for name, _ in inside), tuple(out)


def _things(shape: Shape) -> list[tuple[str, FloatArray]]:
    """What is drawn inside the piece: a name, and points of it."""
    found: list[tuple[str, FloatArray]] = []
    if shape.grain_line is not None:
        found.append(("grain line", np.array([shape.grain_line.start, shape.grain_line.end])))
    for line in shape.internal_lines:
        name = f'{line.kind.value} line "{line.name}"' if line.name else f"{line.kind.value} line"
        found.append((name, line.curve.flatten(0.5)))
    for hole in shape.drill_holes:
        name = f'drill hole "{hole.name}"' if hole.name else "drill hole"
        found.append((name, np.array([hole.at])))
    for text in shape.texts:
        found.append((f'text "{text.text[:30]}"', np.array([text.at])))
    for point in shape.grade_points:
        if point.at is not None:
            found.append((f"grade point {point.rule}", np.array([point.at])))
    return found
