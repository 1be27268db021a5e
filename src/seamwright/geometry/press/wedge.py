"""The wedge that is folded out or cut out of an edge: where it opens and where it ends."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from ..curve import Curve
from .kinds import FloatArray, PressError

__all__ = ["Wedge", "check_wedges", "equal_sided_wedge", "inward_side", "slash_wedge"]

_EVEN = 1e-11  # mm: sides are equally long when they differ by less


@dataclass(frozen=True, slots=True, eq=False)
class Wedge:
    """A wedge opening from length `start` to length `end` along an edge, ending in `apex` (2,).

    `sides` are its two lengths, at the start and at the end. Glued together they leave a jog as
    long as they differ.
    """

    start: float
    end: float
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
    return _wedge(edge, middle, width, apex)


def slash_wedge(edge: Curve, *, at: float, width: float, hinge: ArrayLike) -> Wedge:
    """A cut from the edge to a hinge (2,), overlapped by `width` at the edge.

    The overlap is centred on the length `at`. Its sides differ, so gluing leaves a jog.
    Raises PressError: `width`, `overlap` (no room on the edge), `apex` (hinge on the edge).
    """
    apex = np.array(hinge, dtype=np.float64).reshape(2)
    depth = float(np.hypot(*(edge.point_at(float(np.clip(at, 0.0, edge.length))) - apex)))
    _check_width(edge, at, width, depth)
    return _wedge(edge, at, width, apex)


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


def _wedge(edge: Curve, middle: float, width: float, apex: FloatArray) -> Wedge:
    sides = _sides(edge, middle, width, apex)
    apex.flags.writeable = False
    start = middle - 0.5 * width
    return Wedge(start, start + width, apex, (float(sides[0]), float(sides[1])))


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
    raise PressError(
        "apex",
        f"at {at:.4g} mm no wedge of {width:.4g} mm has equal sides: the edge bends too much "
        "there; another place, another depth or a slash will do",
    )


def _root(f, a: float, fa: float, b: float, fb: float) -> float:  # type: ignore[no-untyped-def]
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
        if w.start <= held[0] or w.end >= edge.length - held[1]:
            raise PressError(
                "held",
                f"the wedge from {w.start:.4g} to {w.end:.4g} mm lies in the stretch that must "
                f"stay in place (up to {held[0]:.4g} and from {edge.length - held[1]:.4g} mm)",
            )
        for mark in marks:
            if w.start - 1e-9 < mark < w.end + 1e-9:
                raise PressError(
                    "overlap",
                    f"the wedge from {w.start:.4g} to {w.end:.4g} mm takes the mark at "
                    f"{mark:.4g} mm with it",
                )
    for w, following in zip(ordered, ordered[1:], strict=False):
        if following.start < w.end + 1.0:
            raise PressError(
                "overlap",
                f"the wedges from {w.start:.4g} to {w.end:.4g} mm and from "
                f"{following.start:.4g} to {following.end:.4g} mm meet",
            )
    return ordered
