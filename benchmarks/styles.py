"""Styles by the hundred, for the batch benchmark: drafted pieces in ten sizes, as DXF with a plan.

Each style has ten pieces (body, sleeve and cuff panels of odd proportions) in ten sizes, seams
between neighbours, and notches; every style has its own figures, drawn from its number.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np

import seamwright as sw
from seamwright.geometry import Curve, Station
from seamwright.model import (
    GrainLine,
    Notch,
    NotchType,
    Pattern,
    Piece,
    Run,
    RunPart,
    Seam,
    Shape,
    build_shape,
)
from seamwright.plan import plan_of, plan_toml

CORNERS = ("hem-back", "hem-front", "top-front", "top-back")


def outline(number: int, piece: int, scale: float, segments: int) -> Curve:
    """A panel: straight hem, bowed sides, a curved top, anticlockwise from the hem's back. Sides
    that are sewn together are bowed alike; in every tenth style one of them is not."""
    own = np.random.default_rng((number, piece))
    width, height = own.uniform(180, 320) * scale, (430.0 + 13.0 * (number % 20)) * scale
    corners = np.array([(0.0, 0.0), (width, 0.0), (width, height), (0.0, height)])
    odd = 0.08 if number % 10 == 0 and piece == 3 else 0.0
    bows = [0.0, _bow(number, piece) + odd, own.uniform(0.02, 0.2), -_bow(number, piece - 1)]
    made: list[list[list[float]]] = []
    for i in range(4):
        a, b = corners[i], corners[(i + 1) % 4]
        count = 1 if i == 0 else segments
        along = (b - a) / count
        side = np.array([along[1], -along[0]]) * bows[i]
        u = np.linspace(0.0, np.pi, count + 1)
        joints = a + np.arange(count + 1)[:, None] * along + np.sin(u)[:, None] * side * count / 3
        slope = along + np.cos(u)[:, None] * side
        for k in range(count):
            p, q = joints[k], joints[k + 1]
            made.append([list(p), list(p + slope[k] / 3), list(q - slope[k + 1] / 3), list(q)])
    return Curve.from_segments(np.array(made), closed=True)


def _bow(number: int, seam: int) -> float:
    return float(np.random.default_rng((number, 1000 + seam)).uniform(0.03, 0.2))


def style(number: int, *, pieces: int = 10, sizes: int = 10, segments: int = 3) -> Pattern:
    """The style of that number; the same number gives the same style."""
    names = [str(34 + 2 * z) for z in range(sizes)]
    made = []
    for piece in range(pieces):
        shapes: list[Shape] = []
        for z, size in enumerate(names):
            curve = outline(number, piece, 1.0 + 0.02 * z, segments)
            starts = [0, *(1 + segments * i for i in range(3))]
            shapes.append(
                build_shape(
                    size=size,
                    outline=curve,
                    corners=[Station(i, 0.0) for i in starts],
                    corner_names=CORNERS,
                    notches=[
                        Notch(
                            name=f"n{i}",
                            station=Station(starts[i] + segments // 2, 0.5),
                            type=NotchType.V,
                            depth=6.0,
                        )
                        for i in (1, 2, 3)
                    ],
                    grain_line=GrainLine(start=(90.0, 100.0), end=(90.0, 300.0)),
                )
            )
        made.append(Piece(name=f"Panel {piece + 1}", shapes=tuple(shapes), quantity=(1, 1)))
    # Neighbours are sewn side to side, both from the hem upwards.
    seams = tuple(
        Seam(
            name=f"panel {i + 1} to panel {i + 2}",
            sew=Run(parts=(RunPart(piece=made[i].name, marks=(CORNERS[1], CORNERS[2])),)),
            to=Run(parts=(RunPart(piece=made[i + 1].name, marks=(CORNERS[0], CORNERS[3])),)),
        )
        for i in range(pieces - 1)
    )
    return Pattern(
        name=f"Style {number:04}",
        pieces=tuple(made),
        sizes=tuple(names),
        base_size=names[sizes // 2],
        seams=seams,
    )


def write_styles(
    folder: Path, count: int, *, pieces: int = 10, sizes: int = 10, first: int = 0
) -> list[Path]:
    """Writes styles as DXF, a hundred to a folder, each with its plan beside; what is there
    already stays."""
    paths = []
    for number in range(first, first + count):
        below = folder / f"{number // 100:02}"
        below.mkdir(parents=True, exist_ok=True)
        path = below / f"style-{number:04}.dxf"
        paths.append(path)
        if path.exists():
            continue
        pattern = style(number, pieces=pieces, sizes=sizes)
        sw.write(pattern, path, read_back=False, overwrite=True)
        path.with_name(f"style-{number:04}.plan.toml").write_text(plan_toml(plan_of(pattern)))
    return paths
