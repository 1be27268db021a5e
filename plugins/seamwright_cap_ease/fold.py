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
    press_cap,
)
from seamwright.geometry.press.refit import edge_to_curves
from seamwright.geometry.press.rod import bend_rod
from seamwright.paper import Side
from seamwright.plugins.api import Context

from .edge import CapEdge
from .options import EaseCap
from .refusal import Refusal
from .smooth import smoothed
from .wedges import Foldings, wedge_sets

# Refusals of the sheet after which other wedges, less deep, may still do.
_TRY_LESS_DEEP = ("overlap", "apex", "mesh")
# Refusals that lie in the sheet's arithmetic, not in what was asked of it: the rod may do.
_TRY_ROD = ("mesh", "solve")

_A_HALF = 3  # segments; more do not bring the smooth edge nearer to the pressed one
_SHARP = 20.0  # degrees
_NARROWEST = 8.0  # mm between joints

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
    "cap.too-deep": "a tuck or a hinge must end above the bicep line, inside the cap: give a "
    "smaller depth, or a place nearer to the shoulder point",
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
    held     mm of the edge that stayed where it was, at its start and at its end
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
    """The cap with tucks folded out. held: mm up from each underarm point that stay in place.

    Raises Refusal when it cannot be done.
    """
    below = (held.get(cap.first, 0.0), held.get(cap.second, 0.0))
    depth, wedges, pressed, instead = _pressed(cap, foldings, options, below, ctx)
    top = float(pressed.taken.after(cap.top))
    as_pressed = pressed.points
    try:
        if pressed.model == "sheet":
            pressed = smoothed(pressed, cap.edge, (top,))
        joints = _joints(pressed, cap.edge, top)
        smooth = edge_to_curves(pressed, cap.edge, split=(top,), joints=joints)
    except PressError as error:
        raise _refusal(error) from None
    return Folded(
        curve=smooth.curve,
        taken=pressed.taken,
        wedges=wedges,
        depth=depth,
        strain=pressed.strain,
        model=pressed.model,
        instead=instead,
        held=below,
        shift=_shift(cap.edge, smooth.curve, pressed.taken),
        trued=float(smooth.curve.nearest(as_pressed).distances.max()),
    )


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


def _joints(pressed: PressedEdge, edge: Curve, top: float) -> FloatArray:
    """Lengths along the new edge where its segments meet: as many in every size, evenly in each
    half, and at the sharp corners that the edge had."""
    low, high = pressed.held[0], pressed.length - pressed.held[1]
    sharp = pressed.taken.after(edge.cumulative[edge.corner_segments(_SHARP)])
    fixed = np.array([low, top, high, *sharp[(sharp > low) & (sharp < high)]])
    even = np.concatenate([np.linspace(a, b, _A_HALF + 1) for a, b in ((low, top), (top, high))])
    apart = np.abs(even[:, None] - fixed).min(axis=1)
    return np.unique(np.concatenate([fixed, even[apart > _NARROWEST]]))


def _refusal(error: PressError) -> Refusal:
    code = _CODES.get(error.reason, "cap.press")
    return Refusal(code, str(error), _HINTS.get(code))


def _shift(old: Curve, new: Curve, taken: Taken) -> float:
    """How far any point of the old edge lies from where it went, mm (tucks themselves aside)."""
    s = np.linspace(0.0, old.length, 400)
    keep = np.ones(len(s), dtype=bool)
    for a, b in zip(taken.starts, taken.ends, strict=True):
        keep &= (s <= a) | (s >= b)
    s = s[keep]
    gone = new.point_at(np.clip(taken.after(s), 0.0, new.length)) - old.point_at(s)
    return float(np.hypot(gone[:, 0], gone[:, 1]).max())
