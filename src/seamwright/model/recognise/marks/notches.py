"""Notches: which small marks are notches, where on the line they sit, and of what type.

A short stroke that starts on an outline or crosses it is a notch; a V, a triangle, a T, a box or
a bow on an outline is one of that type (common practice, no source).
"""

from __future__ import annotations

from typing import Final, TypeAlias

import numpy as np
from numpy.typing import NDArray

from seamwright.geometry import Curve, Station
from seamwright.model import Notch, NotchType

from ..words.roles import NOTCH_TYPES, Role
from .meetings import Line, Meeting, angle_of, at_length, is_circle, is_inside, nearest_of
from .units import Unit

BoolArray: TypeAlias = NDArray[np.bool_]

MEETS: Final = 0.5  # mm; a stroke that ends this near to an outline meets it
LONGEST: Final = 15.0  # mm; a longer stroke is no notch unless a label says so
_ALONG: Final = 70.0  # degrees from square; a stroke nearer to the line than this runs along it


def notch_of(unit: Unit, lines: list[Line], *, labelled: bool, name: str = "") -> Notch | None:
    """The notch that a mark stands for, None where it is none.

    lines     the seam line first, then the cut line: what meets both counts on the seam line
    labelled  whether words say that it is a notch: then it is put on the nearest line
    """
    dot = _dot(unit, lines, name)
    if dot is not None:
        return dot
    for line in lines:
        outward_too = len(lines) > 1 and line is lines[0]
        found = _on(unit, line, name, outward_too=outward_too)
        if found is not None:
            return found
    if not labelled:
        return None
    point = unit.middle
    best: Meeting | None = None
    for line in lines:
        meeting = nearest_of(line, np.concatenate((unit.vertices, point[None])))
        if best is None or meeting.distance < best.distance - 1e-6:
            best = meeting
    if best is None:
        return None
    longest = max((s.curve for s in unit.strokes), key=lambda c: c.length)
    depth = None if longest.closed else longest.length
    kind = _said_type(unit) or NotchType.SLIT
    return _notch(best, name, kind, depth=depth)


def _dot(unit: Unit, lines: list[Line], name: str) -> Notch | None:
    """A small circle with its middle on a line."""
    if len(unit.strokes) != 1 or not is_circle(unit.strokes[0].curve):
        return None
    for line in lines:
        meeting = nearest_of(line, unit.middle[None])
        if meeting.distance <= MEETS:
            return _notch(meeting, name, _said_type(unit) or NotchType.SLIT)
    return None


def _on(unit: Unit, line: Line, name: str, *, outward_too: bool) -> Notch | None:
    """The notch where the mark meets `line`, None where it does not."""
    said = _said_type(unit)
    if len(unit.strokes) == 1:
        curve = unit.strokes[0].curve
        if _is_slit(curve):
            return _slit(curve, line, name, said, outward_too=outward_too)
    else:
        barred = _barred(unit, line, name, said, outward_too=outward_too)
        if barred is not None:
            return barred
    on = line.curve.nearest(unit.vertices).distances <= MEETS
    if on.sum() == 0:
        return _crossing(unit, line, name, said)
    if on.sum() == len(on) and unit.straight and len(on) > 2:
        return None
    if on.sum() == 1:
        return _tip(unit, line, on, name, said)
    return _mouth(unit, line, on, name, said)


def _is_slit(curve: Curve) -> bool:
    chord = float(np.hypot(*(curve.end - curve.start)))
    return not curve.closed and chord > 0.98 * curve.length > 0.0


def _slit(
    curve: Curve, line: Line, name: str, said: NotchType | None, *, outward_too: bool
) -> Notch | None:
    """One straight stroke: it starts on the line, ends on it, or crosses it."""
    ends = np.stack((curve.start, curve.end))
    near = line.curve.nearest(ends)
    crossing = line.curve.intersections(curve)
    order = np.argsort(near.distances)
    first = int(order[0])
    if float(near.distances[first]) <= MEETS:
        if float(near.distances[1 - first]) <= MEETS and curve.length > 2.0 * MEETS:
            return None  # it lies on the line
        meeting = Meeting(
            line,
            Station(int(near.segments[first]), float(near.ts[first])),
            near.points[first],
            float(near.distances[first]),
        )
        # A stroke that starts a hair beyond the line meets it where it crosses.
        if len(crossing.own):
            nearest = int(np.abs(crossing.others - first * curve.length).argmin())
            meeting = at_length(line, float(crossing.own[nearest]))
        direction = ends[1 - first] - ends[first]
    elif len(crossing.own):
        meeting = at_length(line, float(crossing.own[0]))
        inner = 1 if is_inside(line, meeting, ends[1] - ends[0]) else 0
        direction = ends[inner] - ends[1 - inner]
    else:
        return None
    angle = angle_of(line, meeting, direction)
    if angle is not None and _ALONG < abs(angle) < 180.0 - _ALONG:
        return None
    if angle is not None and abs(angle) > 90.0 and outward_too:
        # Drawn across the allowance, from the seam line out: the same mark as one drawn in.
        angle = angle_of(line, meeting, -direction)
    return _notch(meeting, name, said or NotchType.SLIT, depth=curve.length, angle=angle)


