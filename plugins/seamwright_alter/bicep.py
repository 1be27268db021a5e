"""The sleeve wider or narrower at the bicep line."""

from __future__ import annotations

import numpy as np

from seamwright.geometry import Curve, FloatArray, GeometryError
from seamwright.model import Pattern
from seamwright.plugins.api import Context, StepResult

from .options import AlterBicep
from .result import OutOfReachError, over_sleeves
from .sleeve import Sleeve, affine, half_lengths, redrawn

_MOST = 0.4  # of the bicep line: beyond this it is another sleeve


def alter_bicep(pattern: Pattern, options: AlterBicep, ctx: Context) -> StepResult:
    """Moves both underarm points apart along the bicep line; see the page alter-bicep.

    The underarm seams move rigidly (turned about the wrist, or shifted), so they keep their
    lengths exactly and still walk. The cap is carried by the affine map that takes the old
    underarm points and shoulder point to the new ones, so it stays as smooth as it was. Both
    halves share the amount as the shoulder point's foot divides the bicep line. Slash and spread
    at the bicep line is common practice, no source; the maps are plane geometry.
    """

    def redraw(sleeve: Sleeve) -> Curve:
        if abs(options.amount) > _MOST * sleeve.bicep:
            raise OutOfReachError(
                f"{ctx.length(options.amount)} is more than {_MOST:.0%} of the bicep line of "
                f"{ctx.length(sleeve.bicep)}"
            )
        turn = options.wrist == "kept"
        maps, first, last = _seams(sleeve, float(options.amount), turn=turn)
        top = _top_at_height(sleeve, first, last, sleeve.height_of(sleeve.shoulder))
        if options.keep == "cap length":
            top = _top_for_lengths(sleeve, maps, first, last, top)
        return redrawn(sleeve, [*maps, (sleeve.cap, _cap_map(sleeve, first, last, top))])

    return over_sleeves(pattern, ctx, redraw)


def _seams(
    sleeve: Sleeve, amount: float, *, turn: bool
) -> tuple[list[tuple[np.ndarray, FloatArray]], FloatArray, FloatArray]:
    """Maps of the underarm seams (and of the wrist), and the new underarm points."""
    e = sleeve.along
    if not turn:
        left, right = -amount * sleeve.share * e, amount * (1.0 - sleeve.share) * e
        maps = [(sleeve.seam_in, _shift(left)), (sleeve.seam_out, _shift(right))]
        if len(sleeve.rest):
            maps.append((sleeve.rest, _stretch(sleeve, left, right)))
        return maps, sleeve.first + left, sleeve.last + right

    def turned(by: float) -> tuple[FloatArray, FloatArray, FloatArray, FloatArray]:
        a = _turn(sleeve, sleeve.seam_in[0], 0, sleeve.first, -by * sleeve.share)
        b = _turn(sleeve, sleeve.seam_out[-1], 3, sleeve.last, by * (1.0 - sleeve.share))
        return *a, *b

    # Turning also lifts or drops the points a little, so the distance asked for is met by a
    # secant iteration on the amount along the line.
    wanted = sleeve.bicep + amount
    low, high = amount, amount * 1.01
    found = [turned(low), turned(high)]
    off = [float(np.hypot(*(f[3] - f[1]))) - wanted for f in found]
    for _ in range(40):
        if abs(off[1]) < 1e-12 or off[1] == off[0]:
            break
        low, high = high, high - off[1] * (high - low) / (off[1] - off[0])
        found = [found[1], turned(high)]
        off = [off[1], float(np.hypot(*(found[1][3] - found[1][1]))) - wanted]
    matrix_in, first, matrix_out, last = found[1]
    return [(sleeve.seam_in, matrix_in), (sleeve.seam_out, matrix_out)], first, last


