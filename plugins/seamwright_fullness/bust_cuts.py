"""Where a piece is cut for a bust change: places checked, found where they are not given."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from seamwright.geometry import Curve, FloatArray, GeometryError
from seamwright.model import Shape
from seamwright.model.edit import inside_of
from seamwright.model.marking import Dart


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Places:
    """Where to cut: lengths along the seam line, mm; None for what is found from the point."""

    point: FloatArray
    slash: float
    dart: str
    side: float | None
    hem: float | None
    level: float | None
    dart_name: str


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Cuts:
    """Places as pairs in outline order: a dart's mouth has two ends, a place one."""

    side: tuple[float, float]
    side_dart: Dart | None
    hem: tuple[float, float]
    hem_dart: Dart | None
    down: FloatArray
    out: FloatArray
    level: float
    side_first: bool  # from the slash on, the outline comes to the side before the hem


def find_cuts(shape: Shape, places: Places) -> Cuts:
    """All cuts of one shape. GeometryError where a place is out of order or a slash in the way."""
    seam = shape.seam_line
    b = places.point
    if not inside_of(seam, seam.start)(b):
        raise GeometryError("the bust point does not lie inside the piece")
    side_dart = next((d for d in shape.darts if d.name == places.dart), None)
    if places.dart and side_dart is None:
        raise GeometryError(f'there is no dart "{places.dart}" in this size')
    if side_dart is None:
        assert places.side is not None
        side = (places.side, places.side)
    else:
        side = (seam.length_of(side_dart.left), seam.length_of(side_dart.right))
    grain = shape.grain_line
    down = np.array([0.0, -1.0])
    if places.hem is not None:
        at_hem = places.hem
        way = seam.point_at(at_hem) - b
        down = way / np.hypot(*way)
    else:
        if grain is not None:
            way = np.asarray(grain.end) - np.asarray(grain.start)
            way = way / np.hypot(*way)
            down = way if way[1] < 0.0 else -way
        at_hem = _ray(seam, b, down)
    hem_dart = None
    hem = (at_hem, at_hem)
    for each in shape.darts:
        low = seam.length_of(each.left)
        wide = (seam.length_of(each.right) - low) % seam.length
        if each is not side_dart and (at_hem - low) % seam.length <= wide:
            hem_dart, hem = each, (low, low + wide)
    out = np.array([-down[1], down[0]])
    middle = seam.point_at(0.5 * (side[0] + side[0] + (side[1] - side[0]) % seam.length))
    if float((middle - b) @ out) < 0.0:
        out = -out
    depth = float((seam.point_at(at_hem) - b) @ down)
    level = places.level
    if level is None:
        level = _ray(seam, b + 0.5 * depth * down, -out)
    to_side = (side[0] - places.slash) % seam.length
    to_hem = (hem[0] - places.slash) % seam.length
    to_level = (level - places.slash) % seam.length
    side_first = to_side < to_hem
    if not (to_side < to_hem < to_level or to_side > to_hem > to_level):
        raise GeometryError(
            "round the piece must follow one another: the slash's end, the bust dart, the hem "
            "slash, the place of the level line"
        )
    _clear(shape, b, (places.slash, *side, *hem), (side_dart, hem_dart))
    return Cuts(
        side=side, side_dart=side_dart, hem=hem, hem_dart=hem_dart, down=down, out=out,
        level=level, side_first=side_first,
    )  # fmt: skip


def _ray(seam: Curve, start: FloatArray, way: FloatArray) -> float:
    """Length along the outline at which a ray first meets it."""
    box = seam.bbox
    reach = 2.0 * float(np.hypot(box[2] - box[0], box[3] - box[1]))
    met = seam.intersections(Curve.line(start, start + reach * way))
    if not len(met.own):
        raise GeometryError("a line from the bust point does not meet the outline")
    return float(met.own[int(np.argmin(met.others))])


def _clear(shape: Shape, b: FloatArray, ends: Sequence[float], own: Sequence[Dart | None]) -> None:
    """Raises GeometryError where a slash leaves the piece or crosses another dart."""
    seam = shape.seam_line
    for end in ends:
        line = Curve.line(b, seam.point_at(end % seam.length))
        if line.length < 1.0:
            raise GeometryError("the bust point lies on the edge")
        if (seam.intersections(line).others < line.length - 1e-5).any():
            raise GeometryError("a slash from the bust point leaves the piece")
        for each in shape.darts:
            if any(each is x for x in own):
                continue
            legs = np.array([seam.point_of(each.left), each.apex, seam.point_of(each.right)])
            if len(line.intersections(Curve.polyline(legs)).own):
                raise GeometryError(f'a slash crosses the dart "{each.name}"')


def turn_for(d: FloatArray, out: FloatArray, amount: float) -> float:
    """The smallest turn, radians, that moves a point at `d` from the hinge by `amount` along
    `out`: (cos a - 1) d.w + sin a (Jd).w = amount, solved with p cos a + q sin a = r."""
    p, q = float(d @ out), float(np.array([-d[1], d[0]]) @ out)
    r = amount + p
    reach = float(np.hypot(p, q))
    if abs(r) >= reach:
        raise GeometryError("the slash is too short for so large an amount")
    middle, off = float(np.arctan2(q, p)), float(np.arccos(r / reach))
    both = [(a + np.pi) % (2.0 * np.pi) - np.pi for a in (middle - off, middle + off)]
    return float(min(both, key=abs))
