"""The order in which lines are drawn: always the nearest next, either end first, closed lines
from any of their corners."""

from __future__ import annotations

import numpy as np

from seamwright.geometry import Curve, FloatArray

from .job import Stroke

_MOST = 64  # places at which a closed line may be begun


def travel_of(strokes: list[Stroke], start: FloatArray) -> float:
    """How far (mm) the pen moves lifted, from `start` on."""
    if not strokes:
        return 0.0
    begins = np.array([s.curve.start for s in strokes])
    ends = np.array([s.curve.end for s in strokes])
    froms = np.concatenate((start[None], ends[:-1]))
    return float(np.hypot(*(begins - froms).T).sum())


def ordered(strokes: list[Stroke], start: FloatArray) -> list[Stroke]:
    """The strokes pen by pen (the highest, which cuts, last), the nearest next each time; not
    where that travels farther than the order that was given."""
    out: list[Stroke] = []
    at = start
    for pen in sorted({s.pen for s in strokes}):
        mine = [s for s in strokes if s.pen == pen]
        sorted_ = _nearest_next(mine, at)
        best = sorted_ if travel_of(sorted_, at) <= travel_of(mine, at) else mine
        out += best
        at = best[-1].curve.end
    return out


def _nearest_next(strokes: list[Stroke], start: FloatArray) -> list[Stroke]:
    places, owners, joints = [], [], []
    for i, stroke in enumerate(strokes):
        if stroke.curve.closed:
            n = stroke.curve.n
            chosen = np.unique(np.linspace(0, n - 1, min(n, _MOST)).astype(int))
            places.append(stroke.curve.joints[chosen])
        else:
            chosen = np.array([0, -1])
            places.append(np.stack((stroke.curve.start, stroke.curve.end)))
        owners.append(np.full(len(chosen), i))
        joints.append(chosen)
    entries, owner = np.concatenate(places), np.concatenate(owners)
    joint = np.concatenate(joints)
    # Taken entries go to the far distance instead of out of the arrays.
    spots = entries.copy()
    out = []
    at = start
    for _ in range(len(strokes)):
        gap = spots - at
        k = int(np.einsum("ij,ij->i", gap, gap).argmin())
        i = int(owner[k])
        curve = _begun_at(strokes[i].curve, int(joint[k]))
        out.append(Stroke(strokes[i].pen, curve))
        at = curve.end
        spots[owner == i] = 1e15
    return out


def _begun_at(curve: Curve, joint: int) -> Curve:
    if curve.closed:
        return curve.started_at(joint) if joint else curve
    return curve.reversed() if joint == -1 else curve
