"""One half of a piece, and its mirror image: stretches, names and what lies inside."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from seamwright.geometry import LINE, Curve, FloatArray, line_segments
from seamwright.model import Dart, DrillHole, InternalLine, Notch, Shape, Text
from seamwright.model.edit import Contents, Part

from .fold_axis import side_of

SUFFIX = "-mirrored"
AXIS = 1e-6  # mm; nearer to the axis is on it


def mirrored_name(name: str) -> str:
    """The name of a mark's mirror image."""
    return name + SUFFIX


def reflected(matrix: FloatArray, points: FloatArray) -> FloatArray:
    """Points (N, 2) under a map 2x3."""
    return np.asarray(np.reshape(points, (-1, 2)) @ matrix[:, :2].T + matrix[:, 2])


def mirrored_part(part: Part, matrix: FloatArray) -> Part:
    """The mirror image of a stretch that begins and ends on the axis, run the other way, so that
    it follows it; its ends are the stretch's own. Marks at its ends come with the stretch."""
    segments = np.array(part.curve.transformed(matrix).reversed().segments)
    kinds = part.curve.kinds[::-1].copy()
    segments[0, 0], segments[-1, 3] = part.curve.end, part.curve.start
    straight = kinds == LINE
    if straight.any():
        segments[straight] = line_segments(segments[straight, 0], segments[straight, 3])
    curve = Curve.from_segments(segments, kinds)
    length = part.curve.length

    def inner(at: float) -> bool:
        return AXIS < at < length - AXIS

    def back(at: float) -> float:
        return length - at

    def dart(d: Dart) -> Dart:
        x, y = reflected(matrix, np.array(d.apex))[0]
        return replace(d, name=mirrored_name(d.name), apex=(float(x), float(y)))

    return Part(
        curve=curve,
        corners=tuple(
            (back(at), None if n is None else mirrored_name(n))
            for at, n in reversed(part.corners)
            if inner(at)
        ),
        notches=tuple((back(at), _notch(n)) for at, n in reversed(part.notches) if inner(at)),
        curve_points=tuple(back(at) for at in reversed(part.curve_points) if inner(at)),
        darts=tuple((back(b), back(a), dart(d)) for a, b, d in reversed(part.darts)),
    )


def _notch(notch: Notch) -> Notch:
    angle = None if notch.angle is None else -notch.angle
    return replace(notch, name=mirrored_name(notch.name), angle=angle, offset=(0.0, 0.0))


def with_mirror_image(
    contents: Contents, matrix: FloatArray, a: FloatArray, b: FloatArray
) -> Contents:
    """What is inside a half, and its mirror image; once: grain line, texts, what lies on the
    axis, and points that move by a grade rule (a rule has no mirror image)."""

    def on_axis(points: FloatArray) -> bool:
        return bool(np.abs(side_of(a, b, points)).max() <= AXIS)

    lines: list[InternalLine] = list(contents.internal_lines)
    lines += [
        replace(line, curve=line.curve.transformed(matrix))
        for line in contents.internal_lines
        if not on_axis(line.curve.segments)
    ]
    holes: list[DrillHole] = list(contents.drill_holes)
    for hole in contents.drill_holes:
        if not on_axis(np.array(hole.at)):
            x, y = reflected(matrix, np.array(hole.at))[0]
            holes.append(replace(hole, at=(float(x), float(y))))
    return replace(contents, internal_lines=tuple(lines), drill_holes=tuple(holes))


def half_of(
    shape: Shape, cut: Contents, matrix: FloatArray, a: FloatArray, b: FloatArray
) -> Contents:
    """What lies on the left of the axis from a to b, the axis counted in.

    shape  whole; cut  its inside as cut along the axis
    Lines wholly on one side are kept or left as they are, whatever touches the axis; texts and
    the grain line of the other half come over to this one, texts that are here already do not.
    """

    def side(p: tuple[float, float]) -> float:
        return float(side_of(a, b, np.array(p))[0])

    lines: list[InternalLine] = []
    names = set()
    for line in shape.internal_lines:
        off = side_of(a, b, line.curve.segments)
        if off.min() >= -AXIS:
            lines.append(line)
        elif off.max() > AXIS:
            names.add((line.kind, line.name, line.layer))
    # Those that cross the axis, as cut.
    lines += [
        x
        for x in cut.internal_lines
        if (x.kind, x.name, x.layer) in names
        and not any(x.curve is line.curve for line in shape.internal_lines)
    ]
    texts = [t for t in shape.texts if side(t.at) >= -AXIS]
    here = {(t.text, t.role) for t in texts}
    texts += [_brought(t, matrix) for t in shape.texts
              if side(t.at) < -AXIS and (t.text, t.role) not in here]  # fmt: skip
    grain = shape.grain_line
    if grain is not None:
        ends = np.array([grain.start, grain.end])
        if float(side_of(a, b, ends.mean(axis=0))[0]) < -AXIS:
            ends = reflected(matrix, ends)
            grain = replace(grain, start=_point(ends[0]), end=_point(ends[1]))
    return replace(
        cut,
        internal_lines=tuple(lines),
        drill_holes=tuple(h for h in shape.drill_holes if side(h.at) >= -AXIS),
        texts=tuple(texts),
        grain_line=grain,
    )


def _brought(text: Text, matrix: FloatArray) -> Text:
    return replace(text, at=_point(reflected(matrix, np.array(text.at))[0]))


def _point(p: FloatArray) -> tuple[float, float]:
    return (float(p[0]), float(p[1]))