def _turn(
    sleeve: Sleeve, segment: int, end: int, point: FloatArray, by: float
) -> tuple[FloatArray, FloatArray]:
    """Turn an underarm seam about its wrist corner so that its underarm point moves by `by` along
    the bicep line: the map, and where the point comes."""
    pivot = np.array(sleeve.shape.seam_line.segments[segment, end])
    e = sleeve.along
    arm = point - pivot
    reach = float(np.hypot(*arm))
    along, across = float(arm @ e), float(e[0] * arm[1] - e[1] * arm[0])
    if abs(along + by) >= reach:
        raise OutOfReachError("the underarm seam is too short to be turned so far about the wrist")
    across_new = np.copysign(np.sqrt(reach**2 - (along + by) ** 2), across)
    new = complex(along + by, float(across_new)) / complex(along, across)
    rotation = np.array([[new.real, -new.imag], [new.imag, new.real]])
    matrix = np.column_stack((rotation, pivot - rotation @ pivot))
    return matrix, pivot + rotation @ arm


def _shift(by: FloatArray) -> FloatArray:
    return np.column_stack((np.eye(2), by))


def _stretch(sleeve: Sleeve, left: FloatArray, right: FloatArray) -> FloatArray:
    """The wrist stretched along the bicep line between its two moved corners."""
    seam = sleeve.shape.seam_line
    e = sleeve.along
    a, b = seam.segments[sleeve.seam_in[0], 0], seam.segments[sleeve.seam_out[-1], 3]
    width = float((b - a) @ e)
    if abs(width) < 1e-6:
        raise OutOfReachError("the wrist has no width along the bicep line")
    factor = (width + float((right - left) @ e)) / width
    linear = np.eye(2) + (factor - 1.0) * np.outer(e, e)
    return np.column_stack((linear, a + left - linear @ a))


def _top_at_height(
    sleeve: Sleeve, first: FloatArray, last: FloatArray, height: float
) -> FloatArray:
    """The shoulder point over the new bicep line, as high as asked, its foot dividing as before."""
    e = (last - first) / float(np.hypot(*(last - first)))
    up = np.array([e[1], -e[0]])
    return np.asarray(first + sleeve.share * (last - first) + height * up)


def _cap_map(sleeve: Sleeve, first: FloatArray, last: FloatArray, top: FloatArray) -> FloatArray:
    return affine(
        np.array([sleeve.first, sleeve.last, sleeve.shoulder]), np.array([first, last, top])
    )


def _top_for_lengths(
    sleeve: Sleeve,
    maps: list[tuple[np.ndarray, FloatArray]],
    first: FloatArray,
    last: FloatArray,
    top: FloatArray,
) -> FloatArray:
    """Where the shoulder point must lie for both halves to be as long as they were (Newton)."""
    wanted = np.array(half_lengths(sleeve, sleeve.shape.seam_line))
    e = (last - first) / float(np.hypot(*(last - first)))
    up = np.array([e[1], -e[0]])

    def off(x: FloatArray) -> FloatArray:
        try:
            outline = redrawn(sleeve, [*maps, (sleeve.cap, _cap_map(sleeve, first, last, x))])
        except GeometryError as error:
            raise OutOfReachError(str(error)) from None
        return np.asarray(np.array(half_lengths(sleeve, outline)) - wanted, dtype=np.float64)

    x = np.array(top)
    least = 0.15 * sleeve.height_of(sleeve.shoulder)
    for _ in range(30):
        here = off(x)
        if np.abs(here).max() < 1e-10:
            return x
        step = 1e-4
        slope = np.column_stack([(off(x + step * v) - here) / step for v in (e, up)])
        try:
            move = np.linalg.solve(slope, -here)
        except np.linalg.LinAlgError:
            break
        move *= min(1.0, 10.0 / float(np.hypot(*move)))
        x = x + move[0] * e + move[1] * up
        if float((x - first) @ up) < least:
            break
    raise OutOfReachError(
        "no cap with this bicep line has edges as short as the old ones: it would have to be "
        "lower than a sleeve can be"
    )
