"""Least-squares cubics through one smooth run of points.

P. J. Schneider, An algorithm for automatically fitting digitized curves, Graphics Gems (1990),
612-626: least squares for the handles, new parameters by Newton steps, and where that does not
come within the tolerance the run is split where it is farthest off. Unlike there, an end whose
direction nobody prescribes keeps both coordinates of its handle free.
"""

from __future__ import annotations

import numpy as np

from .evaluate import first_complex, points_complex, second_complex
from .fit_lines import off_chord
from .kinds import ComplexArray, FloatArray

_ROUNDS = 32
_SHARES = np.array([0.25, 0.5, 0.75])


def fit_run(z: ComplexArray, start: complex, end: complex, tolerance: float) -> list[ComplexArray]:
    """Cubics (each (4,) complex) through points z (n,), n at least 2, no repetitions.

    start and end are unit directions of travel at the ends, 0 where free.
    """
    done: list[ComplexArray] = []
    todo = [(0, z.shape[0] - 1, start, end)]
    while todo:
        i, j, a, b = todo.pop()
        run = z[i : j + 1]
        if run.shape[0] == 2:
            done.append(_between(run, a, b, tolerance))
            continue
        cubic, worst = _one_cubic(run, a, b, tolerance)
        if cubic is not None:
            done.append(cubic)
            continue
        k = i + worst
        through = direction_at(z, k)
        todo.append((k, j, through, b))
        todo.append((i, k, a, through))
    return done


def direction_at(z: ComplexArray, k: int) -> complex:
    """Unit direction of travel at an inner point, from the parabola that fits up to three
    neighbours on either side best (its own place weighs most)."""
    low, high = max(0, k - 3), min(z.shape[0], k + 4)
    some = z[low:high] - z[k]
    at = np.concatenate(([0.0], np.cumsum(np.abs(np.diff(z[low:high])))))
    at = at - at[k - low]
    size = np.abs(at).max()
    x = at / size
    weight = 1.0 / (0.2 + np.abs(x))
    matrix = np.stack((x, x * x), axis=1) * weight[:, None]
    slope = np.linalg.lstsq(matrix, some * weight, rcond=None)[0][0]
    if abs(slope) < 1e-9 * size:
        slope = z[k + 1] - z[k - 1]
    return complex(slope / abs(slope)) if abs(slope) > 0.0 else 0j


def _between(z: ComplexArray, a: complex, b: complex, tolerance: float) -> ComplexArray:
    """The curve between two neighbouring points, plain where the directions lead too far off."""
    chord = complex(z[1] - z[0])
    third = abs(chord) / 3.0
    direct = chord / abs(chord)
    first, last = z[0] + third * (a or direct), z[1] - third * (b or direct)
    if off_chord(np.array([first, last]), z[0], z[1]).max() > tolerance:
        first, last = z[0] + chord / 3.0, z[1] - chord / 3.0
    return np.array([z[0], first, last, z[1]])


def _one_cubic(
    z: ComplexArray, a: complex, b: complex, tolerance: float
) -> tuple[ComplexArray | None, int]:
    """One cubic within the tolerance both ways, or None and the index where to split."""
    t = np.concatenate(([0.0], np.cumsum(np.abs(np.diff(z)))))
    t /= t[-1]
    split, least, last, patience = 0, np.inf, np.inf, 0
    normals: ComplexArray | None = None
    for turn in range(_ROUNDS):
        # Distances along the curve are not errors, only parameters yet unsettled: after the
        # first round they count little, which turns slow linear convergence into Gauss-Newton's.
        cubic = _handles(z, t, a, b, normals)
        if cubic is None:
            break
        error = _errors(cubic, z, t)
        worst = int(error.argmax())
        if error[worst] <= tolerance:
            return cubic, 0
        patience = 0 if error[worst] < 0.97 * last else patience + 1
        last = float(error[worst])
        if error[worst] < least:
            least, split = float(error[worst]), worst
        if patience > 3 or (turn == 6 and least > 50.0 * tolerance):
            break
        t = _reparametrised(cubic, z, _reparametrised(cubic, z, t))
        d = first_complex(cubic, t)
        speed = np.abs(d)
        normals = 1j * d / speed if (speed > 0.0).all() else None
    if not 0 < split < z.shape[0] - 1:
        off = off_chord(z[1:-1], z[0], z[-1])
        split = int(off.argmax()) + 1 if off.max() > 0.0 else z.shape[0] // 2
    return None, split


