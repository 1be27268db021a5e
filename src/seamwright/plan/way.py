"""Which way round the outline a run goes."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from seamwright.model.seam import RunPart

_TOUCH = 1e-6  # mm; marks nearer than this are at one place
_DOUBT = 0.05  # two ways that pass as many corners and differ by less in length are in doubt


class WayError(Exception):
    """The way cannot be told; `of(part)` says why, `hint` what to do."""

    def __init__(self, reason: str, hint: str) -> None:
        super().__init__(reason)
        self.reason = reason
        self.hint = hint

    def of(self, part: RunPart) -> str:
        """The reason as a sentence about a part."""
        return f'"{part}": {self.reason}'


def way(
    marks: Sequence[float],
    whole: float,
    *,
    corners: Sequence[float] = (),
    mouths: Sequence[Sequence[float]] = (),
) -> bool:
    """Whether a run through `marks` goes with the outline (True) or against it (False).

    marks    lengths along the outline, in the order written; the same mark first and last means
             the whole outline, with it unless marks between say otherwise
    whole    length of the outline
    corners  of all corners
    mouths   (left, right) of the darts that are known

    The rule stands with `RunPart`: the way that meets the marks in order; if both do, the way
    that passes fewer corners (those in the mouth of a dart that is passed are not counted), then
    the shorter way. Raises WayError when neither way meets the marks in order, or when both pass
    as many corners and differ by less than a twentieth in length.
    """
    ahead = [_gap(b - a, whole) for a, b in pairwise(marks)]
    back = [_gap(a - b, whole) for a, b in pairwise(marks)]
    if len(marks) == 2 and marks[0] == marks[1]:
        return True
    with_it = sum(ahead) <= whole + _TOUCH
    against = sum(back) <= whole + _TOUCH
    if with_it != against:
        return with_it
    if not with_it:
        raise WayError(
            "the marks do not follow one another along the outline, either way",
            "put them in the order in which the outline meets them",
        )
    if marks[0] == marks[-1]:
        return True
    first, last = marks[0], marks[-1]
    length = _gap(last - first, whole)
    sides = (
        _side(first, length, whole, corners, mouths),
        _side(last, _gap(first - last, whole), whole, corners, mouths),
    )
    (passed, long), (other_passed, other_long) = sides
    if passed != other_passed:
        return passed < other_passed
    if abs(long - other_long) <= _DOUBT * max(long, other_long):
        raise WayError(
            f"both ways round pass {passed} corner{'' if passed == 1 else 's'} and are about as "
            f"long ({long:.1f} and {other_long:.1f} mm)",
            "name a mark between the two: first > between > last",
        )
    return long < other_long


def _side(
    start: float,
    length: float,
    whole: float,
    corners: Sequence[float],
    mouths: Sequence[Sequence[float]],
) -> tuple[int, float]:
    """Corners passed and length walked, going with the outline from `start` for `length`."""
    open_mouths = []
    walked = length
    for left, right in mouths:
        low = _gap(left - start, whole)
        wide = _gap(right - left, whole)
        part = low + wide
        if part <= length + _TOUCH and not (low <= _TOUCH and part >= length - _TOUCH):
            open_mouths.append((low - _TOUCH, part + _TOUCH))
            walked -= wide
    passed = 0
    for corner in corners:
        at = _gap(corner - start, whole)
        if _TOUCH < at < length - _TOUCH and not any(a <= at <= b for a, b in open_mouths):
            passed += 1
    return passed, walked


def _gap(length: float, whole: float) -> float:
    out = length % whole if whole > 0.0 else 0.0
    return 0.0 if whole - out < 1e-9 else out
