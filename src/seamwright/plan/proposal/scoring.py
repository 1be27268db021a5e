"""How well two sides go together: whole arrays of pairs at once.

The score is a sum of weights of evidence (natural logarithms of odds, roughly): what a true seam
shows more often than two edges that merely happen to lie in one file. The weights were set by
looking at the tuning garments; what they are worth is then measured (`confidence`).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from seamwright.geometry import FloatArray, IntArray

from .sides import Sides

CAP_EASE = 60.0  # mm; a whole cap takes no more (standards of the trade: 0 to 2 1/2 in)
LIKE = 12.0  # mm; edges whose lengths differ by more are gathered, tucked or pleated
_PRIOR = -3.0


@dataclass(slots=True, eq=False)
class Pairs:
    """M pairs of sides: i of `left` and j of `right`, which is walked backwards where `back`.

    total   (M,) the score; and its parts, each (M,)
    apart   (M,) base size, length of the left side less that of the right, mm
    drift   (M,) how much that changes over the sizes, mm
    growth  (M,) how much the lengths themselves change over the sizes, mm
    met, unmet   (M,) notches that meet, and that do not
    kind    (M,) 0 plain, 1 cap (left is the cap), 2 gathers, 3 half a cap of two pieces (right)
    """

    i: IntArray
    j: IntArray
    back: np.ndarray
    total: FloatArray
    apart: FloatArray
    drift: FloatArray
    growth: FloatArray
    met: FloatArray
    unmet: FloatArray
    corner: FloatArray
    shape: FloatArray
    kind: IntArray

    def __len__(self) -> int:
        return len(self.i)

    def take(self, keep: np.ndarray) -> Pairs:
        """Some of the pairs."""
        return Pairs(*(getattr(self, n)[keep] for n in Pairs.__slots__))


def scored(
    left: Sides,
    right: Sides,
    i: IntArray,
    j: IntArray,
    back: np.ndarray,
    base: int,
    crowned: np.ndarray | None = None,
) -> Pairs:
    """Scores the pairs (M,). crowned: which sides of `right` may be half a cap made of two pieces,
    to be eased into the left side; kind 3 then."""
    a, b = left.lengths[i], right.lengths[j]
    d = a - b
    base_a, base_b = a[:, base], b[:, base]
    apart = d[:, base]
    drift = _spread(d)
    growth = np.maximum(_spread(a), _spread(b))
    long = np.maximum(base_a, base_b)
    cap = _is_cap(left, right, i, j, apart, long)
    two = np.zeros_like(cap)
    if crowned is not None:
        two = crowned[j] & (left.turning[i] < -25.0) & (apart < -1.5) & (apart > -0.6 * CAP_EASE)
        cap = cap | two
    # Gathers, tucks and pleats: one side is clearly longer, and by as much in every size or by a
    # share of its length.
    more = np.abs(apart)
    gather = ~cap & (more > np.maximum(LIKE, 0.03 * np.minimum(base_a, base_b)))
    gather &= more < 1.6 * np.minimum(base_a, base_b)
    kind = np.where(two, 3, np.where(cap, 1, np.where(gather, 2, 0)))
    # Length: what a walk would find. A plain seam has no ease to speak of.
    typical = np.abs(np.median(d, axis=1))
    plain = 3.8 - 1.15 * np.log1p(typical / 0.5) - 0.01 * np.minimum(typical, 300.0)
    ease = np.where(two, -apart, apart)
    eased = 1.6 - 3.0 * np.maximum(0.0, -ease / 6.0) - np.maximum(0.0, ease - CAP_EASE) / 4.0
    gathered = (0.0 if a.shape[1] > 1 else -1.3) - 1.2 * more / np.maximum(
        np.minimum(base_a, base_b), 1.0
    )
    length = np.where(cap, eased, np.where(gather, gathered, np.maximum(plain, -7.0)))
    short = -1.6 * np.clip((45.0 - np.minimum(base_a, base_b)) / 35.0, 0.0, 1.0)
    # Growth: edges that are sewn grow together; the more they grow, the more that says.
    allowed = np.where(cap, 3.0 + 0.25 * growth, 0.5 + 0.06 * growth)
    off = np.minimum(drift / allowed, 3.0)
    together = np.minimum(2.2, 0.75 * np.log1p(growth)) * (1.0 - off)
    # Edges of other lengths grow alike too where one grade rule moves both, so that says less.
    same = np.exp(-typical / 4.0)
    together = np.where(
        (together > 0.0) & ~cap & ~gather, together * (0.15 + 0.85 * same), together
    )
    together = np.where(gather, np.clip(together, -1.5, 0.8), together)
    if a.shape[1] == 1:
        together = np.zeros_like(together)
    met, unmet = _meeting(left, right, i, j, back, base_a, base_b)
    pins = 1.5 * np.minimum(met, 2) + 0.5 * np.clip(met - 2, 0, 3) - 0.75 * np.minimum(unmet, 4)
    twins = _congruent(left, right, i, j, back) & (typical < 1.0 + 0.003 * long)
    corner = _corners(left.ends[i], right.ends[j], back, cap, twins)
    corner += _runs_on(left.beyond[i], right.beyond[j], back, cap, base)
    shape = _shapes(left, right, i, j, back, cap) + 2.0 * twins
    part = np.array([k == "part" for k in left.kinds])[i].astype(float)
    part += np.array([k == "part" for k in right.kinds])[j]
    over = np.array([k == "over" for k in left.kinds])[i].astype(float)
    over += np.array([k == "over" for k in right.kinds])[j]
    chain = np.array([k == "chain" for k in right.kinds])[j]
    total = (
        _PRIOR + length + short + together + pins + corner + shape
        - 0.9 * part - 0.3 * over + 1.2 * chain
    )  # fmt: skip
    return Pairs(i, j, back, total, apart, drift, growth, met, unmet, corner, shape, kind)


def _spread(values: FloatArray) -> FloatArray:
    with np.errstate(all="ignore"):
        filled = np.where(np.isnan(values), np.nanmean(values, axis=1, keepdims=True), values)
    out: FloatArray = filled.max(axis=1) - filled.min(axis=1)
    return out


def _is_cap(
    left: Sides, right: Sides, i: IntArray, j: IntArray, apart: FloatArray, long: FloatArray
) -> np.ndarray:
    """A crown against a hollow: a whole cap, or half of one that turns in and out again."""
    bow = np.nanmax(np.nan_to_num(left.bend), axis=1)[i]
    dip = np.nanmin(np.nan_to_num(left.bend), axis=1)[i]
    hollow = right.turning[j] < -25.0
    ends = np.nan_to_num(left.ends[i], nan=180.0)
    steep = (ends.max(axis=1) < 135.0) & (np.abs(ends[:, 0] - ends[:, 1]) < 40.0)
    top = np.nan_to_num(left.bend).argmax(axis=1)[i] / (left.bend.shape[1] - 1)
    steep &= (top > 0.3) & (top < 0.7)
    edges = np.array([k in ("edge", "over", "dart") for k in left.kinds])[i]
    whole = (bow > 0.10) & (left.turning[i] > -40.0) & steep & edges
    half = (bow > 0.012) & (dip < -0.012)
    size = long > np.where(whole, 240.0, 110.0)
    limit = np.where(whole, CAP_EASE, 0.6 * CAP_EASE)
    out: np.ndarray = (
        hollow & (whole | half) & size & (apart > 1.5) & (apart < limit) & (apart < 0.2 * long)
    )
    return out


def _meeting(
    left: Sides, right: Sides, i: IntArray, j: IntArray, back: np.ndarray,
    long_a: FloatArray, long_b: FloatArray,
) -> tuple[FloatArray, FloatArray]:  # fmt: skip
    """How many notches meet and how many do not, ease lying anywhere between the ends."""
    p = left.notches[:, : _most(left.notches)][i]
    q = right.notches[:, : _most(right.notches)][j]
    q = np.where(back[:, None], long_b[:, None] - q, q)
    ease = np.abs(long_a - long_b)[:, None, None]
    apart = p[:, :, None] - q[:, None, :]
    lean = np.where((long_a >= long_b)[:, None, None], apart, -apart)
    # The longer side may have had some of its ease before the notch, and up to all of it.
    with np.errstate(invalid="ignore"):
        hit = (lean > -2.0) & (lean < np.minimum(ease, 40.0) + 2.0)
    ours, theirs = hit.any(axis=2), hit.any(axis=1)
    met = np.minimum(ours.sum(axis=1), theirs.sum(axis=1)).astype(float)
    # A joint of a chain wants no notch on the other side, though one often stands there.
    joint_p, joint_q = left.joints[i][:, : p.shape[1]], right.joints[j][:, : q.shape[1]]
    lone = (~np.isnan(p) & ~ours & ~joint_p).sum(axis=1)
    lone = lone + (~np.isnan(q) & ~theirs & ~joint_q).sum(axis=1)
    return met, lone.astype(float)


def _most(notches: FloatArray) -> int:
    """How many columns hold a notch at all; at least one."""
    return max(1, int((~np.isnan(notches)).sum(axis=1).max(initial=1)))


def _congruent(left: Sides, right: Sides, i: IntArray, j: IntArray, back: np.ndarray) -> np.ndarray:
    """Curved edges that are one another's very copy, as a facing's and a front's."""
    p, q = left.bend[i], right.bend[j]
    q = np.where(back[:, None], q[:, ::-1], q)
    with np.errstate(invalid="ignore"):
        off = np.abs(p - q).max(axis=1)
        out: np.ndarray = (off < 0.002) & (np.abs(p).max(axis=1) > 0.02)
    return out


