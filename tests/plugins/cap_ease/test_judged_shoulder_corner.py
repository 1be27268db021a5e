"""A cap that comes to a point at the shoulder: eased and trued, the target still holds."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from seamwright.model import Pattern
from seamwright.pipeline import Pipeline, Use
from seamwright.plan import cap_of

TARGET = {"back": 12.0, "front": 10.0}


def peaked(wardrobe: Any, degrees: float) -> Pattern:
    """A sleeve whose halves meet at the shoulder point in a corner of so many degrees."""
    slope = np.tan(np.radians(degrees / 2))
    back, front = wardrobe.back.copy(), wardrobe.front.copy()
    back[-1, 2, 1] -= slope * -back[-1, 2, 0]
    front[0, 1, 1] -= slope * front[0, 1, 0]
    sleeve = wardrobe.sleeve(back=back, front=front, shoulder="corner")
    return wardrobe.pattern([sleeve], ease={"back": 20.0, "front": 17.0})  # type: ignore[no-any-return]


@pytest.fixture(params=[25.0, 31.0, 40.0], ids=lambda d: f"{d:g} degrees")
def style(request: Any, wardrobe: Any) -> Pattern:
    return peaked(wardrobe, request.param)


@pytest.mark.parametrize("manner", ["tuck", "slash"])
def test_one_break_at_the_shoulder_point_and_no_splinter_beside_it(
    wardrobe: Any, style: Pattern, manner: str
) -> None:
    result = wardrobe.run(style, target=TARGET, mesh="8 mm", manner=manner)
    cap = cap_of(result.pattern)
    shape = result.pattern.piece("Sleeve").in_size("M")
    half = cap.back.curve(shape, 0)
    assert np.diff(half.cumulative).min() > 1.0
    line = shape.seam_line
    top = line.point_of(shape.corner("shoulder").station)
    breaks = line.segments[line.corner_segments(2.0), 0]
    assert np.sum(np.hypot(*(breaks - top).T) < 5.0) == 1


@pytest.mark.parametrize("manner", ["tuck", "slash"])
def test_truing_takes_no_more_ease_out(wardrobe: Any, style: Pattern, manner: str) -> None:
    eased, _ = Pipeline(
        [Use("ease-cap", target=TARGET, mesh="8 mm", manner=manner), Use("true-jog")]
    ).run(style)
    left = wardrobe.ease(eased)
    for side, wanted in TARGET.items():
        assert left[side] == pytest.approx([wanted], abs=0.05)
