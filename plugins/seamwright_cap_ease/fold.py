"""One size: wedges folded out of the cap, the sheet pressed flat, the edge drawn smooth again."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from seamwright.geometry import Curve, FloatArray
from seamwright.geometry.press import (
    PressedEdge,
    PressError,
    StrainLeft,
    Taken,
    Wedge,
    bend_rod,
    edge_to_curves,
    press_cap,
)
from seamwright.paper import Side
from seamwright.plugins.api import Context

from .edge import CapEdge
from .joints import joints
from .options import EaseCap
from .refusal import Refusal
from .smooth import smoothed
from .wedges import Foldings, wedge_sets

# Refusals of the sheet after which other wedges, less deep, may still do.
_TRY_LESS_DEEP = ("overlap", "apex", "mesh")
# Refusals that lie in the sheet's arithmetic, not in what was asked of it: the rod may do.
_TRY_ROD = ("mesh", "solve")

_BENDS = 8.0  # degrees by which the edge may turn at the end of what is held
_BEYOND = 10.0  # mm over which that is seen
_RELEASED = 0.75  # of what was held is held at the next try
_LEAST_HELD = 20.0  # mm; less than this is not worth holding
_MORE_SEGMENTS = 5

_CODES = {
    "order": "cap.order",
    "width": "cap.width",
    "overlap": "cap.overlap",
    "apex": "cap.too-deep",
    "held": "cap.overlap",
    "turned-over": "cap.too-much",
    "crossing": "cap.too-much",
}
_HINTS = {
    "cap.too-deep": "a tuck or a hinge must end above the bicep line, inside the cap, and about "
    "square to the edge: give a smaller depth, another hinge, or another place",
    "cap.overlap": "fold at another place (from-shoulder), closer together (apart), or take out "
    "less",
    "cap.too-much": "take out less; what else helps: lower the cap, let out the armhole, narrow "
    "the sleeve at the bicep line if the arm allows it",
    "cap.order": "look at the plan's marks of the cap",
    "cap.width": "give a depth that is larger than the tuck is wide",
}


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Folded:
    """The new edge of a cap in one size.

    curve    the new edge, from the same start to the same end
    taken    what was taken out, and how lengths along the edge carry over
    wedges   in order along the old edge; depth: how far they reach in (for slash: how far the
             hinges lie below the shoulder point)
    strain   what pressing leaves in the sheet; None where the rod stood in
    model    "sheet" or "rod"; instead: why not the sheet, where it was asked for
    held     mm of the edge that stayed where it was, at its start and at its end (the underarm
             curve to the notch, or less where the edge would bend sharply there)
    shift    how far the edge moved at most, mm
    trued    how far the smooth edge lies at most from what was pressed, mm
    """

    curve: Curve
    taken: Taken
    wedges: tuple[Wedge, ...]
    depth: float
    strain: StrainLeft | None
    model: str
    instead: str
    held: tuple[float, float]
    shift: float
    trued: float


def fold(
    cap: CapEdge, foldings: Foldings, options: EaseCap, held: Mapping[Side, float], ctx: Context
) -> Folded:
    """The cap with tucks folded out. held: mm up from each underarm point that stay in place;
    less where the edge would bend sharply at the end of what is held.

    Raises Refusal when it cannot be done.
    """
    below = (held.get(cap.first, 0.0), held.get(cap.second, 0.0))
    while True:
        depth, wedges, pressed, instead = _pressed(cap, foldings, options, below, ctx)
        less = _less_held(pressed, cap.edge)
        if less != below:
            below = less
            continue
        try:
            smooth = _drawn(pressed, cap)
        except PressError as error:
            if not any(below):
                raise _refusal(error) from None
            below = (_less(below[0]), _less(below[1]))
            continue
        return Folded(
            curve=smooth,
            taken=pressed.taken,
            wedges=wedges,
            depth=depth,
            strain=pressed.strain,
            model=pressed.model,
            instead=instead,
            held=below,
            shift=_shift(cap.edge, smooth, pressed.taken),
            trued=float(smooth.nearest(pressed.points).distances.max()),
        )


def _drawn(pressed: PressedEdge, cap: CapEdge) -> Curve:
    """The pressed edge as a smooth curve. Raises PressError."""
    top = float(pressed.taken.after(cap.top))
    trued = smoothed(pressed, cap.edge, (top,)) if pressed.model == "sheet" else pressed
    try:
        return _uncrossed(trued, cap, top, joints(trued, cap.edge, top))
    except PressError:
        more = joints(pressed, cap.edge, top, a_half=_MORE_SEGMENTS)
        return _uncrossed(pressed, cap, top, more)


def _uncrossed(pressed: PressedEdge, cap: CapEdge, top: float, at: FloatArray) -> Curve:
    curve = edge_to_curves(pressed, cap.edge, split=(top,), joints=at).curve
    if len(curve.self_intersections().own):
        raise PressError("crossing", "the smooth edge crosses itself: take out less")
    return curve


def _less_held(pressed: PressedEdge, edge: Curve) -> tuple[float, float]:
    """What may be held of the edge at its ends: less where it bends too much as pressed."""
    held = pressed.held
    if pressed.model != "sheet":
        return held
    before = pressed.taken.before(pressed.lengths)
    old = edge.point_at(np.clip(before, 0.0, edge.length))
    found = []
    for length, away in ((held[0], pressed.lengths), (held[1], pressed.length - pressed.lengths)):
        if length <= 0.0:
            found.append(length)
            continue
        end = int(np.abs(away - length).argmin())
        beyond = int(np.abs(away - length - _BEYOND).argmin())
        ways = [p[beyond] - p[end] for p in (old, pressed.points)]
        was, now = (complex(*way) for way in ways)
        bend = abs(float(np.degrees(np.angle(now / was))))
        found.append(_less(length) if bend > _BENDS else length)
    return found[0], found[1]


def _less(held: float) -> float:
    return held * _RELEASED if held * _RELEASED > _LEAST_HELD else 0.0


def _pressed(
    cap: CapEdge,
    foldings: Foldings,
    options: EaseCap,
    below: tuple[float, float],
    ctx: Context,
) -> tuple[float, tuple[Wedge, ...], PressedEdge, str]:
    marks = (cap.top, *cap.notches)
    last: PressError | None = None
    rod: tuple[float, tuple[Wedge, ...]] | None = None
    try:
        for depth, wedges in wedge_sets(cap, foldings, options, ctx):
            if options.model == "rod":
                rod = depth, wedges
                break
            try:
                pressed = press_cap(
                    cap.edge,
                    wedges,
                    marks=marks,
                    fixed_below=below,
                    size=float(options.mesh),
                    compression=options.compression,
                )
            except PressError as error:
                last = error
                if error.reason in _TRY_ROD:
                    rod = depth, wedges
                if error.reason in _TRY_LESS_DEEP:
                    continue
                break
            return depth, wedges, pressed, ""
        if rod is not None:
            depth, wedges = rod
            taken = Taken.of(wedges)
            bent = bend_rod(cap.edge, taken, marks=marks, fixed_below=below)
            return depth, wedges, bent, "" if last is None else str(last)
    except PressError as error:
        last = error
    assert last is not None
    raise _refusal(last)


def _refusal(error: PressError) -> Refusal:
    code = _CODES.get(error.reason, "cap.press")
    hint = _HINTS.get(code, "")
    if code == "cap.overlap":
        # What the geometry says counts along the whole edge; the trade counts from the shoulder.
        told = "the tucks lie on one another, on a notch, or in what is held in place"
        return Refusal(code, told, f"{hint} ({error})")
    return Refusal(code, str(error), hint or None)


def _shift(old: Curve, new: Curve, taken: Taken) -> float:
    """How far any point of the old edge lies from where it went, mm (tucks themselves aside)."""
    s = np.linspace(0.0, old.length, 400)
    keep = np.ones(len(s), dtype=bool)
    for a, b in zip(taken.starts, taken.ends, strict=True):
        keep &= (s <= a) | (s >= b)
    s = s[keep]
    gone = new.point_at(np.clip(taken.after(s), 0.0, new.length)) - old.point_at(s)
    return float(np.hypot(gone[:, 0], gone[:, 1]).max())
