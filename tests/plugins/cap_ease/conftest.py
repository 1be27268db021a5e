"""Sleeves to fold, each with a back and a front whose armholes have the length that is wanted."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np
import pytest

from seamwright.geometry import LINE, Curve, FloatArray, Station, line_segments
from seamwright.model import (
    Ease,
    Notch,
    Pattern,
    Piece,
    Run,
    RunPart,
    Seam,
    Shape,
    build_shape,
)
from seamwright.model.edit import transform
from seamwright.plan import walk
from seamwright.plugins.building import build
from seamwright.plugins.context import Context

# The draft of which check values are known (own): from the back underarm over the shoulder point.
BACK = [
    [(-169, 0), (-146, 5), (-128, 20), (-112, 42)],
    [(-112, 42), (-96, 64), (-82, 90), (-62, 109)],
    [(-62, 109), (-44.8, 125.34), (-24, 135), (0, 135)],
]
FRONT = [
    [(0, 135), (23, 135), (40, 124), (55, 107)],
    [(55, 107), (73, 86.6), (81, 62), (96, 40)],
    [(96, 40), (112.5, 15.8), (134, 4), (161, 0)],
]


@dataclass
class Wardrobe:
    """Makes patterns and runs the step on them."""

    back: FloatArray = field(default_factory=lambda: np.array(BACK, dtype=np.float64))
    front: FloatArray = field(default_factory=lambda: np.array(FRONT, dtype=np.float64))

    def sleeve(
        self,
        *,
        size: str = "M",
        back: FloatArray | None = None,
        front: FloatArray | None = None,
        notches: Mapping[str, float] | None = None,
        shoulder: str = "notch",
        polyline: int = 0,
        down: float = 180.0,
    ) -> Shape:
        """A sleeve over given halves of a cap (K, 4, 2), back underarm to shoulder to front.

        notches   "back", "front": mm down from the shoulder point; None: half way and a third up
        shoulder  the shoulder point is a "notch" or a "corner"
        polyline  the cap as so many straight segments
        """
        back = self.back if back is None else back
        front = self.front if front is None else front
        halves = Curve.from_segments(back), Curve.from_segments(front)
        lengths = halves[0].length, halves[1].length
        cap = Curve.from_segments(np.concatenate([back, front]))
        top = lengths[0]
        if polyline:
            share = polyline * top / cap.length
            k = max(round(share), 1)
            s = np.concatenate(
                [np.linspace(0, top, k + 1), np.linspace(top, cap.length, polyline - k + 1)[1:]]
            )
            cap = Curve.polyline(cap.point_at(s))
            top = float(cap.cumulative[k])
        if notches is None:
            notches = {"back": 0.55 * lengths[0], "front": 0.6 * lengths[1]}
        (ax, ay), (bx, by) = cap.start, cap.end
        low = np.array([[bx, by], [0.7 * bx, by - down], [0.7 * ax, ay - down], [ax, ay]])
        segments = np.concatenate([cap.segments, line_segments(low[:-1], low[1:])])
        kinds = [*cap.kinds.tolist(), LINE, LINE, LINE]
        outline = Curve.from_segments(segments, np.array(kinds, np.uint8), closed=True)
        n = cap.n
        corners = [Station(0, 0.0), Station(n, 0.0), Station(n + 1, 0.0), Station(n + 2, 0.0)]
        names: list[str | None] = ["underarm-back", "underarm-front", "wrist-front", "wrist-back"]
        marks = []
        at_top = cap.station_at(top)
        if shoulder == "corner":
            corners.append(at_top)
            names.append("shoulder")
        else:
            marks.append(Notch(name="shoulder", station=at_top))
        for name, down_from in notches.items():
            place = top - down_from if name.startswith("back") else top + down_from
            marks.append(Notch(name=name, station=cap.station_at(float(place))))
        return build_shape(
            size=size, outline=outline, corners=corners, corner_names=names, notches=marks
        )

    def pattern(
        self,
        sleeves: Sequence[Shape],
        *,
        ease: Mapping[str, float] | Sequence[Mapping[str, float]],
        plan: Mapping[str, Ease] | None = None,
        matrix: Any = None,
        meet: bool = True,
    ) -> Pattern:
        """A style with sleeves in sizes that hold the ease given, "back" and "front" in mm (one
        for all sizes or one a size); `matrix` moves, turns or mirrors the sleeves."""
        eases = [ease] * len(sleeves) if isinstance(ease, Mapping) else list(ease)
        halves = [_half_lengths(s) for s in sleeves]
        moved = [s if matrix is None else transform(s, matrix) for s in sleeves]
        sizes = tuple(s.size for s in sleeves)
        pieces = [Piece(name="Sleeve", shapes=tuple(moved))]
        for which, name in ((0, "Back"), (1, "Front")):
            key = name.lower()
            shapes = [
                _bodice(s.size, h[which] - e[key])
                for s, h, e in zip(sleeves, halves, eases, strict=True)
            ]
            pieces.append(Piece(name=name, shapes=tuple(shapes)))
        return Pattern(
            name="blouse",
            pieces=tuple(pieces),
            sizes=sizes,
            base_size=sizes[len(sizes) // 2],
            seams=tuple(_seam(side, (plan or {}).get(side), moved[0], meet) for side in SIDES),
        )

    def ease(self, pattern: Pattern) -> dict[str, list[float]]:
        """Ease of both halves in all sizes."""
        w = walk(pattern)
        return {s: w.ease[w.number(f"sleeve to armhole, {s}")].tolist() for s in SIDES}

    def run(self, pattern: Pattern, units: str = "mm", **options: object):  # type: ignore[no-untyped-def]
        """The step's result; options as in a pipeline."""
        from seamwright_cap_ease.options import EaseCap
        from seamwright_cap_ease.step import run

        given = {k.replace("_", "-"): v for k, v in options.items()}
        return run(pattern, build(EaseCap, given), Context(units=units))  # type: ignore[arg-type]


