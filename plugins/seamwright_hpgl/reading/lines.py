"""What the pens drew, as strokes of a drawing in mm."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

import numpy as np

from seamwright.geometry import CUBIC, LINE, Curve, FloatArray, line_segments
from seamwright.model.recognise import (
    NOTHING,
    Drawing,
    Group,
    Lettering,
    Looks,
    Named,
    Spot,
    Stroke,
    read_label,
)

from .machine import Drawn, Lettered, Machine

_LOOP = 25.0 * 40  # units; what a line closes on its way is an outline when it is this large


def drawing_of(machine: Machine, unit: float, pens: Mapping[str, str], encoding: str) -> Drawing:
    """Strokes and texts in mm, in a container for each pen."""
    drawing = Drawing()
    groups: dict[int, Group] = {}

    def group_of(pen: int) -> Group:
        if pen not in groups:
            said = pens.get(str(pen), "")
            label = read_label(said) if said else NOTHING
            groups[pen] = Group(Named(Spot(f"pen {pen}"), label), None)
        return groups[pen]

    order = 0
    for drawn in machine.strokes:
        group = group_of(drawn.pen)
        looks = Looks(stroked=True, filled=False, dashed=drawn.dashed)
        for segments, kinds in _parted(drawn):
            curve = _curve(segments * unit, kinds, unit)
            if curve is not None:
                order += 1
                named = Named(Spot(f"pen {drawn.pen}"))
                drawing.strokes.append(Stroke(curve, named, group, looks, order))
    for label in machine.labels:
        order += 1
        drawing.texts += _texts(label, unit, group_of(label.pen), order, encoding)
    return drawing


def _parted(drawn: Drawn) -> Iterator[tuple[FloatArray, FloatArray]]:
    """A stretch of a lowered pen in segments (K, 4, 2) in plotter units. Where it comes back to a
    place it passed, what lies between is a closed line of its own: plots keep the pen down where
    lines touch."""
    points = np.array(drawn.points)
    segments = line_segments(points[:-1], points[1:])
    kinds = np.full(len(segments), LINE, dtype=np.uint8)
    parts, sorts = [segments], [kinds]
    if drawn.curved:
        parts, sorts = [], []
        last = 0
        for i in sorted(drawn.curved):
            cubics = drawn.curved[i]
            parts += [segments[last:i], cubics]
            sorts += [kinds[last:i], np.full(len(cubics), CUBIC, dtype=np.uint8)]
            last = i + 1
        parts.append(segments[last:])
        sorts.append(kinds[last:])
    segments, kinds = np.concatenate(parts), np.concatenate(sorts)
    long = (segments != segments[:, :1]).any(axis=(1, 2))
    segments, kinds = segments[long], kinds[long]
    if len(segments) < 2:
        if len(segments):
            yield segments, kinds
        return
    joints = np.round(np.concatenate((segments[:, 0], segments[-1:, 3]))).astype(np.int64)
    _, numbers = np.unique(joints, axis=0, return_inverse=True)
    places = numbers.reshape(-1).tolist()
    if len(set(places)) == len(places):
        yield segments, kinds
        return
    path: list[int] = []  # numbers of segments on the way that is still open
    met: dict[int, int] = {places[0]: 0}
    for i, place in enumerate(places[1:]):
        path.append(i)
        if place in met:
            loop = path[met[place] :]
            points = segments[loop, 0]
            if len(loop) > 1 and (_large(points) or (met[place] == 0 and i == len(places) - 2)):
                yield segments[loop], kinds[loop]
                for gone in loop[:-1]:
                    met.pop(places[gone + 1], None)
                path = path[: met[place]]
                continue
        met[place] = len(path)
    if path:
        yield segments[path], kinds[path]


def _large(points: FloatArray) -> bool:
    return bool(np.hypot(*(points.max(axis=0) - points.min(axis=0))) >= _LOOP)


def _curve(segments: FloatArray, kinds: FloatArray, unit: float) -> Curve | None:
    """The stretch as a curve, closed where its ends meet to a plotter unit."""
    gap = float(np.abs(segments[0, 0] - segments[-1, 3]).max())
    closed = len(segments) > 1 and gap <= 0.5 * unit
    if closed:
        segments = segments.copy()
        segments[-1, 3] = segments[0, 0]
        if len(segments) == 2 and not (kinds != LINE).any():
            closed = False
    chain = segments.copy()
    chain[1:, 0] = chain[:-1, 3]
    straight = kinds == LINE
    chain[straight] = line_segments(chain[straight, 0], chain[straight, 3])
    return Curve.from_segments(chain, np.asarray(kinds, dtype=np.uint8), closed=closed)


def _texts(
    label: Lettered, unit: float, group: Group, order: int, encoding: str
) -> Iterator[Lettering]:
    height = label.height * unit
    turn = np.radians(label.turn)
    down = np.array([np.sin(turn), -np.cos(turn)]) * 2.0 * height
    text = label.text.decode(encoding, errors="replace").replace("\r", "\n")
    for row, line in enumerate(line for line in text.split("\n") if line.strip()):
        x, y = np.array(label.at) * unit + row * down
        wide = 0.6 * height * len(line)
        anchor = (x + wide / 2 * np.cos(turn), y + wide / 2 * np.sin(turn))
        words = "".join(c if c.isprintable() else " " for c in line).strip()
        yield Lettering(
            words, (float(x), float(y)), (float(anchor[0]), float(anchor[1])), height,
            float(label.turn), Named(Spot(f"pen {label.pen}")), group, order,
        )  # fmt: skip
