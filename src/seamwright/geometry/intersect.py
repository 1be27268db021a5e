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

_ROUNDS = 16
#: More pieces than this of one pair of segments in touch with each other: the two coincide.
_COINCIDE = 20_000
_PAIRS = 2_000_000


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


def _straight(z: ComplexArray) -> AnyArray:
    chord = z[:, 3:] - z[:, :1]
    off = np.abs(_cross(chord, z[:, 1:3] - z[:, :1])).max(axis=1)
    out: AnyArray = off <= 1e-13 * np.abs(chord[:, 0]) * np.abs(z - z[:, :1]).max(axis=1)
    return out


def _newton(
    z: ComplexArray, w: ComplexArray, t: FloatArray, u: FloatArray, steps: int
) -> tuple[FloatArray, FloatArray]:
    """Newton steps towards z(t) = w(u), kept within reach of the segments."""
    for _ in range(steps):
        gap = points_complex(w, u) - points_complex(z, t)
        d, e = first_complex(z, t), first_complex(w, u)
        det = _cross(d, e)
        safe = np.where(det != 0.0, det, np.inf)
        t = np.clip(t + _cross(gap, e) / safe, -0.25, 1.25)
        u = np.clip(u + _cross(gap, d) / safe, -0.25, 1.25)
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
        t = np.clip(t - (f * g_u - g * f_u) / safe, -0.25, 1.25)
        u = np.clip(u - (g * f_t - f * g_t) / safe, -0.25, 1.25)
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
    alike = _straight(z)[a] & _straight(w)[b]
    p, r = z[a], w[b]
    alike &= np.abs(_cross(p[:, 3] - p[:, 0], r[:, 3] - r[:, 0])) <= (
        1e-12 * np.abs(p[:, 3] - p[:, 0]) * np.abs(r[:, 3] - r[:, 0])
    )
    alike |= (np.abs(p - r).max(axis=1) <= slack) | (np.abs(p - r[:, ::-1]).max(axis=1) <= slack)
    if alike.any():
        close = ~_separate(p[alike], r[alike], slack)
        found.append(_coincident_ends(z, w, a[alike][close], b[alike][close]))
        a, b = a[~alike], b[~alike]
    t, u, h = np.zeros(a.shape), np.zeros(a.shape), 1.0
    for turn in range(_ROUNDS + 1):
        ends_t, ends_u = t + h, u + h
        p, r = part_complex(z[a], t, ends_t), part_complex(w[b], u, ends_u)
        keep = ~_separate(p, r, slack)
        a, b, t, u, p, r = a[keep], b[keep], t[keep], u[keep], p[keep], r[keep]
        single = np.flatnonzero(_tangents_apart(p, r))
        if single.size:
            got, done = _single(z, w, a[single], b[single], t[single], u[single], h, slack)
            found.append(got)
            keep = np.ones(a.shape, dtype=bool)
            keep[single[done]] = False
            a, b, t, u = a[keep], b[keep], t[keep], u[keep]
        if a.size == 0 or turn == _ROUNDS:
            break
        if a.size > _COINCIDE:
            pair, back, count = np.unique(
                a * w.shape[0] + b, return_inverse=True, return_counts=True
            )
            many = count > _COINCIDE
            if many.any():
                same = pair[many]
                found.append(_coincident_ends(z, w, same // w.shape[0], same % w.shape[0]))
                keep = ~many[back]
                a, b, t, u = a[keep], b[keep], t[keep], u[keep]
        h /= 2.0
        a, b = np.repeat(a, 4), np.repeat(b, 4)
        t = np.repeat(t, 4) + h * np.tile([0.0, 0.0, 1.0, 1.0], t.size)
        u = np.repeat(u, 4) + h * np.tile([0.0, 1.0, 0.0, 1.0], u.size)
    if a.size:
        found.append(_touching(z, w, a, b, t + h / 2.0, u + h / 2.0, slack))
    return _close(z, w, _joined(found), slack) if found else _none()


def _single(
    z: ComplexArray,
    w: ComplexArray,
    a: IntArray,
    b: IntArray,
    t: FloatArray,
    u: FloatArray,
    h: float,
    slack: float,
) -> tuple[Meetings, AnyArray]:
    """The one crossing of pieces [t, t + h] and [u, u + h], and which pairs are settled."""
    zz, ww = z[a], w[b]
    start, other = points_complex(zz, t), points_complex(ww, u)
    chord, chord_other = points_complex(zz, t + h) - start, points_complex(ww, u + h) - other
    det = _cross(chord, chord_other)
    safe = np.where(det != 0.0, det, np.inf)
    gap = other - start
    t_found = t + h * np.clip(_cross(gap, chord_other) / safe, 0.0, 1.0)
    u_found = u + h * np.clip(_cross(gap, chord) / safe, 0.0, 1.0)
    t_found, u_found = _newton(zz, ww, t_found, u_found, 10)
    ease = 1e-9 * h
    inside = (t_found >= t - ease) & (t_found <= t + h + ease)
    inside &= (u_found >= u - ease) & (u_found <= u + h + ease)
    met = np.abs(points_complex(zz, t_found) - points_complex(ww, u_found)) <= slack
    return Meetings(a, t_found, b, u_found), inside & met


def _touching(
    z: ComplexArray,
    w: ComplexArray,
    a: IntArray,
    b: IntArray,
    t: FloatArray,
    u: FloatArray,
    slack: float,
) -> Meetings:
    """Touching points, and pairs of crossings too near to each other to be told apart before."""
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
        t_got, u_got = _newton(zz, ww, np.clip(t_try, -0.25, 1.25), np.clip(u_try, -0.25, 1.25), 12)
        parts.append(Meetings(a, t_got, b, u_got))
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
