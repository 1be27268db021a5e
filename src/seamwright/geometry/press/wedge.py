"""The wedge that is folded out or cut out of an edge: where it opens and where it ends."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
from numpy.typing import ArrayLike

from ..curve import Curve
from .kinds import FloatArray, PressError

__all__ = ["Wedge", "check_wedges", "equal_sided_wedge", "inward_side", "reopened", "slash_wedge"]

_MOST_SLANT = 45.0  # degrees off square
_LEAST_BETWEEN = 1.0  # mm of edge between two wedges
_NEARLY = 1e-3  # mm: even enough where sliding changes next to nothing (an arc round the apex)
_EVEN = 1e-11  # mm: sides are equally long when they differ by less


@dataclass(frozen=True, slots=True, eq=False)
class Wedge:
    """A wedge opening over the stretch `mouth` of an edge (lengths along it), ending in `apex`
    (2,).

    `sides` are its two lengths, at the mouth's start and at its end. Glued together they leave
    a jog as long as they differ. From `start` to `end` is what the edge loses when the jog is
    trued: the whole mouth if the sides are equal, less if the wedge lies slantwise, because the
    trued line then runs some way along the jog.
    """

    start: float
    end: float
    mouth: tuple[float, float]
    apex: FloatArray
    sides: tuple[float, float]

    @property
    def width(self) -> float:
        """What is taken out of the edge, along it."""
        return self.end - self.start

    @property
    def jog(self) -> float:
        """The step that gluing leaves: side at the end minus side at the start."""
        return self.sides[1] - self.sides[0]


def inward_side(edge: Curve) -> int:
    """On which side of an open edge the piece lies: +1 left of travel, -1 right.

    The piece is what the edge encloses with the straight line from its end back to its start.
    Raises PressError (`order`) if that is nothing.
    """
    closing = Curve.line(edge.end, edge.start)
    area = edge.joined(closing).closed_up().area if _apart(edge) else 0.0
    if abs(area) < 1e-6 * edge.length**2:
        raise PressError("order", "the edge encloses nothing with the line between its ends")
    return 1 if area > 0.0 else -1


def _apart(edge: Curve) -> bool:
    return bool(np.hypot(*(edge.end - edge.start)) > 1e-6)


def equal_sided_wedge(
    edge: Curve, *, at: float, width: float, depth: float, inward: int | None = None
) -> Wedge:
    """A wedge with equally long sides, so that gluing it leaves no jog.

    edge: open Curve. at: where along it, mm. width: what it takes out of the edge, along it.
    depth: how far its apex lies along the inward normal at that place. inward: +1 left of
    travel, -1 right (default: towards the line between the ends).

    The apex stays and the mouth slides along the edge until both sides are equally long.
    Raises PressError: `width`, `overlap` (no room on the edge).
    """
    side = inward_side(edge) if inward is None else inward
    _check_width(edge, at, width, depth)
    apex = edge.point_at(at) + depth * side * edge.normal_at(at)
    middle = _slid(edge, at, width, apex)
    return _wedge(edge, middle, width, apex, width)


def slash_wedge(edge: Curve, *, at: float, width: float, hinge: ArrayLike) -> Wedge:
    """A cut from the edge to a hinge (2,), overlapped until the edge has lost `width`.

    The overlap is centred on the length `at`. Where the cut meets the edge at a slant its sides
    differ; gluing then leaves a jog, and the mouth must be wider than what is lost: by the part
    of the jog that lies along the edge, width * tan^2 of the slant.

    Raises PressError: `width`, `overlap` (no room on the edge), `apex` (hinge on the edge, or
    more than 45 degrees of slant).
    """
    apex = np.array(hinge, dtype=np.float64).reshape(2)
    place = float(np.clip(at, 0.0, edge.length))
    away = edge.point_at(place) - apex
    depth = float(np.hypot(*away))
    _check_width(edge, at, width, depth)
    along = float(away @ edge.tangent_at(place)) / depth
    slant = float(np.degrees(np.arcsin(min(abs(along), 1.0))))
    if slant > _MOST_SLANT:
        raise PressError(
            "apex",
            f"the cut at {at:.4g} mm meets the edge {slant:.0f} degrees off square; at most "
            f"{_MOST_SLANT:.0f} will do",
        )
    opening = width
    for _ in range(60):
        _check_width(edge, at, opening, depth)
        sides = _sides(edge, at, opening, apex)
        change = width + abs(float(sides[1] - sides[0]) * along) - opening
        opening += change
        if abs(change) < 1e-12 * depth:
            break
    return _wedge(edge, at, width, apex, opening)


def _check_width(edge: Curve, at: float, width: float, depth: float) -> None:
    if not (np.isfinite([at, width, depth]).all() and width > 0.0):
        raise PressError("width", f"a wedge {width:.4g} mm wide takes nothing out")
    if not depth > width:
        raise PressError(
            "width", f"a wedge {width:.4g} mm wide and {depth:.4g} mm deep is wider than deep"
        )
    if at - 0.5 * width <= 0.0 or at + 0.5 * width >= edge.length:
        raise PressError(
            "overlap",
            f"a wedge {width:.4g} mm wide at {at:.4g} mm runs over the end of an edge of "
            f"{edge.length:.6g} mm",
        )


def _sides(edge: Curve, middle: float, width: float, apex: FloatArray) -> FloatArray:
    mouth = edge.point_at(np.array([middle - 0.5 * width, middle + 0.5 * width]))
    sides: FloatArray = np.hypot(*(mouth - apex).T)
    return sides


def _wedge(edge: Curve, middle: float, width: float, apex: FloatArray, opening: float) -> Wedge:
    sides = _sides(edge, middle, opening, apex)
    apex.flags.writeable = False
    start = middle - 0.5 * width
    mouth = (start, start + width)
    if opening != width:
        mouth = (middle - 0.5 * opening, middle + 0.5 * opening)
    return Wedge(start, start + width, mouth, apex, (float(sides[0]), float(sides[1])))


def reopened(edge: Curve, wedge: Wedge, by: float) -> Wedge:
    """The same wedge with a mouth wider by so much, mm; what is taken out stays."""
    middle = 0.5 * (wedge.start + wedge.end)
    opening = wedge.mouth[1] - wedge.mouth[0] + by
    sides = _sides(edge, middle, opening, wedge.apex)
    mouth = (middle - 0.5 * opening, middle + 0.5 * opening)
    return replace(wedge, mouth=mouth, sides=(float(sides[0]), float(sides[1])))


def _slid(edge: Curve, at: float, width: float, apex: FloatArray) -> float:
    """The middle of the mouth, near `at`, from which both sides are equally long."""

    def uneven(middle: float) -> float:
        a, b = _sides(edge, middle, width, apex)
        return float(b - a)

    first = uneven(at)
    if abs(first) <= _EVEN:
        return at
    low, high = 0.5 * width, edge.length - 0.5 * width
    reach = 0.25 * width
    while reach <= 4.0 * width:
        ends = max(at - reach, low), min(at + reach, high)
        values = [uneven(m) for m in ends]
        for m, value in zip(ends, values, strict=True):
            if (value < 0.0) != (first < 0.0):
                return _root(uneven, at, first, m, value)
        reach *= 2.0
    if abs(first) <= _NEARLY:
        return at
    raise PressError(
        "apex",
        f"at {at:.4g} mm no wedge of {width:.4g} mm has equal sides: the edge bends too much "
        "there; another place, another depth or a slash will do",
    )


def _root(f: Callable[[float], float], a: float, fa: float, b: float, fb: float) -> float:
    """A root between a and b: the Illinois form of the rule of false position."""
    for _ in range(100):
        m = b - fb * (b - a) / (fb - fa)
        fm = f(m)
        if abs(fm) <= _EVEN or abs(b - a) < 1e-12:
            return float(m)
        if (fm < 0.0) != (fb < 0.0):
            a, fa = b, fb
        else:
            fa *= 0.5
        b, fb = m, fm
    return float(b)


def check_wedges(
    edge: Curve, wedges: Sequence[Wedge], marks: Sequence[float], held: tuple[float, float]
) -> tuple[Wedge, ...]:
    """The wedges in order along the edge, none meeting another, a mark, or a held stretch."""
    ordered = tuple(sorted(wedges, key=lambda w: w.start))
    if not ordered:
        raise PressError("width", "there is no wedge to take out")
    for w in ordered:
        name = f"the wedge from {w.mouth[0]:.4g} to {w.mouth[1]:.4g} mm"
        if w.mouth[0] <= held[0] or w.mouth[1] >= edge.length - held[1]:
            raise PressError(
                "held",
                f"{name} lies in the stretch that must stay in place (up to {held[0]:.4g} and "
                f"from {edge.length - held[1]:.4g} mm)",
            )
        for mark in marks:
            if w.mouth[0] - 1e-9 < mark < w.mouth[1] + 1e-9:
                raise PressError("overlap", f"{name} takes the mark at {mark:.4g} mm with it")
    for w, following in pairwise(ordered):
        if following.mouth[0] < w.mouth[1] + _LEAST_BETWEEN:
            raise PressError(
                "overlap",
                f"the wedges at {0.5 * (w.start + w.end):.4g} and "
                f"{0.5 * (following.start + following.end):.4g} mm meet at the edge",
            )
    return ordered
