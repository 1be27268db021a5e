"""A cone pressed flat, against its closed form.

Out of a disk of radius R a wedge of angle theta is cut and its sides are glued: a cone with
beta = 1 - theta / (2 pi) of the full turn. Pressed flat as rigidly as possible it stays round. A
point at distance rho R from the apex goes to r(rho) R, with radial stretch r' and hoop stretch
r / (beta rho). The energy, the integral of (r' - 1)^2 + (r / (beta rho) - 1)^2 over the sheet
(rho d rho), has the linear Euler equation

    (rho r')' - r / (beta^2 rho) = 1 - 1 / beta,

with the solutions c rho + a rho^(1 / beta), c = beta / (1 + beta) (the other power is infinite
at the apex). A free rim has r'(1) = 1, which gives r(1) = 2 beta / (1 + beta); a rim that keeps
its length has r(1) = beta. Derived here; no other source.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
import pytest

from seamwright.geometry.press.energy import elements
from seamwright.geometry.press.mesh import triangulate
from seamwright.geometry.press.solve import Solution, press_flat

RADIUS = 100.0
ANGLES = [0.05, 0.3, 1.0]
FREE = {0.05: 0.99600523, 0.3: 0.97554289, 1.0: 0.91354246}


@dataclass(frozen=True)
class Cone:
    rest_radius: np.ndarray  # (V,) distance of each vertex from the apex in the flat sector
    radius: np.ndarray  # (V,) after pressing
    rim: np.ndarray
    solution: Solution


@lru_cache
def pressed_cone(theta: float, *, held: bool, size: float = 2.0) -> Cone:
    beta = 1.0 - theta / (2.0 * np.pi)
    around = int(np.ceil(2.0 * np.pi * beta * RADIUS / size))
    inward = int(np.ceil(RADIUS / size))
    turn = np.linspace(0.0, 2.0 * np.pi * beta, around + 1)
    rim = RADIUS * np.stack([np.cos(turn), np.sin(turn)], axis=1)
    shares = np.arange(inward - 1, 0, -1)[:, None] / inward
    sides = [shares * rim[-1], np.zeros((1, 2)), shares[::-1] * rim[0]]
    mesh = triangulate(np.concatenate([rim, *sides]), size)
    same = np.arange(len(mesh.points))
    same[around] = 0  # both ends of the rim, and then both sides, are one
    first, apex = np.arange(around + 1, around + inward), around + inward
    same[first] = np.arange(apex + 1, apex + inward)[::-1]
    used, vertex = np.unique(same, return_inverse=True)
    flat = mesh.points[used]
    distance = np.hypot(*flat.T)
    angle = np.arctan2(flat[:, 1], flat[:, 0]) % (2.0 * np.pi) / beta
    start = beta * distance[:, None] * np.stack([np.cos(angle), np.sin(angle)], axis=1)
    free = np.ones((len(used), 2), dtype=bool)
    free[vertex[apex]] = False  # no drift
    free[vertex[0], 1] = False  # no turn
    edges = np.stack([vertex[:around], vertex[1 : around + 1]], axis=1)
    lengths = np.hypot(*np.diff(rim, axis=0).T)
    if not held:
        edges, lengths = edges[:0], lengths[:0]
    sheet = elements(mesh.points[mesh.triangles], vertex[mesh.triangles])
    solution = press_flat(sheet, start, free, edges, lengths, compression=1.0)
    radius = np.hypot(*(solution.points - solution.points[vertex[apex]]).T)
    return Cone(distance / RADIUS, radius / RADIUS, vertex[:around], solution)


@pytest.mark.parametrize("theta", ANGLES)
def test_free_rim(theta: float) -> None:
    beta = 1.0 - theta / (2.0 * np.pi)
    assert 2.0 * beta / (1.0 + beta) == pytest.approx(FREE[theta], abs=5e-9)
    cone = pressed_cone(theta, held=False)
    # Mesh of 2 % of R; what is left is the error of the mesh (about 4e-6 at theta = 1).
    assert cone.radius[cone.rim].mean() == pytest.approx(FREE[theta], abs=6e-6)


@pytest.mark.parametrize("theta", ANGLES)
def test_rim_that_keeps_its_length(theta: float) -> None:
    beta = 1.0 - theta / (2.0 * np.pi)
    cone = pressed_cone(theta, held=True)
    assert cone.solution.gap < 1e-12 * RADIUS
    assert cone.radius[cone.rim].mean() == pytest.approx(beta, abs=6e-6)
    c = beta / (1.0 + beta)
    inner = cone.rest_radius > 0.1
    rho = cone.rest_radius[inner]
    closed = c * rho + (beta - c) * rho ** (1.0 / beta)
    # Single vertices near the apex, where the strain is largest, are the worst.
    assert np.abs(cone.radius[inner] - closed).max() < 4e-4
    assert np.sqrt(np.mean((cone.radius[inner] - closed) ** 2)) < 4e-5


def test_finer_meshes_come_nearer() -> None:
    errors = [
        abs(cone.radius[cone.rim].mean() - FREE[1.0])
        for cone in (pressed_cone(1.0, held=False, size=size) for size in (16.0, 8.0, 4.0))
    ]
    assert errors[0] > 2.5 * errors[1] > 6.0 * errors[2]


def test_the_rim_pulls_as_much_as_the_sheet_pushes() -> None:
    """Per mm at rest, the sheet pushes its rim out by 1 - r'(1); a rim of curvature
    1 / (beta R) under the pull T holds it in by T / (beta R)."""
    theta = 0.3
    beta = 1.0 - theta / (2.0 * np.pi)
    cone = pressed_cone(theta, held=True)
    c = beta / (1.0 + beta)
    slope = c + (beta - c) / beta
    assert cone.solution.pulls.mean() == pytest.approx((1.0 - slope) * beta * RADIUS, rel=2e-3)
