"""Meshes keep their outline and cover it once."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from seamwright.geometry.press.mesh import MissingEdges, inside, triangulate


def ring(radii: np.ndarray, size: float) -> np.ndarray:
    """A wavy closed outline, anticlockwise, with vertices about `size` apart."""
    turn = np.linspace(0.0, 2.0 * np.pi, 4000)
    radius = 60.0 + sum(r * np.cos((k + 2) * turn + k) for k, r in enumerate(radii))
    dense = np.stack([radius * np.cos(turn), radius * np.sin(turn)], axis=1)
    along = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(dense, axis=0).T))])
    s = np.linspace(0.0, along[-1], int(along[-1] / size) + 1)[:-1]
    return np.stack([np.interp(s, along, dense[:, axis]) for axis in (0, 1)], axis=1)


def doubled(corners: np.ndarray) -> np.ndarray:
    a, b = corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]
    return a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0]


@given(st.lists(st.floats(-5, 5), min_size=3, max_size=3), st.floats(4.0, 9.0))
@settings(max_examples=20, deadline=None)
def test_mesh_covers_its_outline_once(radii: list[float], size: float) -> None:
    outline = ring(np.array(radii), size)
    mesh = triangulate(outline, size)
    np.testing.assert_array_equal(mesh.points[: len(outline)], outline)
    areas = doubled(mesh.points[mesh.triangles])
    assert areas.min() > 0.0
    x, y = outline.T
    whole = (x * np.roll(y, -1) - y * np.roll(x, -1)).sum()
    assert areas.sum() == pytest.approx(whole, rel=1e-9)
    directed = {(t[i], t[(i + 1) % 3]) for t in mesh.triangles.tolist() for i in range(3)}
    assert len(directed) == 3 * len(mesh.triangles)
    for i in range(len(outline)):
        assert (i, (i + 1) % len(outline)) in directed


def test_an_outline_too_coarse_says_where() -> None:
    # Long slanting pieces with grid points all along them.
    outline = np.array([(0, 0), (100, 0), (100, 50), (50, 0.5), (0, 50)], dtype=float)
    with pytest.raises(MissingEdges) as fault:
        triangulate(outline, 5.0)
    assert fault.value.which.tolist() == [2, 3]


def test_inside() -> None:
    outline = np.array([(0, 0), (4, 0), (4, 4), (2, 1), (0, 4)], dtype=float)
    points = np.array([(2, 0.5), (2, 2), (0.2, 3), (5, 1)], dtype=float)
    assert inside(outline, points).tolist() == [True, False, True, False]