def _handles(
    z: ComplexArray, t: FloatArray, a: complex, b: complex, normals: ComplexArray | None
) -> ComplexArray | None:
    """The least-squares cubic for parameters t; None where a handle would point backwards.

    With unit normals (n,) misses along the curve weigh a five-hundredth of those across it.
    """
    s = 1.0 - t
    b1, b2 = 3.0 * s * s * t, 3.0 * s * t * t
    rest = z - z[0] * (s**3 + b1) - z[-1] * (t**3 + b2)
    ways = [*([a] if a else [1.0, 1j]), *([-b] if b else [1.0, 1j])]
    shares = np.stack([b1] * (1 if a else 2) + [b2] * (1 if b else 2), axis=1)
    matrix = (shares.astype(np.complex128) * np.array(ways, dtype=np.complex128))[1:-1]
    rest = rest[1:-1]
    if normals is not None:
        turn = normals[1:-1].conj()
        matrix, rest = matrix * turn[:, None], rest * turn
        matrix.imag *= 0.002
        rest.imag *= 0.002
    real = np.concatenate((matrix.real, matrix.imag))
    if real.shape[0] < real.shape[1]:
        return None
    goal = np.concatenate((rest.real, rest.imag))
    # A whiff of regularisation towards thirds of the chord: few points leave handles open.
    chord = abs(z[-1] - z[0])
    weight = 1e-6
    direct = (z[-1] - z[0]) / 3.0
    if a:
        prior = [chord / 3.0]
    else:
        prior = [direct.real, direct.imag]
    prior += [chord / 3.0] if b else [-direct.real, -direct.imag]
    real = np.concatenate((real, weight * np.eye(len(prior))))
    goal = np.concatenate((goal, weight * np.array(prior)))
    found = np.linalg.lstsq(real, goal, rcond=None)[0]
    first = complex(found[0] * a) if a else complex(found[0], found[1])
    last = complex(found[-1] * -b) if b else complex(found[-2], found[-1])
    reach = np.abs(np.diff(z)).sum()
    if (a and found[0] <= 0.0) or (b and found[-1] <= 0.0):
        return None
    if max(abs(first), abs(last)) > 2.0 * reach or not np.isfinite(found).all():
        return None
    return np.array([z[0], z[0] + first, z[-1] + last, z[-1]])


def _errors(cubic: ComplexArray, z: ComplexArray, t: FloatArray) -> FloatArray:
    """For each point the larger of its own distance and those of the curve on either side from
    the polyline, measured at three places between neighbours."""
    error = np.abs(points_complex(cubic, t) - z)
    chord = np.diff(z)
    size = np.abs(chord) ** 2
    between = t[:-1] + _SHARES[:, None] * np.diff(t)
    gap = points_complex(cubic, between) - z[:-1]
    along = np.clip((gap * chord.conj()).real / size, 0.0, 1.0)
    off = np.abs(gap - along * chord).max(axis=0)
    error[:-1] = np.maximum(error[:-1], off)
    error[1:] = np.maximum(error[1:], off)
    return error


def _reparametrised(cubic: ComplexArray, z: ComplexArray, t: FloatArray) -> FloatArray:
    """Parameters one Newton step nearer to the foot points, kept in order."""
    gap = points_complex(cubic, t) - z
    d, dd = first_complex(cubic, t), second_complex(cubic, t)
    slope = (gap * d.conj()).real
    rise = np.abs(d) ** 2 + (gap * dd.conj()).real
    new = np.clip(t - slope / np.where(rise > 0.0, rise, np.inf), 0.0, 1.0)
    new[0], new[-1] = 0.0, 1.0
    if (np.diff(new) <= 0.0).any():
        # Points may not overtake each other: half the step, then none.
        new = (new + t) / 2.0
        if (np.diff(new) <= 0.0).any():
            return t
    return new