SIDES = ("back", "front")


def _half_lengths(sleeve: Shape) -> tuple[float, float]:
    """Back and front of a sleeve's cap as it was made (anticlockwise: front first)."""
    line = sleeve.seam_line
    front = line.length_of(sleeve.corner("underarm-front").station)
    back = line.length_of(sleeve.corner("underarm-back").station)
    tops = [c.station for c in sleeve.corners if c.name == "shoulder"]
    top = line.length_of(tops[0] if tops else sleeve.notch("shoulder").station)
    return (back - top) % line.length, (top - front) % line.length


def _bodice(size: str, armhole: float) -> Shape:
    """A quadrilateral with an edge of that length."""
    corners = np.array([[0, 0], [260, 0], [260, 300], [0, armhole]], dtype=np.float64)
    return build_shape(
        size=size,
        outline=Curve.polyline(corners, closed=True),
        corners=[Station(i, 0.0) for i in range(4)],
        corner_names=["underarm", "hem", "neck", "shoulder"],
        notches=[Notch(name="notch", station=Station(3, 0.55))],
    )


def _seam(side: str, ease: Ease | None, sleeve: Shape, meet: bool) -> Seam:
    there = {n.name for n in sleeve.notches}
    return Seam(
        name=f"sleeve to armhole, {side}",
        sew=Run(parts=(RunPart(piece="Sleeve", marks=(f"underarm-{side}", "shoulder")),)),
        to=Run(parts=(RunPart(piece=side.capitalize(), marks=("underarm", "shoulder")),)),
        ease=ease,
        meet=((side, "notch"),) if meet and side in there else (),
        cap=side,  # type: ignore[arg-type]
    )


@pytest.fixture(scope="session")
def wardrobe() -> Wardrobe:
    """The maker of sleeves."""
    return Wardrobe()
