"""The armhole deeper or higher, the sleeve following; and the shoulder's slope."""

from __future__ import annotations

import numpy as np

from seamwright.findings import SeamwrightError
from seamwright.geometry import Curve, FloatArray, GeometryError
from seamwright.model import Pattern, Shape
from seamwright.plan import Cap, cap_of, walk
from seamwright.plugins.api import Context, StepResult

from . import codes
from .armhole import Armhole, rebuilt, shortened, with_ends
from .bodice import over_armholes, with_shapes
from .follow import followed
from .marks import on_seam_line
from .options import AlterArmhole, AlterShoulderSlope
from .result import finding
from .roots import root
from .sleeve import NoCornerError, sleeve_of

_STEEP = 0.7  # of the shoulder seam: by more than that its tip cannot lie lower than the neck


def alter_armhole(pattern: Pattern, options: AlterArmhole, ctx: Context) -> StepResult:
    """See the page alter-armhole. Lowering the underarm point along the side seam and the sleeve's
    along its own by as much is common practice, no source; the maps are plane geometry."""
    amount = float(options.amount)

    def redraw(holes: dict[str, Armhole]) -> dict[str, Shape]:
        made = {}
        for side, hole in holes.items():
            seam = shortened(hole.side, amount)
            edge = with_ends(hole.edge, seam.end, hole.edge.end, hole.down)
            made[side] = rebuilt(hole, seam, edge)
        return made

    def sleeve(before: Pattern, after: Pattern, cap: Cap) -> Pattern:
        return _sleeve(before, after, cap, amount)

    return over_armholes(
        pattern, ctx, redraw, sleeve=sleeve if options.sleeve == "follows" else None
    )


def _sleeve(before: Pattern, after: Pattern, cap: Cap, amount: float) -> Pattern:
    """The sleeve in all sizes: each half longer by what its armhole gained, its notches farther
    from the underarm by as much as their partners."""
    now = cap_of(after, sleeve=cap.sleeve)
    was, then = walk(before), walk(after)
    new: dict[tuple[str, str], Shape] = {}
    for shape in before.piece(cap.sleeve).shapes:
        z = before.sizes.index(shape.size)
        lengths, knots = [], []
        for half, half_now in zip(cap.halves, now.halves, strict=True):
            lengths.append(float(half.lengths[z] + half_now.to_lengths[z] - half.to_lengths[z]))
            rows = np.flatnonzero(was.pair_seams == was.number(half.seam.name))
            at = was.pair_sew[rows, z]
            moved = then.pair_to[rows, z] - was.pair_to[rows, z]
            fine = np.isfinite(at + moved) & (at > 1e-6) & (at < half.lengths[z] - 1e-6)
            order = np.argsort(at[fine])
            knots.append(list(zip(at[fine][order], (at + moved)[fine][order], strict=True)))
        try:
            own = sleeve_of(cap, on_seam_line(shape), z)
            if not own.back_first:
                lengths.reverse()
                knots.reverse()
            new[cap.sleeve, shape.size] = followed(
                own, amount, (lengths[0], lengths[1]), (knots[0], knots[1])
            )
        except NoCornerError as error:
            raise SeamwrightError(
                finding(codes.NO_CORNER, f'"{error}" is no corner', cap.sleeve, shape.size)
            ) from None
        except GeometryError as error:
            raise SeamwrightError(
                finding(codes.NO_ARMHOLE, str(error), cap.sleeve, shape.size)
            ) from None
    return with_shapes(after, new)


def alter_shoulder_slope(pattern: Pattern, options: AlterShoulderSlope, ctx: Context) -> StepResult:
    """See the page alter-shoulder-slope. The shoulder seam is turned about its neck end until the
    shoulder point lies lower by the amount (measured along the side seam's direction); common
    practice, no source."""
    amount = float(options.amount)

    def redraw(holes: dict[str, Armhole]) -> dict[str, Shape]:
        shoulders = {side: _turned(hole, amount) for side, hole in holes.items()}
        if options.armhole == "shoulder only":
            return {side: _drawn(hole, shoulders[side], 0.0)[2] for side, hole in holes.items()}

        def too_long(d: float) -> float:
            return sum(
                _curves(hole, shoulders[side], d, 0.0)[1].length - hole.edge.length
                for side, hole in holes.items()
            )

        down = root(too_long, amount, "the armhole cannot keep its length")
        made = {}
        for side, hole in holes.items():
            shoulder = shoulders[side]

            def off(bow: float, hole: Armhole = hole, shoulder: Curve = shoulder) -> float:
                return _curves(hole, shoulder, down, bow)[1].length - hole.edge.length

            bow = root(off, 0.01, "the armhole cannot keep its length")
            if abs(bow) > 0.25:
                raise GeometryError("the armhole cannot keep its length in a likely shape")
            made[side] = _drawn(hole, shoulder, down, bow)[2]
        return made

    return over_armholes(pattern, ctx, redraw)


def _turned(hole: Armhole, amount: float) -> Curve:
    """The shoulder seam turned about its far end so that its armhole end moves down by `amount`."""
    arm = hole.shoulder.start - hole.shoulder.end
    down = hole.down
    side = np.array([-down[1], down[0]])
    reach = float(np.hypot(*arm))
    along = float(arm @ down) + amount
    if abs(along) >= _STEEP * reach:
        raise GeometryError("the shoulder seam is too short to be turned so far")
    across = float(np.copysign(np.sqrt(reach**2 - along**2), arm @ side))
    new = along * down + across * side
    z = complex(*new) / complex(*arm)
    rotation = np.array([[z.real, -z.imag], [z.imag, z.real]])
    pivot = hole.shoulder.end
    made = hole.shoulder.transformed(np.column_stack((rotation, pivot - rotation @ pivot)))
    segments = np.array(made.segments)
    segments[-1, 3] = pivot
    return Curve.from_segments(segments, made.kinds)


def _curves(
    hole: Armhole, shoulder: Curve, down: float, bow: float
) -> tuple[Curve, Curve, FloatArray]:
    side = shortened(hole.side, down)
    edge = with_ends(hole.edge, side.end, shoulder.start, hole.down, bow)
    return side, edge, shoulder.start


def _drawn(
    hole: Armhole, shoulder: Curve, down: float, bow: float = 0.0
) -> tuple[Curve, Curve, Shape]:
    side, edge, _ = _curves(hole, shoulder, down, bow)
    return side, edge, rebuilt(hole, side, edge, shoulder)
