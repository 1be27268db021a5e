"""The sleeve: bicep from the arm, cap from the armhole, and too much ease in it.

The cap is what the demonstration is about. Its ease goes by a rule of thumb, "so much, and more
with the bust", which gives a firm cotton more than it can shrink away. Everything else is sound:
the lower cap is set plain, and both underarm seams are one line turned over.
"""

from __future__ import annotations

from collections.abc import Callable
from math import atan2, radians, tan

import numpy as np

from seamwright.geometry import Curve

from .body import Body
from .drawn import Drawn, Mark, Point, stroke

BICEP_EASE = 48.0
WRIST_EASE = 74.0  # a hand passes
WRIST_SWING = radians(5.0)  # lower at the back than square, higher in front
# The fault that is to be found: ease by a rule of thumb, a share of the bust and so much more.
BUST_SHARE, BACK_MORE, FRONT_MORE = 1 / 60, 10.39, 7.215
NOTCH_SHOULDER = "shoulder"


def _side(underarm: Point, top: Point, *, foot: float, head: float, turn: float) -> Curve:
    """Half a cap from the underarm to the shoulder point: a hollow below, a crown above.

    A straight line, the tangent where the hollow turns into the crown, leaves the bicep line at
    `foot` and reaches the top's level at `head` (shares of the half's width); the turn lies at
    the share `turn` of the height. With the handles on that line both curves end in it without
    any curvature, so the edge is smooth there to the second order. Both ends are level.
    """
    (ux, uy), (tx, ty) = underarm, top

    def at(across: float, up: float) -> Point:
        return (ux + across * (tx - ux), uy + up * (ty - uy))

    def on_line(up: float) -> Point:
        return at(foot + up * (head - foot), up)

    return stroke(
        (underarm, at(foot, 0.0), on_line(0.45 * turn), on_line(turn)),
        (on_line(turn), on_line(turn + 0.46 * (1.0 - turn)), at(head, 1.0), top),
    )


def cap(bicep: float, height: float, forward: float) -> tuple[Curve, Curve]:
    """Back and front half of the cap, each from its underarm to the shoulder point, which stands
    `height` over the bicep line and `forward` of its middle."""
    top = (forward, height)
    return (
        _side((-bicep / 2, 0.0), top, foot=0.185, head=0.655, turn=0.42),
        _side((bicep / 2, 0.0), top, foot=0.225, head=0.665, turn=0.42),
    )


def fitted_cap(bicep: float, back: float, front: float) -> tuple[Curve, Curve, float, float]:
    """The cap whose halves are `back` and `front` mm long, its height and how far the shoulder
    point stands forward. Newton on the two unknowns; raises ValueError where no cap exists."""

    def misses(height: float, forward: float) -> np.ndarray:
        halves = cap(bicep, height, forward)
        return np.array([halves[0].length - back, halves[1].length - front])

    found = _newton(misses, np.array([0.36 * (back + front), 0.0]))
    halves = cap(bicep, *found)
    return halves[0], halves[1], float(found[0]), float(found[1])


def _newton(misses: Callable[..., np.ndarray], start: np.ndarray) -> np.ndarray:
    x, h = start, 1e-3
    for _ in range(40):
        now = misses(*x)
        if np.abs(now).max() < 1e-9:
            return x
        slope = np.column_stack(
            [(misses(*(x + h * e)) - misses(*(x - h * e))) / (2 * h) for e in np.eye(len(x))]
        )
        x = x - np.linalg.solve(slope, now)
    raise ValueError("no sleeve cap of these lengths goes over this bicep")


def sleeve(body: Body, back: Drawn, front: Drawn) -> Drawn:
    """The sleeve for these two; middle of the bicep line at (0, 0), back on the left."""
    bicep = body.upper_arm + BICEP_EASE
    back_hole, front_hole = back.edges["underarm"].length, front.edges["underarm"].length
    thumb = BUST_SHARE * body.bust
    back_half, front_half, height, _ = fitted_cap(
        bicep, back_hole + BACK_MORE + thumb, front_hole + FRONT_MORE + thumb
    )
    wrist, low = (body.wrist + WRIST_EASE) / 2, height - body.arm

    def underarm_seam(side: int) -> Curve:
        half, lean = bicep / 2, wrist - bicep / 2
        return stroke(
            (
                (side * half, 0.0),
                (side * (half + 0.30 * lean - 4.0), 0.30 * low),
                (side * (half + 0.70 * lean - 6.0), 0.66 * low),
                (side * wrist, low),
            )
        )

    seam = underarm_seam(-1)
    # Square to the underarm seam on average, so that the wrist runs on when the seam is sewn;
    # lower at the back, where the elbow needs it, and as much higher in front.
    foot = seam.segments[-1, 3] - seam.segments[-1, 2]
    lean_in = float(atan2(foot[0], -foot[1]))
    edges = {
        "underarm-back": seam,
        "wrist-back": stroke(
            (
                (-wrist, low),
                (-0.4 * wrist, low + 0.6 * wrist * tan(lean_in - WRIST_SWING)),
                (0.4 * wrist, low + 0.6 * wrist * tan(lean_in + WRIST_SWING)),
                (wrist, low),
            )
        ),
        "wrist-front": underarm_seam(1).reversed(),
        "underarm-front": front_half.joined(back_half.reversed()),
    }
    whole = edges["underarm-front"].length

    def level(piece: Drawn, name: str) -> float:
        return next(m.along for m in piece.marks if m.name == name)

    elbow = 0.46 * seam.length
    return Drawn(
        name="Sleeve",
        edges=edges,
        marks=(
            Mark(name="elbow-back", edge="underarm-back", along=elbow),
            Mark(name="elbow-front", edge="wrist-front", along=seam.length - elbow),
            # Below the notches the cap is set plain: the same length as the armhole.
            Mark(name="front", edge="underarm-front", along=level(front, "front")),
            Mark(name=NOTCH_SHOULDER, edge="underarm-front", along=front_half.length),
            Mark(name="back-upper", edge="underarm-front", along=whole - level(back, "upper")),
            Mark(name="back-lower", edge="underarm-front", along=whole - level(back, "lower")),
        ),
        grain=((0.0, 0.82 * low), (0.0, 0.45 * height)),
        label=(16.0, 0.40 * low),
        inside={"bicep line": stroke(((-bicep / 2, 0.0), (bicep / 2, 0.0)))},
    )
