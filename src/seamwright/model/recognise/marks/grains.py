"""The grain line: a long straight line inside a piece with arrow heads, or one so labelled."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from seamwright.geometry import LINE, Curve, FloatArray
from seamwright.model import GrainLine

from ..items import Stroke
from ..pieces.outlines import said_role
from ..words.roles import Role

_HEAD: Final = 25.0  # mm; an arrow head is no larger
_NEAR: Final = 1.5  # mm; its point lies this near to the line's end
_SHORTEST: Final = 30.0  # mm; an unlabelled grain line is longer


@dataclass(slots=True)
class Found:
    """The grain line and all strokes that drew it, heads included."""

    line: GrainLine
    strokes: list[Stroke]


def grain_of(strokes: list[Stroke]) -> Found | None:
    """The grain line among a piece's lines, None where there is none.

    Several strokes that a label calls grain are one line with its heads: the longest is the
    line. Without a label the longest straight line that has an arrow head at an end is.
    """
    labelled = [s for s in strokes if said_role(s)[0] is Role.GRAIN]
    if labelled:
        main = max(labelled, key=lambda s: _span(s.curve))
        heads = [s for s in strokes if s is not main and s not in labelled and _is_head(s, main)]
        line = _line(main, [*heads, *(s for s in labelled if s is not main)])
        return Found(line, [*labelled, *heads])
    best: Found | None = None
    for stroke in strokes:
        if said_role(stroke)[0] is not None or not _is_shaft(stroke.curve):
            continue
        heads = [s for s in strokes if s is not stroke and _is_head(s, stroke)]
        arrows = bool(heads) or stroke.looks.marker_start or stroke.looks.marker_end
        arrows = arrows or _arrow_drawn(stroke.curve)
        if not arrows or _span(stroke.curve) < _SHORTEST:
            continue
        if best is None or _span(stroke.curve) > _span(best.strokes[0].curve):
            best = Found(_line(stroke, heads), [stroke, *heads])
    return best


def _span(curve: Curve) -> float:
    a, b = _tips(curve)
    return float(np.hypot(*(b - a)))


def _tips(curve: Curve) -> tuple[FloatArray, FloatArray]:
    """The two ends of the longest straight segment or run of the curve."""
    if _is_straight(curve):
        return curve.start, curve.end
    lengths = curve.segment_lengths
    longest = int(lengths.argmax())
    return curve.segments[longest, 0], curve.segments[longest, 3]


def _is_straight(curve: Curve) -> bool:
    chord = float(np.hypot(*(curve.end - curve.start)))
    return not curve.closed and chord > (1.0 - 1e-6) * curve.length


def _is_shaft(curve: Curve) -> bool:
    return _is_straight(curve) or _arrow_drawn(curve)


def _arrow_drawn(curve: Curve) -> bool:
    """A line and its heads in one stroke: one long straight segment, the others short."""
    if (curve.kinds != LINE).any() or curve.n < 3:
        return False
    lengths = np.sort(curve.segment_lengths)[::-1]
    return bool(lengths[0] >= _SHORTEST and lengths[1] <= min(_HEAD, 0.25 * lengths[0]))


def _is_head(stroke: Stroke, shaft: Stroke) -> bool:
    """Whether a small stroke is an arrow head at one of the shaft's ends."""
    curve = stroke.curve
    x0, y0, x1, y1 = curve.bbox
    if np.hypot(x1 - x0, y1 - y0) > _HEAD or said_role(stroke)[0] not in (None, Role.GRAIN):
        return False
    tips = np.stack(_tips(shaft.curve))
    points = np.concatenate((curve.joints, ((curve.bbox[:2] + curve.bbox[2:]) / 2)[None]))
    distances = np.hypot(*(points[:, None] - tips[None]).transpose(2, 0, 1))
    return bool(distances.min() <= _NEAR)


def _line(main: Stroke, heads: list[Stroke]) -> GrainLine:
    """From tail to head where there is one head only, else as drawn."""
    a, b = _tips(main.curve)
    start = main.looks.marker_start or _has_head(a, heads)
    end = main.looks.marker_end or _has_head(b, heads)
    if start and not end:
        a, b = b, a
    return GrainLine(start=(float(a[0]), float(a[1])), end=(float(b[0]), float(b[1])))


def _has_head(tip: FloatArray, heads: list[Stroke]) -> bool:
    return any(float(np.hypot(*(s.curve.joints - tip).T).min()) <= _NEAR for s in heads)
