"""The drafted pieces as a Pattern: what the tidy drawing holds."""

from __future__ import annotations

from collections.abc import Iterable

from seamwright.geometry import Curve, Station
from seamwright.model import (
    GrainLine,
    InternalKind,
    InternalLine,
    Notch,
    Pattern,
    Piece,
    Shape,
    Text,
    TextRole,
    build_shape,
)

from . import bodice
from .body import Body, base_size, chorus
from .drawn import Drawn
from .sleeve import sleeve

STYLE = "Chorus blouse"
QUANTITIES = {"Back": (1, 0), "Front": (1, 1), "Sleeve": (1, 1)}


def draft(body: Body) -> tuple[Drawn, Drawn, Drawn]:
    """Back, front and sleeve for one size."""
    back, front = bodice.back(body), bodice.front(body)
    return back, front, sleeve(body, back, front)


def blouse(sizes: Iterable[str] | None = None) -> Pattern:
    """The blouse in the named sizes (all seven by default), without seams: those stand in the
    plan. Raises KeyError for a size that is not in the table."""
    table = {body.size: body for body in chorus()}
    wanted = tuple(table) if sizes is None else tuple(sizes)
    drafts = {size: draft(table[size]) for size in wanted}
    pieces = []
    for number, name in enumerate(QUANTITIES):
        shapes = tuple(_shape(drafts[size][number], size) for size in wanted)
        pieces.append(Piece(name=name, shapes=shapes, quantity=QUANTITIES[name]))
    base = base_size() if base_size() in wanted else wanted[0]
    return Pattern(name=STYLE, pieces=tuple(pieces), sizes=wanted, base_size=base)


def _shape(drawn: Drawn, size: str) -> Shape:
    outline = drawn.outline()
    joints: dict[str, int] = {}
    count = 0
    for corner, edge in drawn.edges.items():
        joints[corner] = count
        count += edge.n
    starts = {corner: float(outline.cumulative[joint]) for corner, joint in joints.items()}
    x, y = drawn.label
    inside = [
        InternalLine(kind=InternalKind.INTERNAL, curve=curve, name=name)
        for name, curve in drawn.inside.items()
    ]
    if drawn.fold is not None:
        inside.append(
            InternalLine(kind=InternalKind.FOLD, curve=drawn.edges[drawn.fold], name="fold")
        )
    return build_shape(
        size=size,
        outline=outline,
        corners=[Station(joint, 0.0) for joint in joints.values()],
        corner_names=list(joints),
        notches=[
            Notch(name=mark.name, station=_at(outline, starts[mark.edge] + mark.along), depth=6.0)
            for mark in drawn.marks
        ],
        grain_line=GrainLine(start=drawn.grain[0], end=drawn.grain[1]),
        internal_lines=tuple(inside),
        texts=(
            Text(text=drawn.name, at=(x, y), height=11.0, role=TextRole.NAME),
            Text(text=f"size {size}", at=(x, y - 18.0), height=8.0, role=TextRole.SIZE),
        ),
        mirrored_half=drawn.fold is not None,
    )


def _at(outline: Curve, along: float) -> Station:
    """The station that many mm along, or the joint that it falls on."""
    station = outline.station_at(along)
    return Station((station.segment + 1) % outline.n, 0.0) if station.t > 1 - 1e-9 else station
