"""A broader or narrower back."""

from __future__ import annotations

import numpy as np

from seamwright.geometry import CUBIC, Curve, FloatArray, GeometryError, Station
from seamwright.model import Pattern, Shape
from seamwright.plugins.api import Context, StepResult

from .armhole import Armhole, rebuilt, shortened
from .bodice import over_armholes
from .options import AlterBack

_PARTS = 4  # cubics for each segment of the armhole
_WAVE = 10.0  # degrees by which an armhole may turn back on its way more than before


def alter_back(pattern: Pattern, options: AlterBack, ctx: Context) -> StepResult:
    """See the page alter-back. Moving the armhole out, with the shoulder point or below it, is
    common practice, no source; the map of the plane is smooth to the first order."""

    def redraw(holes: dict[str, Armhole]) -> dict[str, Shape]:
        return {side: _moved(hole, options) for side, hole in holes.items()}

    return over_armholes(pattern, ctx, redraw, sides=("back",))


def _moved(hole: Armhole, options: AlterBack) -> Shape:
    up, out = _axes(hole)
    amount = float(options.amount)
    if options.shoulder == "kept":
        old, new = _redrawn(hole, up, amount * out, float(options.level), to_top=False)
        if _wavering(new) > _wavering(old) + _WAVE:
            raise GeometryError(
                "the armhole would become wavy between shoulder and underarm: let the shoulder "
                "change, or take less"
            )
        return rebuilt(hole, hole.side, new, subdivided=old)
    # Out along the shoulder seam, so far that the share of it square to the grain is the amount.
    way = -np.asarray(hole.shoulder.tangent_at(0.0))
    if float(way @ out) < 0.5:
        raise GeometryError("the shoulder seam does not run towards the armhole")
    shift = amount / float(way @ out)
    shoulder = shortened(hole.shoulder.reversed(), -shift).reversed()
    old, new = _redrawn(hole, up, shift * way, float(options.level), to_top=True)
    segments = np.array(new.segments)
    segments[-1, 3] = shoulder.start
    new = Curve.from_segments(segments, new.kinds)
    return rebuilt(hole, hole.side, new, shoulder, subdivided=old)


def _redrawn(
    hole: Armhole, up: FloatArray, shift: FloatArray, level: float, *, to_top: bool
) -> tuple[Curve, Curve]:
    """The armhole's edge with more joints, and the same moved by `shift` at the level (and from
    there to the top), smoothly less towards the ends that stay."""
    edge = hole.edge
    span = float((edge.end - edge.start) @ up)
    if span < 0.2 * float(np.hypot(*(edge.end - edge.start))):
        raise GeometryError("the armhole does not rise from its underarm point to its shoulder")
    # A joint exactly at the level, where the map's second derivative jumps.
    low, high = 0.0, edge.length
    for _ in range(60):
        middle = 0.5 * (low + high)
        over = float((np.asarray(edge.point_at(middle)) - edge.start) @ up) > level * span
        low, high = (low, middle) if over else (middle, high)
    old = edge.insert_joints([edge.station_at(low)])
    old = old.insert_joints(
        [Station(i, k / _PARTS) for i in range(old.n) for k in range(1, _PARTS)]
    )
    segments = np.array(old.segments)
    weight, slope = _weights((segments - old.start) @ up / span, level, to_top=to_top)
    new = segments + weight[..., None] * shift
    # A handle is a derivative: it goes under the map's own derivative at its end.
    for handle, end in ((1, 0), (2, 3)):
        h = segments[:, handle] - segments[:, end]
        new[:, handle] = new[:, end] + h + (slope[:, end] * (h @ up) / span)[:, None] * shift
    return old, Curve.from_segments(new, np.full(old.n, CUBIC, dtype=np.uint8))


def _wavering(edge: Curve) -> float:
    """By how many degrees a curve turns back on its way: all its turning less the net turning."""
    s = np.linspace(0.0, edge.length, 400)
    tangents = edge.tangent_at(s)
    turns = np.diff(np.unwrap(np.arctan2(tangents[:, 1], tangents[:, 0])))
    return float(np.degrees(np.abs(turns).sum() - abs(turns.sum())))


def _axes(hole: Armhole) -> tuple[FloatArray, FloatArray]:
    """Up along the grain (or against the side seam), and outwards square to it."""
    up = -hole.down
    grain = hole.shape.grain_line
    if grain is not None:
        along = np.asarray(grain.end) - np.asarray(grain.start)
        along = along / float(np.hypot(*along))
        if abs(float(along @ up)) > 0.5:
            up = along * np.sign(float(along @ up))
    out = np.array([up[1], -up[0]])
    # The piece lies to the left of its outline.
    tangent = np.asarray(hole.edge.end - hole.edge.start) * (-1.0 if hole.turned else 1.0)
    if float(out @ np.array([tangent[1], -tangent[0]])) < 0.0:
        out = -out
    return up, out


def _weights(t: FloatArray, level: float, *, to_top: bool) -> tuple[FloatArray, FloatArray]:
    """A smooth step up to 1 at the level, and from there 1 or a smooth step down to 0 at the top;
    and its slope."""
    if to_top:
        x, sign = t / level, np.full_like(t, 1.0 / level)
    else:
        x = np.where(t < level, t / level, (1.0 - t) / (1.0 - level))
        sign = np.where(t < level, 1.0 / level, -1.0 / (1.0 - level))
    x = np.clip(x, 0.0, 1.0)
    return x * x * (3.0 - 2.0 * x), 6.0 * x * (1.0 - x) * sign