def _corners(
    a: FloatArray, b: FloatArray, back: np.ndarray, cap: np.ndarray, twins: np.ndarray
) -> FloatArray:
    """Once sewn, the neighbours run on: the angles at a joined end sum to 180 degrees. A copy that
    lies on its original has the same angle there."""
    b = np.where(back[:, None], b[:, ::-1], b)
    off = np.abs(a + b - 180.0)
    worth = np.maximum(1.1 - off / 16.0, -0.8)
    same = twins[:, None] & (np.abs(a - b) < 4.0)
    worth = np.where(same, np.maximum(worth, 0.6), worth)
    worth = np.where(np.isnan(off), 0.0, worth)
    # A cap and its armhole end where the side seam and the sleeve seam meet: four pieces.
    out: FloatArray = np.where(cap, 0.0, worth.sum(axis=1))
    return out


def _runs_on(
    a: FloatArray, b: FloatArray, back: np.ndarray, cap: np.ndarray, base: int
) -> FloatArray:
    """What runs on from the ends is alike, hem to hem and armhole to armhole: it grows alike, and
    is not of quite another length."""
    b = np.where(back[:, None, None], b[:, ::-1], b)
    with np.errstate(invalid="ignore", divide="ignore"):
        ratio = np.abs(np.log(a[..., base] / b[..., base]))
        grown = [x.max(axis=2) - x.min(axis=2) for x in (a, b)]
    worth = 0.25 * (1.0 - 2.0 * np.minimum(1.0, ratio / 0.7))
    if a.shape[2] > 1:
        off = np.abs(grown[0] - grown[1]) / (grown[0] + grown[1] + 2.0)
        worth = worth + 0.5 * (1.0 - 2.0 * np.minimum(1.0, off / 0.5))
    # A band or a cuff has quite other neighbours than what it is sewn to: little is held against.
    worth = np.where(np.isfinite(worth), np.maximum(worth, -0.15), 0.0)
    out: FloatArray = np.where(cap, 0.0, worth.sum(axis=1))
    return out


def _shapes(
    left: Sides, right: Sides, i: IntArray, j: IntArray, back: np.ndarray, cap: np.ndarray
) -> FloatArray:
    """Straight to straight, alike, one the other's counterpart; or a hollow to something straight
    (a collar), or to something round."""
    p, q = left.bend[i], right.bend[j]
    q = np.where(back[:, None], q[:, ::-1], q)
    with np.errstate(invalid="ignore"):
        alike = np.minimum(
            np.sqrt(((p - q) ** 2).mean(axis=1)), np.sqrt(((p + q) ** 2).mean(axis=1))
        )
    known = np.isfinite(alike)
    out = np.where(known, 0.6 - np.minimum(1.7, 20.0 * np.nan_to_num(alike)), 0.0)
    # Two crowns of some height are hardly ever sewn together.
    convex = (left.turning[i] > 40.0) & (right.turning[j] > 40.0)
    out = out - 1.5 * convex
    return np.where(cap, np.where(known, 0.8, 0.8), out)
