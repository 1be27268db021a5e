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


def whole_cut_line(cut: Curve, matrix: FloatArray, a: FloatArray, b: FloatArray) -> Curve | None:
    """The cut line of a half with its mirror image, corners as they were finished; None where it
    does not run along the axis once, as it does where the fold has no allowance."""
    off = np.abs(side_of(a, b, cut.segments)).reshape(-1, 4).max(axis=1)
    on = off <= AXIS
    firsts = np.flatnonzero(on & ~np.roll(on, 1))
    if len(firsts) != 1 or on.all():
        return None
    turned = cut.started_at(int(firsts[0]))
    rest = turned.part(float(turned.cumulative[int(on.sum())]), turned.length)
    if side_of(a, b, rest.flatten(0.01)).min() < -AXIS:
        return None
    image = mirrored_part(Part(curve=rest), matrix).curve
    segments = np.concatenate((rest.segments, image.segments))
    kinds = np.concatenate((rest.kinds, image.kinds))
    return Curve.from_segments(segments, kinds, closed=True)


def half_cut_line(cut: Curve, a: FloatArray, b: FloatArray) -> Curve | None:
    """The part of a cut line on the left of the axis, closed along it; None where it does not
    cross the axis twice."""
    x0, y0, x1, y1 = cut.bbox
    reach = float(np.hypot(x1 - x0, y1 - y0) + np.hypot(*(b - a)))
    way = (b - a) / float(np.hypot(*(b - a)))
    meet = np.sort(cut.intersections(Curve.line(a - reach * way, b + reach * way)).own)
    places: list[float] = []
    for at in meet.tolist():
        gaps = [min((at - p) % cut.length, (p - at) % cut.length) for p in places]
        if not gaps or min(gaps) > AXIS:
            places.append(at)
    if len(places) != 2:
        return None
    for start, end in (places, places[::-1]):
        part = cut.part(start, end)
        if float(side_of(a, b, part.point_at(0.5 * part.length))[0]) > 0.0:
            closing = Curve.line(part.end, part.start)
            segments = np.concatenate((part.segments, closing.segments))
            kinds = np.concatenate((part.kinds, closing.kinds))
            return Curve.from_segments(segments, kinds, closed=True)
    return None
