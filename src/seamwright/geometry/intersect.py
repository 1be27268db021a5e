"""Where chains of cubics meet.

Pairs of segments are halved together and thrown out where their boxes, or the strips along their
chords, keep apart. Where no tangent of the one is parallel to a tangent of the other there is at
most one crossing (two would give the same chord to both, but the cross product of the chords is
the integral of cross products that all have one sign), and Newton steps find it. What is left
after many halvings touches rather than crosses, and is settled on the common normal. Where two
segments coincide the ends of each that lie on the other are reported.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from .evaluate import first_complex, points_complex, second_complex, to_complex
from .kinds import TOUCH, AnyArray, ComplexArray, FloatArray, IntArray
from .nearest import all_minima
from .split import part_complex

#: Pieces this small, as a share of their segments, touch rather than cross.
_SMALL = 2.0**-16
#: More pieces than this of one pair of segments in touch with each other: the two coincide.
_COINCIDE = 20_000
_PAIRS = 2_000_000
#: Newton's steps are at rest when they move a parameter by no more than its rounding.
_AT_REST = 1.2e-16


class Meetings(NamedTuple):
    """Segments and parameters on both sides, unordered and with repetitions."""

    a: IntArray
    t: FloatArray
    b: IntArray
    u: FloatArray


def _cross(a: ComplexArray, b: ComplexArray) -> FloatArray:
    out: FloatArray = a.real * b.imag - a.imag * b.real
    return out


def _dot(a: ComplexArray, b: ComplexArray) -> FloatArray:
    out: FloatArray = a.real * b.real + a.imag * b.imag
    return out


def _apart(a: FloatArray, b: FloatArray, slack: float) -> AnyArray:
    """Whether the ranges of a (..., n) and b (..., m) keep more than `slack` apart."""
    out: AnyArray = (a.min(axis=-1) > b.max(axis=-1) + slack) | (
        b.min(axis=-1) > a.max(axis=-1) + slack
    )
    return out


def _first_pairs(z: ComplexArray, w: ComplexArray, slack: float) -> tuple[IntArray, IntArray]:
    """Pairs of segments whose boxes meet."""
    x, y, v, q = z.real, z.imag, w.real, w.imag
    found: list[tuple[IntArray, IntArray]] = []
    step = max(1, _PAIRS // w.shape[0])
    low_v, high_v, low_q, high_q = v.min(1), v.max(1), q.min(1), q.max(1)
    for low in range(0, z.shape[0], step):
        part = slice(low, low + step)
        meet = (x[part].min(1)[:, None] <= high_v + slack) & (
            x[part].max(1)[:, None] >= low_v - slack
        )
        meet &= (y[part].min(1)[:, None] <= high_q + slack) & (
            y[part].max(1)[:, None] >= low_q - slack
        )
        a, b = np.nonzero(meet)
        found.append((a + low, b))
    return np.concatenate([f[0] for f in found]), np.concatenate([f[1] for f in found])


def _separate(p: ComplexArray, r: ComplexArray, slack: float) -> AnyArray:
    """Whether pieces p and r (N, 4) keep apart in x, in y, or across the chord of either."""
    out = _apart(p.real, r.real, slack) | _apart(p.imag, r.imag, slack)
    for piece in (p, r):
        chord = piece[:, 3:] - piece[:, :1]
        size = np.abs(chord)
        unit: ComplexArray = chord / np.where(size > 0.0, size, 1.0)
        base = piece[:, :1]
        out |= _apart(_cross(unit, p - base), _cross(unit, r - base), slack)
    return out


def _tangents_apart(p: ComplexArray, r: ComplexArray) -> AnyArray:
    """Whether no tangent of p is parallel to one of r: all 9 cross products have one sign."""
    d, e = p[:, 1:] - p[:, :-1], r[:, 1:] - r[:, :-1]
    cross = _cross(d[:, :, None], e[:, None, :]).reshape(-1, 9)
    noise = 1e-13 * np.abs(d).max(axis=1) * np.abs(e).max(axis=1)
    out: AnyArray = (cross.min(axis=1) > noise) | (cross.max(axis=1) < -noise)
    return out


def _lines(z: ComplexArray) -> tuple[AnyArray, ComplexArray]:
    """Which segments are straight (perhaps running to and fro), and along which vector."""
    arms = z[:, 1:] - z[:, :1]
    far = np.abs(arms).argmax(axis=1)[:, None]
    arm: ComplexArray = np.take_along_axis(arms, far, 1)
    straight: AnyArray = np.abs(_cross(arm, arms)).max(axis=1) <= 1e-13 * _dot(arm, arm)[:, 0]
    return straight, arm[:, 0]


def _newton(
    z: ComplexArray, w: ComplexArray, t: FloatArray, u: FloatArray, steps: int
) -> tuple[FloatArray, FloatArray]:
    """Newton steps towards z(t) = w(u), kept within reach of the segments."""
    for _ in range(steps):
        gap = points_complex(w, u) - points_complex(z, t)
        d, e = first_complex(z, t), first_complex(w, u)
        det = _cross(d, e)
        safe = np.where(det != 0.0, det, np.inf)
        t_new = np.clip(t + _cross(gap, e) / safe, -0.25, 1.25)
        u_new = np.clip(u + _cross(gap, d) / safe, -0.25, 1.25)
        far = max(np.abs(t_new - t).max(initial=0.0), np.abs(u_new - u).max(initial=0.0))
        t, u = t_new, u_new
        if far <= _AT_REST:
            break
    return t, u


def _common_normal(
    z: ComplexArray, w: ComplexArray, t: FloatArray, u: FloatArray
) -> tuple[FloatArray, FloatArray]:
    """Newton steps towards parallel tangents over a common normal, where curves touch."""
    for _ in range(12):
        gap = points_complex(z, t) - points_complex(w, u)
        d, e = first_complex(z, t), first_complex(w, u)
        dd, ee = second_complex(z, t), second_complex(w, u)
        f, g = _cross(d, e), _dot(gap, d)
        f_t, f_u = _cross(dd, e), _cross(d, ee)
        g_t, g_u = _dot(d, d) + _dot(gap, dd), -_dot(e, d)
        det = f_t * g_u - f_u * g_t
        safe = np.where(det != 0.0, det, np.inf)
        t_new = np.clip(t - (f * g_u - g * f_u) / safe, -0.25, 1.25)
        u_new = np.clip(u - (g * f_t - f * g_t) / safe, -0.25, 1.25)
        far = max(np.abs(t_new - t).max(initial=0.0), np.abs(u_new - u).max(initial=0.0))
        t, u = t_new, u_new
        if far <= _AT_REST:
            break
    return t, u


def _coincident_ends(z: ComplexArray, w: ComplexArray, a: IntArray, b: IntArray) -> Meetings:
    """Ends of segments a that lie on segments b, and the other way round."""
    parts: list[Meetings] = []
    for t in (0.0, 1.0):
        u, _ = all_minima(w[b], z[a, 3 if t else 0])
        parts.append(Meetings(a, np.full(a.shape, t), b, u))
        v, _ = all_minima(z[a], w[b, 3 if t else 0])
        parts.append(Meetings(a, v, b, np.full(b.shape, t)))
    return _joined(parts)


def _joined(parts: list[Meetings]) -> Meetings:
    return Meetings(*(np.concatenate(column) for column in zip(*parts, strict=True)))


def _meet_pairs(
    z: ComplexArray, w: ComplexArray, a: IntArray, b: IntArray, slack: float
) -> Meetings:
    """Meetings of segments a of z with segments b of w, (N,) each."""
    found: list[Meetings] = []
    line_z, along_z = _lines(z)
    line_w, along_w = _lines(w)
    across = np.abs(_cross(along_z[a], along_w[b]))
    alike = line_z[a] & line_w[b] & (across <= 1e-12 * np.abs(along_z[a] * along_w[b]))
    p, r = z[a], w[b]
    alike |= (np.abs(p - r).max(axis=1) <= slack) | (np.abs(p - r[:, ::-1]).max(axis=1) <= slack)
    if alike.any():
        close = ~_separate(p[alike], r[alike], slack)
        found.append(_coincident_ends(z, w, a[alike][close], b[alike][close]))
        a, b = a[~alike], b[~alike]
    q = _Pairs(a, b, np.zeros(a.shape), np.ones(a.shape), np.zeros(a.shape), np.ones(a.shape))
    size_z, size_w = _extent(z), _extent(w)
    while q.a.size:
        p = part_complex(z[q.a], q.t, q.t + q.ht)
        r = part_complex(w[q.b], q.u, q.u + q.hu)
        q, p, r = _kept(~_separate(p, r, slack), q, p, r)
        single = np.flatnonzero(_tangents_apart(p, r))
        if single.size:
            got, done = _single(z, w, q.taken(single), slack)
            found.append(got)
            keep = np.ones(q.a.shape, dtype=bool)
            keep[single[done]] = False
            q, p, r = _kept(keep, q, p, r)
        # What has no extent, to the limit of touching, meets; what has little is looked at last.
        reach, other = _extent(p), _extent(r)
        larger = np.maximum(reach, other)
        dots = larger <= slack / 4.0
        found.append(Meetings(q.a[dots], q.t[dots], q.b[dots], q.u[dots]))
        small = ~dots & (larger <= _SMALL * np.maximum(size_z[q.a], size_w[q.b]))
        if small.any():
            found.append(_touching(z, w, q.taken(small), slack))
        keep = ~(dots | small)
        if keep.sum() > _COINCIDE:
            pair = q.a * w.shape[0] + q.b
            which, back, count = np.unique(pair, return_inverse=True, return_counts=True)
            many = count > _COINCIDE
            same = which[many]
            found.append(_coincident_ends(z, w, same // w.shape[0], same % w.shape[0]))
            keep &= ~many[back]
        q = q.taken(keep).halved(reach[keep], other[keep])
    return _close(z, w, _joined(found), slack) if found else _none()


class _Pairs(NamedTuple):
    """Pairs of pieces: segments, where each piece starts and how wide it is in its parameter."""

    a: IntArray
    b: IntArray
    t: FloatArray
    ht: FloatArray
    u: FloatArray
    hu: FloatArray

    def taken(self, which: AnyArray) -> _Pairs:
        a, b, t, ht, u, hu = self
        return _Pairs(a[which], b[which], t[which], ht[which], u[which], hu[which])

    def halved(self, reach: FloatArray, other: FloatArray) -> _Pairs:
        """All pairs of halves; a piece less than half as long as the other stays whole."""
        cut_t, cut_u = reach >= other / 2.0, other >= reach / 2.0
        late_t, late_u = np.array([0.0, 0.0, 1.0, 1.0]), np.array([0.0, 1.0, 0.0, 1.0])
        needless = (~cut_t[:, None] & (late_t > 0.0)) | (~cut_u[:, None] & (late_u > 0.0))
        row, corner = np.nonzero(~needless)
        ht = np.where(cut_t, self.ht / 2.0, self.ht)[row]
        hu = np.where(cut_u, self.hu / 2.0, self.hu)[row]
        return _Pairs(
            self.a[row],
            self.b[row],
            self.t[row] + ht * late_t[corner],
            ht,
            self.u[row] + hu * late_u[corner],
            hu,
        )


def _kept(
    keep: AnyArray, q: _Pairs, p: ComplexArray, r: ComplexArray
) -> tuple[_Pairs, ComplexArray, ComplexArray]:
    return q.taken(keep), p[keep], r[keep]


def _extent(p: ComplexArray) -> FloatArray:
    out: FloatArray = np.abs(p - p[:, :1]).max(axis=1)
    return out


def _single(z: ComplexArray, w: ComplexArray, q: _Pairs, slack: float) -> tuple[Meetings, AnyArray]:
    """The one crossing of each pair of pieces, and which pairs are settled by it."""
    zz, ww = z[q.a], w[q.b]
    start, other = points_complex(zz, q.t), points_complex(ww, q.u)
    chord = points_complex(zz, q.t + q.ht) - start
    chord_other = points_complex(ww, q.u + q.hu) - other
    det = _cross(chord, chord_other)
    safe = np.where(det != 0.0, det, np.inf)
    gap = other - start
    t = q.t + q.ht * np.clip(_cross(gap, chord_other) / safe, 0.0, 1.0)
    u = q.u + q.hu * np.clip(_cross(gap, chord) / safe, 0.0, 1.0)
    t, u = _newton(zz, ww, t, u, 10)
    inside = np.abs(t - q.t - q.ht / 2.0) <= q.ht * (0.5 + 1e-9)
    inside &= np.abs(u - q.u - q.hu / 2.0) <= q.hu * (0.5 + 1e-9)
    met = np.abs(points_complex(zz, t) - points_complex(ww, u)) <= slack
    return Meetings(q.a, t, q.b, u), inside & met


def _touching(z: ComplexArray, w: ComplexArray, q: _Pairs, slack: float) -> Meetings:
    """Touching points, and pairs of crossings too near to each other to be told apart before."""
    a, b, t, u = q.a, q.b, q.t + q.ht / 2.0, q.u + q.hu / 2.0
    zz, ww = z[a], w[b]
    t_near, u_near = _common_normal(zz, ww, t, u)
    d, e = first_complex(zz, t_near), first_complex(ww, u_near)
    gap = points_complex(zz, t_near) - points_complex(ww, u_near)
    speed, other = np.abs(d), np.abs(e)
    with np.errstate(divide="ignore", invalid="ignore"):
        bend = _cross(d, second_complex(zz, t_near)) / speed**3
        bend_other = _cross(e, second_complex(ww, u_near)) / other**3
        bend_other = bend_other * np.sign(_dot(d, e))
        reach = np.sqrt(2.0 * np.abs(gap) / np.abs(bend - bend_other))
        step, step_other = reach / speed, reach / other * np.sign(_dot(d, e))
    step, step_other = np.nan_to_num(step), np.nan_to_num(step_other)
    touch = np.abs(gap) <= slack
    touch &= (np.abs(t_near - 0.5) <= 0.5 + 1e-9) & (np.abs(u_near - 0.5) <= 0.5 + 1e-9)
    parts = [Meetings(a[touch], t_near[touch], b[touch], u_near[touch])]
    # Where an end with a collapsed handle meets the other curve no Newton step is any good.
    pair = np.unique(a * w.shape[0] + b)
    parts.append(_coincident_ends(z, w, pair // w.shape[0], pair % w.shape[0]))
    # No touch: a cusp may cross here, or two crossings lie close on either side.
    a, b, zz, ww, t, u = a[~touch], b[~touch], zz[~touch], ww[~touch], t[~touch], u[~touch]
    t_near, u_near, step, step_other = (
        column[~touch] for column in (t_near, u_near, step, step_other)
    )
    for t_try, u_try in (
        (t, u),
        (t_near + step, u_near + step_other),
        (t_near - step, u_near - step_other),
    ):
        t_got, u_got = np.clip(t_try, -0.25, 1.25), np.clip(u_try, -0.25, 1.25)
        t_got, u_got = _newton(zz, ww, t_got, u_got, 40)
        # Within the touching distance Newton is still under way along the two curves.
        miss = np.abs(points_complex(zz, t_got) - points_complex(ww, u_got))
        sure = miss <= 1e-13 + 4.0 * np.spacing(np.abs(zz).max(axis=1))
        parts.append(Meetings(a[sure], t_got[sure], b[sure], u_got[sure]))
    return _joined(parts)


def _close(z: ComplexArray, w: ComplexArray, found: Meetings, slack: float) -> Meetings:
    """Those found that lie on both segments and meet."""
    t, u = np.clip(found.t, 0.0, 1.0), np.clip(found.u, 0.0, 1.0)
    gap = np.abs(points_complex(z[found.a], t) - points_complex(w[found.b], u))
    near = gap <= slack
    return Meetings(found.a[near], t[near], found.b[near], u[near])


def _none() -> Meetings:
    return Meetings(np.zeros(0, np.int64), np.zeros(0), np.zeros(0, np.int64), np.zeros(0))


def _slack(*arrays: ComplexArray) -> float:
    """How near counts as meeting: 1e-9 mm, or some units in the last place."""
    size = max(float(np.abs(a).max(initial=0.0)) for a in arrays)
    return max(TOUCH, 8.0 * float(np.spacing(size)))


def meetings(segments: FloatArray, others: FloatArray) -> Meetings:
    """Segment and parameter on both sides of each meeting of two chains (K, 4, 2), (L, 4, 2)."""
    z, w = to_complex(segments), to_complex(others)
    slack = _slack(z, w)
    a, b = _first_pairs(z, w, slack)
    extent = (np.abs(z - z[:, :1]).max(axis=1) > 0.0)[a] & (np.abs(w - w[:, :1]).max(axis=1) > 0.0)[
        b
    ]
    return _meet_pairs(z, w, a[extent], b[extent], slack)


def self_meetings(segments: FloatArray) -> Meetings:
    """The same within one chain, every pair of segments once, and loops within a segment.

    Neighbours' common joints are among them; the caller, who knows the lengths, drops those.
    """
    z = to_complex(segments)
    slack = _slack(z)
    extent = np.abs(z - z[:, :1]).max(axis=1) > 0.0
    a, b = _first_pairs(z, z, slack)
    keep = (a < b) & extent[a] & extent[b]
    return _joined([_meet_pairs(z, z, a[keep], b[keep], slack), _loops(z)])


def _loops(z: ComplexArray) -> Meetings:
    """Where single cubics cross themselves, in closed form.

    With z = A t^3 + B t^2 + C t + D, (z(t) - z(u)) / (t - u) = 0 is A (s^2 - p) + B s + C = 0
    in s = t + u and p = t u; its cross product with A leaves s alone.
    """
    c = 3.0 * (z[:, 1] - z[:, 0])
    b = 3.0 * (z[:, 2] - 2.0 * z[:, 1] + z[:, 0])
    a = z[:, 3] - z[:, 0] + 3.0 * (z[:, 1] - z[:, 2])
    turn, norm = _cross(a, b), _dot(a, a)
    scale = np.abs(z - z[:, :1]).max(axis=1)
    sound = (np.abs(turn) > 1e-14 * scale * scale) & (norm > 0.0)
    s = -_cross(a, c) / np.where(sound, turn, 1.0)
    p = s * s + (_dot(a, b) * s + _dot(a, c)) / np.where(sound, norm, 1.0)
    disc = s * s / 4.0 - p
    half = np.sqrt(np.maximum(disc, 0.0))
    t, u = s / 2.0 - half, s / 2.0 + half
    ok = np.flatnonzero(sound & (disc > 0.0) & (t >= 0.0) & (u <= 1.0))
    return Meetings(ok, t[ok], ok, u[ok])
