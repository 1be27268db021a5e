"""A triangle mesh inside a closed outline that keeps every piece of the outline as an edge."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from .kinds import BoolArray, FloatArray, IntArray

if TYPE_CHECKING:
    from types import ModuleType

__all__ = ["Mesh", "MissingEdges", "inside", "triangulate"]

_SMOOTHINGS = 3
_CLEARANCE = 0.65  # of the mesh size: inner points stay this far from the outline


class Mesh(NamedTuple):
    """points (V, 2), the outline's first; triangles (T, 3), counter-clockwise."""

    points: FloatArray
    triangles: IntArray


class MissingEdges(Exception):
    """Pieces of the outline (their numbers in `which`) that no triangle has as an edge."""

    def __init__(self, which: IntArray) -> None:
        super().__init__(f"{len(which)} pieces of the outline are too long for the mesh")
        self.which = which


def _spatial() -> ModuleType:
    import scipy.spatial  # noqa: PLC0415 - heavy, and needed only when a sheet is meshed

    module: ModuleType = scipy.spatial
    return module


def _shapely() -> ModuleType:
    import shapely  # noqa: PLC0415 - heavy, and needed only when a sheet is meshed

    module: ModuleType = shapely
    return module


def inside(outline: FloatArray, points: FloatArray) -> BoolArray:
    """Which of points (N, 2) lie inside the closed outline (M, 2)."""
    shapely = _shapely()
    area = shapely.Polygon(outline)
    shapely.prepare(area)
    result: BoolArray = shapely.contains_xy(area, points)
    return result


def _grid(outline: FloatArray, size: float) -> FloatArray:
    """Points of a hexagonal grid, symmetric about x = 0, inside and clear of the outline."""
    (x0, y0), (x1, y1) = outline.min(axis=0), outline.max(axis=0)
    row = size * np.sqrt(0.75)
    ys = np.arange(np.floor(y0 / row), np.ceil(y1 / row) + 1.0)
    reach = np.ceil(max(abs(x0), abs(x1)) / size) + 1.0
    xs = np.arange(-reach, reach + 1.0)
    grid = np.stack(
        np.broadcast_arrays(size * (xs[None, :] + 0.5 * (ys[:, None] % 2.0)), row * ys[:, None]),
        axis=-1,
    ).reshape(-1, 2)
    grid = grid[inside(outline, grid)]
    tree = _spatial().cKDTree(_densely(outline, 0.5 * size))
    near, _ = tree.query(grid, distance_upper_bound=_CLEARANCE * size)
    clear: FloatArray = grid[np.isinf(near)]
    return clear


def _densely(outline: FloatArray, step: float) -> FloatArray:
    """The outline's vertices and points between them at most `step` apart."""
    following = np.roll(outline, -1, axis=0)
    gaps = np.hypot(*(following - outline).T)
    counts = np.maximum(np.ceil(gaps / step).astype(np.intp), 1)
    which = np.repeat(np.arange(len(outline)), counts)
    first = np.repeat(np.cumsum(counts) - counts, counts)
    t = (np.arange(len(which)) - first) / counts[which]
    dense: FloatArray = outline[which] + t[:, None] * (following - outline)[which]
    return dense


def _delaunay(points: FloatArray, outline: FloatArray) -> IntArray:
    triangles: IntArray = _spatial().Delaunay(points).simplices.astype(np.intp)
    corners = points[triangles]
    double = _doubled(corners)
    triangles[double < 0.0] = triangles[double < 0.0][:, [0, 2, 1]]
    keep = inside(outline, corners.mean(axis=1))
    flat = np.abs(double) < 1e-9 * np.ptp(outline)
    return triangles[keep & ~flat]


def _doubled(corners: FloatArray) -> FloatArray:
    """Twice the signed areas of triangles (T, 3, 2)."""
    a, b = corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]
    double: FloatArray = a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0]
    return double


def _smoothed(points: FloatArray, triangles: IntArray, fixed: int) -> FloatArray:
    """Each inner point moved to the middle of its neighbours."""
    count = len(points)
    pairs = np.concatenate([triangles[:, [0, 1]], triangles[:, [1, 2]], triangles[:, [2, 0]]])
    pairs = np.concatenate([pairs, pairs[:, ::-1]])
    degree = np.bincount(pairs[:, 0], minlength=count)
    middle = np.stack(
        [
            np.bincount(pairs[:, 0], weights=points[pairs[:, 1], axis], minlength=count)
            for axis in (0, 1)
        ],
        axis=1,
    )
    moved = points.copy()
    moved[fixed:] = (middle / np.maximum(degree, 1)[:, None])[fixed:]
    return moved


def triangulate(outline: FloatArray, size: float) -> Mesh:
    """Mesh of the inside of a closed outline (M, 2), counter-clockwise, of about `size`.

    The outline's vertices come first and unmoved, and each of its pieces is an edge of the mesh.
    Inner points start on a hexagonal grid and are smoothed a little.

    Raises MissingEdges when a piece of the outline is too long for that (the caller halves it).
    """
    count = len(outline)
    points = np.concatenate([outline, _grid(outline, size)])
    triangles = _delaunay(points, outline)
    _check_outline(triangles, count, len(points))
    for _ in range(_SMOOTHINGS):
        points = _smoothed(points, triangles, count)
    if _doubled(points[triangles]).min() < 0.1 * size**2:
        # Smoothing flattened a triangle (few points, a narrow place): join them afresh.
        triangles = _delaunay(points, outline)
        _check_outline(triangles, count, len(points))
    return Mesh(points, triangles)


def _check_outline(triangles: IntArray, count: int, total: int) -> None:
    start = np.concatenate([triangles[:, 0], triangles[:, 1], triangles[:, 2]])
    end = np.concatenate([triangles[:, 1], triangles[:, 2], triangles[:, 0]])
    wanted = np.arange(count) * total + np.roll(np.arange(count), -1)
    missing = np.flatnonzero(~np.isin(wanted, start * total + end))
    if len(missing):
        raise MissingEdges(missing)