def _barred(
    unit: Unit, line: Line, name: str, said: NotchType | None, *, outward_too: bool
) -> Notch | None:
    """A stem on the line with a bar across its far end: T."""
    slits = [s.curve for s in unit.strokes if _is_slit(s.curve)]
    if len(slits) != 2 or len(unit.strokes) != 2:
        return None
    for stem, bar in (slits, slits[::-1]):
        ends = np.stack((stem.start, stem.end))
        near = line.curve.nearest(ends)
        foot = int(np.argmin(near.distances))
        if float(near.distances[foot]) > MEETS and not len(line.curve.intersections(stem).own):
            continue
        tip = ends[1 - foot]
        middle = (bar.start + bar.end) / 2.0
        along, across = ends[1 - foot] - ends[foot], bar.end - bar.start
        square = abs(float(along @ across)) <= 0.2 * stem.length * bar.length
        if square and float(np.hypot(*(middle - tip))) <= 0.2 * bar.length + 0.3:
            found = _slit(stem, line, name, said, outward_too=outward_too)
            if found is not None:
                return _retyped(found, said or NotchType.T, width=bar.length)
    return None


def _tip(unit: Unit, line: Line, on: BoolArray, name: str, said: NotchType | None) -> Notch | None:
    """A mark that touches the line with one vertex: a V on its point, else a bent slit."""
    meeting = nearest_of(line, unit.vertices[on])
    far = unit.vertices[~on]
    if len(far) == 2:
        direction = far.mean(axis=0) - unit.vertices[on][0]
        return _notch(
            meeting,
            name,
            said or NotchType.V,
            depth=float(np.hypot(*direction)),
            width=float(np.hypot(*(far[1] - far[0]))),
            angle=angle_of(line, meeting, direction),
        )
    if len(far) == 0:  # a ring without corners on the line: a dot
        return _notch(meeting, name, said or NotchType.SLIT)
    distances = np.hypot(*(far - unit.vertices[on][0]).T)
    direction = far[int(distances.argmax())] - unit.vertices[on][0]
    return _notch(
        meeting,
        name,
        said or NotchType.SLIT,
        depth=float(distances.max()),
        angle=angle_of(line, meeting, direction),
    )


def _mouth(
    unit: Unit, line: Line, on: BoolArray, name: str, said: NotchType | None
) -> Notch | None:
    """A mark with two vertices on the line: V, castle, check or U by what lies between."""
    near = line.curve.nearest(unit.vertices[on])
    lengths = np.sort(near.lengths)
    whole = line.curve.length
    gaps = np.diff(lengths, append=lengths[0] + whole)
    widest = int(gaps.argmax())
    start, width = float(lengths[(widest + 1) % len(lengths)]), whole - float(gaps[widest])
    if not 0.0 < width <= 2.0 * LONGEST:
        return None
    far = unit.vertices[~on]
    if not unit.straight or not len(far):
        points = np.concatenate([s.curve.point_at(np.linspace(0, s.curve.length, 33))
                                 for s in unit.strokes])  # fmt: skip
        off = line.curve.nearest(points).distances
        meeting = at_length(line, start + width / 2)
        return _notch(meeting, name, said or NotchType.U, depth=float(off.max()), width=width)
    feet = line.curve.nearest(far)
    depth = float(feet.distances.max())
    middle = at_length(line, start + width / 2)
    if len(far) == 1:
        foot = ((float(feet.lengths[0]) - start) % whole) / width
        lopsided = not 0.2 <= foot <= 0.8
        direction = far[0] - middle.point
        angle = None if lopsided else angle_of(line, middle, direction)
        if angle is not None and abs(angle) < 8.0:
            angle = None
        kind = said or (NotchType.CHECK if lopsided else NotchType.V)
        return _notch(middle, name, kind, depth=depth, width=width, angle=angle)
    return _notch(middle, name, said or NotchType.CASTLE, depth=depth, width=width)


def _crossing(unit: Unit, line: Line, name: str, said: NotchType | None) -> Notch | None:
    """A mark that lies across the line and has no vertex on it."""
    lengths: list[float] = []
    for stroke in unit.strokes:
        lengths += line.curve.intersections(stroke.curve).own.tolist()
    if not lengths:
        return None
    whole = line.curve.length
    first = min(lengths)
    steps = [(s - first + whole / 2) % whole - whole / 2 for s in lengths]
    meeting = at_length(line, first + (max(steps) + min(steps)) / 2)
    spans = [s.curve for s in unit.strokes]
    closed = any(c.closed for c in spans)
    count = len(unit.vertices)
    kind = said or (
        NotchType.V if count == 3 and len(lengths) > 1 else
        NotchType.CASTLE if closed and count == 4 and unit.straight else NotchType.SLIT
    )  # fmt: skip
    width = max(steps) - min(steps) or None
    longest = max(spans, key=lambda c: c.length)
    depth = None if closed else longest.length
    return _notch(meeting, name, kind, depth=depth, width=width)


def _said_type(unit: Unit) -> NotchType | None:
    """The type that a label states ("T-notch", "castle notch")."""
    for stroke in unit.strokes:
        labels = list(stroke.named.all_words)
        for group in stroke.group.up() if stroke.group else ():
            if any(w.role is Role.NOTCH for w in group.named.all_words):
                labels += group.named.all_words
        for words in labels:
            if words.role is Role.NOTCH:
                for word in words.words:
                    if word in NOTCH_TYPES:
                        return NotchType(NOTCH_TYPES[word])
    return None


def _notch(
    meeting: Meeting,
    name: str,
    kind: NotchType,
    *,
    depth: float | None = None,
    width: float | None = None,
    angle: float | None = None,
) -> Notch:
    return Notch(
        name=name,
        station=meeting.station,
        type=kind,
        depth=depth,
        width=width,
        angle=angle,
        line=meeting.line.role,
        distance=meeting.distance,
    )


def _retyped(notch: Notch, kind: NotchType, *, width: float) -> Notch:
    return Notch(
        name=notch.name, station=notch.station, type=kind, depth=notch.depth, width=width,
        angle=notch.angle, line=notch.line, distance=notch.distance,
    )  # fmt: skip
