"""The energy's forces and stiffness against differences, and its closed cases."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from seamwright.geometry.press.energy import (
    COLUMNS,
    ROWS,
    elements,
    energy,
    evaluate,
    hessian_entries,
    stretches,
)

CORNERS = np.array([[0, 1, 2], [2, 1, 3], [0, 2, 4]])
REST = np.array([(0.0, 0.0), (4.0, 0.3), (1.8, 3.5), (5.6, 3.9), (-2.1, 2.9)])


def sheet_and_points(seed: int, size: float):  # type: ignore[no-untyped-def]
    sheet = elements(REST[CORNERS], CORNERS)
    return sheet, REST + np.random.default_rng(seed).normal(scale=size, size=REST.shape)


def force(sheet, points, compression):  # type: ignore[no-untyped-def]
    total = np.zeros_like(points)
    np.add.at(
        total, sheet.corners.T, evaluate(sheet, points, compression).gradient.transpose(0, 2, 1)
    )
    return total


@given(st.integers(0, 10_000), st.sampled_from([1.0, 0.3, 0.1]), st.floats(0.02, 1.2))
@settings(max_examples=40, deadline=None)
def test_force_is_the_slope_of_the_energy(seed: int, compression: float, size: float) -> None:
    sheet, points = sheet_and_points(seed, size)
    way = np.random.default_rng(seed + 1).normal(size=points.shape)
    h = 1e-6
    up = energy(sheet, points + h * way, compression)
    down = energy(sheet, points - h * way, compression)
    assert (up - down) / (2 * h) == pytest.approx(
        float((force(sheet, points, compression) * way).sum()), abs=1e-6
    )
    assert evaluate(sheet, points, compression).energy == pytest.approx(
        energy(sheet, points, compression), abs=1e-12
    )


@given(st.integers(0, 10_000), st.sampled_from([1.0, 0.3, 0.1]), st.floats(0.05, 0.6))
@settings(max_examples=40, deadline=None)
def test_stiffness_is_the_slope_of_the_force(seed: int, compression: float, size: float) -> None:
    sheet, points = sheet_and_points(seed, size)
    strain = stretches(sheet, points)
    both = np.concatenate([*strain])
    h = 1e-6
    if np.abs(both - 1.0).min() < 1e-3 or np.abs(strain.most - np.abs(strain.least)).min() < 1e-2:
        return  # at the bend of the energy a difference sees both sides of it
    way = np.random.default_rng(seed + 1).normal(size=points.shape)
    up, down = (
        force(sheet, points + h * way, compression),
        force(sheet, points - h * way, compression),
    )
    blocks = hessian_entries(evaluate(sheet, points, compression), projected=False)
    total = np.zeros_like(points)
    for number, corners in enumerate(sheet.corners):
        full = np.zeros((6, 6))
        full[ROWS, COLUMNS] = full[COLUMNS, ROWS] = blocks[:, number]
        total[corners] += (full @ way[corners].ravel()).reshape(3, 2)
    np.testing.assert_allclose((up - down) / (2 * h), total, atol=2e-5)


@given(st.integers(0, 10_000), st.floats(0.05, 1.0))
@settings(max_examples=25, deadline=None)
def test_projected_stiffness_is_never_negative(seed: int, size: float) -> None:
    sheet, points = sheet_and_points(seed, size)
    blocks = hessian_entries(evaluate(sheet, points, 0.1), projected=True)
    for number in range(len(CORNERS)):
        full = np.zeros((6, 6))
        full[ROWS, COLUMNS] = full[COLUMNS, ROWS] = blocks[:, number]
        assert np.linalg.eigvalsh(full).min() > -1e-10


@given(st.floats(-3.2, 3.2), st.floats(-100, 100), st.floats(-100, 100))
@settings(max_examples=25, deadline=None)
def test_a_moved_sheet_is_at_rest(angle: float, dx: float, dy: float) -> None:
    sheet = elements(REST[CORNERS], CORNERS)
    turn = np.array([[np.cos(angle), -np.sin(angle)], [np.sin(angle), np.cos(angle)]])
    points = REST @ turn.T + (dx, dy)
    assert energy(sheet, points, 0.1) < 1e-20
    assert np.abs(force(sheet, points, 0.1)).max() < 1e-10


def test_stretched_and_shortened_by_hand() -> None:
    sheet = elements(REST[CORNERS], CORNERS)
    area = sheet.area.sum()
    points = REST * (1.10, 0.95)
    assert energy(sheet, points, 1.0) == pytest.approx(area * 0.5 * (0.10**2 + 0.05**2))
    assert energy(sheet, points, 0.1) == pytest.approx(area * 0.5 * (0.10**2 + 0.1 * 0.05**2))
    np.testing.assert_allclose(stretches(sheet, points).most, 1.10)
    np.testing.assert_allclose(stretches(sheet, points).least, 0.95)


def test_a_triangle_turned_over_shows() -> None:
    sheet = elements(REST[CORNERS], CORNERS)
    strain = stretches(sheet, REST * (1.0, -1.0))
    assert (strain.most * strain.least < 0.0).all()
