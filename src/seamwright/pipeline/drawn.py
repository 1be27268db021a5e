"""How far apart two shapes are in all that is drawn of them."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from seamwright.geometry import Curve
from seamwright.model import Corner, Notch, Shape
from seamwright.model.marks import LineRole

Floats = NDArray[np.float64]


def drawn_apart(a: Shape, b: Shape) -> tuple[float, str]:
    """The greatest distance (mm) of what is drawn of two shapes, and of what: control points of
    lines, points of marks, grain line, darts, holes and texts.

    Infinite where one has what the other lacks, or by another name. Objects that are the same
    are not looked at.
    """
    moved, where = 0.0, ""
    for what, was, now in _things(a, b):
        if was is now:
            continue
        if was is None or now is None or was.shape != now.shape:
            return float("inf"), f"another {what}"
        far = float(np.linalg.norm(now - was, axis=-1).max(initial=0.0))
        if not far <= moved:
            moved, where = far, what
        if not np.isfinite(moved):
            break
    if _words(a) != _words(b):
        return float("inf"), "other marks, darts, lines, holes, texts or allowances"
    return moved, where


def _things(a: Shape, b: Shape) -> Iterator[tuple[str, Floats | None, Floats | None]]:
    yield "seam line", a.seam_line.segments, b.seam_line.segments
    yield "cut line", _control(a.cut_line), _control(b.cut_line)
    if a.grain_line is not b.grain_line:
        yield "grain line", _grain(a), _grain(b)
    same_lines = a.seam_line is b.seam_line and a.cut_line is b.cut_line
    if not (same_lines and a.corners is b.corners and a.notches is b.notches):
        yield "mark", _marks(a), _marks(b)
    if not (same_lines and a.darts is b.darts):
        yield "dart", _darts(a), _darts(b)
    if a.internal_lines is not b.internal_lines:
        yield "internal line", _internal(a), _internal(b)
    if a.drill_holes is not b.drill_holes or a.texts is not b.texts:
        yield "hole or text", _placed(a), _placed(b)


def _control(curve: Curve | None) -> Floats | None:
    return None if curve is None else curve.segments


def _grain(s: Shape) -> Floats | None:
    return None if s.grain_line is None else np.array([s.grain_line.start, s.grain_line.end])


def _marks(s: Shape) -> Floats:
    marks: list[Corner | Notch] = [*s.corners, *(n for n in s.notches if n.line is LineRole.SEAM)]
    seam = s.seam_line.points_of([m.station.segment for m in marks], [m.station.t for m in marks])
    cut = [n.station for n in s.notches if n.line is LineRole.CUT]
    if not cut or s.cut_line is None:
        return seam
    return np.concatenate(
        (seam, s.cut_line.points_of([c.segment for c in cut], [c.t for c in cut]))
    )


def _darts(s: Shape) -> Floats:
    ends = [station for d in s.darts for station in (d.left, d.right)]
    mouths = s.seam_line.points_of([e.segment for e in ends], [e.t for e in ends])
    return np.concatenate((mouths, np.reshape([d.apex for d in s.darts], (-1, 2))))


def _internal(s: Shape) -> Floats:
    return np.concatenate(
        [np.zeros((0, 4, 2)), *(line.curve.segments for line in s.internal_lines)]
    )


def _placed(s: Shape) -> Floats:
    return np.reshape([h.at for h in s.drill_holes] + [t.at for t in s.texts], (-1, 2))


def _words(s: Shape) -> tuple[object, ...]:
    """All that is not measured: names and kinds in order."""
    return (
        tuple(c.name for c in s.corners),
        tuple((n.name, n.type, n.depth, n.width, n.angle, n.line) for n in s.notches),
        tuple(d.name for d in s.darts),
        tuple((line.kind, line.name, line.curve.n) for line in s.internal_lines),
        tuple((h.name, h.diameter) for h in s.drill_holes),
        tuple((t.text, t.height, t.rotation) for t in s.texts),
        s.allowances,
        s.mirrored_half,
    )
