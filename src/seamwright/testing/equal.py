"""Comparing two patterns field by field."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import fields, is_dataclass
from typing import Any

import numpy as np

from seamwright.geometry import Curve
from seamwright.model import Pattern


def assert_patterns_equal(
    found: Pattern, expected: Pattern, tolerance: float = 1e-6, *, ignore: tuple[str, ...] = ()
) -> None:
    """Raise AssertionError, naming the first differences, unless both patterns hold the same.

    tolerance  mm, for every coordinate; curve parameters (dimensionless) to 1e-6
    ignore     names of fields that may differ ("foreign", "texts", ...)
    """
    found_differences = []
    for text in differences(found, expected, tolerance, ignore=ignore):
        found_differences.append(text)
        if len(found_differences) == 5:
            break
    assert not found_differences, "patterns differ:\n  " + "\n  ".join(found_differences)


def differences(
    found: Any,
    expected: Any,
    tolerance: float = 1e-6,
    *,
    ignore: tuple[str, ...] = (),
    path: str = "pattern",
) -> Iterator[str]:
    """Every difference as one line: "pattern.pieces[Front].shapes[M].notches[2].depth: ..."."""
    if isinstance(expected, Curve):
        yield from _curves(found, expected, tolerance, path)
    elif isinstance(expected, np.ndarray):
        if np.shape(found) != expected.shape:
            yield f"{path}: shape {np.shape(found)}, expected {expected.shape}"
        elif not np.allclose(found, expected, rtol=0.0, atol=tolerance):
            yield f"{path}: off by {np.abs(found - expected).max():.3g}"
    elif is_dataclass(expected) and not isinstance(expected, type):
        if type(found) is not type(expected):
            yield f"{path}: {type(found).__name__}, expected {type(expected).__name__}"
            return
        for field in fields(expected):
            if field.name in ignore or field.name.startswith("_"):
                continue
            yield from differences(
                getattr(found, field.name),
                getattr(expected, field.name),
                tolerance,
                ignore=ignore,
                path=f"{path}.{field.name}",
            )
    elif isinstance(expected, Mapping):
        if not isinstance(found, Mapping) or list(found) != list(expected):
            yield f"{path}: keys {list(found)!r}, expected {list(expected)!r}"
            return
        for key in expected:
            yield from differences(
                found[key], expected[key], tolerance, ignore=ignore, path=f"{path}[{key}]"
            )
    elif isinstance(expected, (list, tuple)):
        if not isinstance(found, (list, tuple)) or len(found) != len(expected):
            count = len(found) if isinstance(found, (list, tuple)) else found
            yield f"{path}: {count} entries, expected {len(expected)}"
            return
        for i, (a, b) in enumerate(zip(found, expected, strict=True)):
            label = getattr(b, "name", "") or getattr(b, "size", "") or i
            yield from differences(a, b, tolerance, ignore=ignore, path=f"{path}[{label}]")
    elif isinstance(expected, float) and isinstance(found, (int, float)):
        if not abs(found - expected) <= tolerance:
            yield f"{path}: {found!r}, expected {expected!r}"
    elif found != expected:
        yield f"{path}: {found!r}, expected {expected!r}"


def _curves(found: Any, expected: Curve, tolerance: float, path: str) -> Iterator[str]:
    if not isinstance(found, Curve):
        yield f"{path}: no curve"
    elif found.closed != expected.closed:
        yield f"{path}: closed {found.closed}, expected {expected.closed}"
    elif found.n != expected.n:
        yield f"{path}: {found.n} segments, expected {expected.n}"
    elif not np.array_equal(found.kinds, expected.kinds):
        yield f"{path}: lines and curves are not the same"
    else:
        off = float(np.abs(found.segments - expected.segments).max())
        if off > tolerance:
            yield f"{path}: control points off by {off:.3g} mm"
