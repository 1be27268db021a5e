"""From tucks on paper to wedges in the sheet: how deep, hinged where, and none in another's way."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from itertools import combinations

import numpy as np

from seamwright.geometry import FloatArray
from seamwright.geometry.press import PressError, Wedge, equal_sided_wedge, slash_wedge
from seamwright.paper import DEPTH, Folding, Side, Tuck, about
from seamwright.plugins.api import Context

from .edge import CapEdge
from .options import EaseCap
from .refusal import Refusal

Foldings = Mapping[Side, Folding]

_LESS_DEEP = 0.87  # each try after one that would not fit
_SHALLOWEST = 14.0  # mm
FOOT_CLEAR = 5.0  # mm; no apex may lie nearer to the bicep line
_OFF_FOOT = 6.0  # mm; an apex stays this far above the bicep line when we choose its depth
_SLANT = 0.55  # sine of the slant (33 degrees) up to which a hinge in the middle is kept
_BETWEEN = 2.0  # mm; wedges keep this apart inside the piece when we choose their depth


def wedge_sets(
    cap: CapEdge, foldings: Foldings, options: EaseCap, ctx: Context
) -> Iterator[tuple[float, tuple[Wedge, ...]]]:
    """Depth and wedges to try, deepest first; one set only where the user chose the depth."""
    if options.manner == "slash":
        depth, wedges = _slashes(cap, foldings, options)
        _above_foot(cap, wedges, ctx)
        yield depth, wedges
        return
    if options.depth is not None:
        wedges = _tucks(cap, foldings, float(options.depth))
        _above_foot(cap, wedges, ctx)
        yield float(options.depth), wedges
        return
    depth, refused = DEPTH, None
    found = False
    while depth >= _SHALLOWEST:
        try:
            wedges = _tucks(cap, foldings, depth)
        except PressError as error:
            refused = error
        else:
            if _have_room(cap, wedges):
                found = True
                yield depth, wedges
        depth *= _LESS_DEEP
    if not found:
        if refused is not None:
            raise refused
        raise Refusal(
            "cap.too-deep",
            f"no tuck of {_SHALLOWEST:g} mm depth or more fits in above the bicep line beside the "
            "others",
            "a cap this low is better redrawn lower than folded",
        )


def _places(cap: CapEdge, foldings: Foldings) -> Iterator[tuple[Side, int, Tuck]]:
    for side, folding in foldings.items():
        for number, tuck in enumerate(folding.tucks):
            yield side, number, tuck


def _tucks(cap: CapEdge, foldings: Foldings, depth: float) -> tuple[Wedge, ...]:
    return tuple(
        equal_sided_wedge(
            cap.edge, at=cap.along(side, tuck.at), width=tuck.width, depth=depth, inward=1
        )
        for side, _, tuck in _places(cap, foldings)
    )


def _slashes(cap: CapEdge, foldings: Foldings, options: EaseCap) -> tuple[float, tuple[Wedge, ...]]:
    shoulder, up = cap.shoulder, cap.upward
    below = 0.5 * cap.height(shoulder) if options.hinge_below is None else options.hinge_below
    # Along the bicep line, towards the underarm of the half that is met first.
    outward = (cap.edge.start - cap.edge.end) / cap.bicep
    wedges = []
    for side, number, tuck in _places(cap, foldings):
        sign = 1.0 if side == cap.first else -1.0
        aside = sign * float(options.hinge_apart) * (0.5 + number)
        hinge = shoulder - float(below) * up + aside * outward
        at = cap.along(side, tuck.at)
        if options.hinge_below is None:
            hinge = _less_slant(cap, at, hinge)
        wedges.append(slash_wedge(cap.edge, at=at, width=tuck.width, hinge=hinge))
    return float(below), tuple(wedges)


def _less_slant(cap: CapEdge, at: float, hinge: FloatArray) -> FloatArray:
    """The hinge, moved towards what lies square under the cut where it would meet the edge
    slantwise: such a cut leaves a long jog."""
    place, tangent = cap.edge.point_at(at), cap.edge.tangent_at(at)
    square: FloatArray = place + float(np.hypot(*(hinge - place))) * cap.edge.normal_at(at)
    for share in np.linspace(0.0, 1.0, 21):
        moved: FloatArray = hinge + float(share) * (square - hinge)
        way = place - moved
        if abs(float(way @ tangent)) <= _SLANT * float(np.hypot(*way)):
            return moved
    return square


def _above_foot(cap: CapEdge, wedges: Sequence[Wedge], ctx: Context) -> None:
    """Refuses a tuck or cut that would end at or below the bicep line."""
    for wedge in wedges:
        height = cap.height(wedge.apex)
        if height >= FOOT_CLEAR:
            continue
        middle = 0.5 * (wedge.start + wedge.end)
        side = cap.first if middle < cap.top else cap.second
        where = f"{ctx.length(abs(height))} {'above' if height > 0 else 'below'} the bicep line"
        raise Refusal(
            "cap.too-deep",
            f"{side}: the tuck {about(abs(middle - cap.top), ctx.units)} down the cap would end "
            f"{where}",
            f"every fold must end at least {ctx.length(FOOT_CLEAR)} above it, or the sleeve gets "
            "narrower: give a smaller depth, or a place nearer to the shoulder point",
            seam=side,
            measured=height,
            limit=FOOT_CLEAR,
            x=float(wedge.apex[0]),
            y=float(wedge.apex[1]),
        )


def _have_room(cap: CapEdge, wedges: Sequence[Wedge]) -> bool:
    """Whether all apexes stay well above the bicep line and no two wedges come near each other."""
    if any(cap.height(w.apex) < _OFF_FOOT for w in wedges):
        return False
    import shapely  # noqa: PLC0415 - heavy, and needed only here

    outlines = [
        shapely.LineString(np.stack([cap.edge.point_at(w.start), w.apex, cap.edge.point_at(w.end)]))
        for w in wedges
    ]
    return all(shapely.distance(a, b) > _BETWEEN for a, b in combinations(outlines, 2))
