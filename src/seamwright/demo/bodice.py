"""Front and back of the blouse: a straight, hip-long block with a shaped side seam.

The draft is our own, by proportions of common practice (no source). Lengths that are sewn
together agree by construction: both shoulders are set off at the measured length, and both side
seams are the same curve, front and back turned over.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import cos, radians, sin

from seamwright.geometry import Curve

from .body import Body
from .drawn import Drawn, Mark, Point, stroke

# Ease over the body and a few fixed amounts of the style, mm.
BUST_EASE = 96.0
WAIST_TO_HEM = 190.0
HEM_EASE = 64.0
ARMHOLE_DROP = 14.0  # below the body's underarm
WIDTH_EASE = 7.0  # across back and chest, a half
BUTTON_STAND = 18.0
NECK_RISE = 21.0  # of the back neck over the nape
FRONT_DIP = 9.0  # of the front hem at the centre
SIDE_FORWARD = 1.0  # the front is wider than the back by twice this, a half
DOUBLE_NOTCH = 10.0  # between the two notches of the back armhole


@dataclass(frozen=True, slots=True, kw_only=True)
class Half:
    """What tells a back from a front: widths from the centre line and heights over the waist."""

    neck_point: Point
    tip: Point
    width: float  # between the arms
    chest: float  # at the underarm
    slope: float  # of the shoulder, degrees below level
    scoop: float  # how far the armhole is hollowed out under its narrowest place, 0 to 1


def side_seam(underarm: Point, body: Body) -> Curve:
    """From hem to underarm: out at the hem, in at the waist, square to the hem."""
    x, y = underarm
    hem = x + (body.hip + HEM_EASE - body.bust - BUST_EASE) / 4
    waist = min(x, hem) - 13.0
    return stroke(
        ((hem, -WAIST_TO_HEM), (hem, -0.72 * WAIST_TO_HEM), (waist, -70.0), (waist, 0.0)),
        ((waist, 0.0), (waist, 0.30 * y), (x - 2.5, 0.72 * y), (x, y)),
    )


def armhole(half: Half, underarm: Point) -> Curve:
    """From the underarm, level, round the arm's narrowest place, square to the shoulder's tip."""
    (ux, uy), (tx, ty) = underarm, half.tip
    height = ty - uy
    narrow = (half.width, uy + 0.46 * height)
    across = ux - half.width
    square = (sin(radians(half.slope)), cos(radians(half.slope)))
    up = 0.40 * (ty - narrow[1])
    return stroke(
        (
            underarm,
            (ux - half.scoop * across, uy),
            (half.width, uy + (0.46 - 0.40 * half.scoop) * height),
            narrow,
        ),
        (
            narrow,
            (half.width, narrow[1] + up),
            (tx - 0.42 * height * square[0] * 0.5, ty - 0.42 * height * square[1] * 0.5),
            half.tip,
        ),
    )


def square_in(half: Half, length: float) -> Point:
    """The handle of a neckline at the neck point: square to the shoulder seam, so that front and
    back run on into each other across it."""
    (x, y), a = half.neck_point, radians(half.slope)
    return (x - length * sin(a), y - length * cos(a))


def _half(
    body: Body, *, top: float, slope: float, width: float, chest: float, scoop: float
) -> Half:
    neck = (body.neck / 5 + 3.0, top)
    tip = (
        neck[0] + body.shoulder * cos(radians(slope)),
        neck[1] - body.shoulder * sin(radians(slope)),
    )
    return Half(neck_point=neck, tip=tip, width=width, chest=chest, slope=slope, scoop=scoop)


def underarm_height(body: Body) -> float:
    """Height of the underarm over the waist."""
    return body.back_length - body.scye_depth - ARMHOLE_DROP


def back(body: Body) -> Drawn:
    """The back, cut on the fold; centre back at x = 0."""
    half = _half(
        body,
        top=body.back_length + NECK_RISE,
        slope=18.0,
        width=body.back_width / 2 + WIDTH_EASE,
        chest=(body.bust + BUST_EASE) / 4 - SIDE_FORWARD,
        scoop=0.60,
    )
    underarm = (half.chest, underarm_height(body))
    side = side_seam(underarm, body)
    hem = (float(side.start[0]), -WAIST_TO_HEM)
    nape = (0.0, body.back_length)
    (nx, ny), n = half.neck_point, half.neck_point[0]
    edges = {
        "nape": stroke((nape, (0.0, -WAIST_TO_HEM))),
        "hem-centre": stroke(((0.0, -WAIST_TO_HEM), hem)),
        "hem-side": side,
        "underarm": armhole(half, underarm),
        "shoulder": stroke((half.tip, half.neck_point)),
        "neck": stroke(
            (
                (nx, ny),
                square_in(half, 1.0 * NECK_RISE),
                (0.44 * n, body.back_length),
                nape,
            )
        ),
    }
    hole = edges["underarm"].length
    return Drawn(
        name="Back",
        edges=edges,
        marks=(
            Mark(name="waist", edge="hem-side", along=float(side.cumulative[1])),
            Mark(name="lower", edge="underarm", along=0.46 * hole),
            Mark(name="upper", edge="underarm", along=0.46 * hole + DOUBLE_NOTCH),
        ),
        grain=((62.0, -120.0), (62.0, 0.55 * body.back_length)),
        label=(84.0, 0.32 * body.back_length),
        fold="nape",
        inside={},
    )


def front(body: Body) -> Drawn:
    """The front with its button stand, cut twice; centre front at x = 0."""
    half = _half(
        body,
        top=body.back_length + NECK_RISE,
        slope=23.0,
        width=body.chest_width / 2 + WIDTH_EASE,
        chest=(body.bust + BUST_EASE) / 4 + SIDE_FORWARD,
        scoop=0.68,
    )
    underarm = (half.chest, underarm_height(body))
    side = side_seam(underarm, body)
    hx, hy = float(side.start[0]), -WAIST_TO_HEM
    (nx, ny) = half.neck_point
    pit = ny - nx - 14.0  # the neck is a little deeper than wide
    edge, low = -BUTTON_STAND, hy - FRONT_DIP
    edges = {
        "neck-edge": stroke(((edge, pit), (edge, low))),
        "hem-edge": stroke(
            ((edge, low), (0.28 * hx, low)),
            ((0.28 * hx, low), (0.52 * hx, low), (0.70 * hx, hy), (hx, hy)),
        ),
        "hem-side": side,
        "underarm": armhole(half, underarm),
        "shoulder": stroke((half.tip, half.neck_point)),
        "neck": stroke(
            (
                (nx, ny),
                square_in(half, 0.50 * (ny - pit)),
                (0.60 * nx, pit),
                (0.0, pit),
            ),
            ((0.0, pit), (edge, pit)),
        ),
    }
    hole = edges["underarm"].length
    return Drawn(
        name="Front",
        edges=edges,
        marks=(
            Mark(name="waist", edge="hem-side", along=float(side.cumulative[1])),
            Mark(name="front", edge="underarm", along=0.37 * hole),
        ),
        grain=((70.0, -120.0), (70.0, 0.50 * body.back_length)),
        label=(92.0, 0.28 * body.back_length),
        inside={"centre front": stroke(((0.0, pit), (0.0, low)))},
    )
