"""Darts checked: legs, point, angle, the edge across the fold, the mouth's shape."""

from __future__ import annotations

from typing import Any

import numpy as np

from seamwright.geometry import Curve, FloatArray, GeometryError
from seamwright.model import Pattern, Piece, Shape
from seamwright.model.edit import mouth_curve, with_legs_equal
from seamwright.model.marking import Dart
from seamwright.plugins.api import Context, StepResult

from . import codes
from .bench import Bench
from .fold_shape import fold_shape
from .measures import measures
from .options import CheckDarts, Pressed
from .pressing import under_which

_CORNER = 45.0  # degrees; an edge that turns more across a dart has a corner there


def check(pattern: Pattern, options: CheckDarts, ctx: Context) -> StepResult:
    """See the page check-darts. All darts of all pieces and sizes are measured as one array."""
    bench = Bench(pattern, ctx)
    found = [(p, s, d) for p in pattern.pieces for s in p.shapes for d in s.darts]
    if not found:
        return StepResult(
            pattern=pattern, skipped="no piece has a dart that is marked as one: run mark-darts"
        )
    m = measures([(s, d) for _, s, d in found])
    for k, (piece, shape, dart) in enumerate(found):
        where = {"x": dart.apex[0], "y": dart.apex[1]}
        one: dict[str, Any] = {
            "piece": piece.name, "size": shape.size, "dart": dart.name,
            "leg_left": float(m.legs[k, 0]), "leg_right": float(m.legs[k, 1]),
            "angle": float(m.angles[k]), "intake": float(m.intakes[k]),
            "mouth": float(m.mouths[k]), "kink": float(m.kinks[k]),
            # 2 r sin(a / 2), what an equal-legged dart of that angle takes in.
            "intake_of_angle": float(
                2.0 * m.legs[k].mean() * np.sin(np.radians(m.angles[k]) / 2.0)
            ),
        }  # fmt: skip
        bench.rows.append(one)
        if not _inside(shape, dart, m.ends[k]) or not 0.0 < m.angles[k] < 180.0:
            bench.tell(
                codes.OUTSIDE, f'the point or a leg of "{dart.name}" leaves the piece',
                piece, shape, **where,
            )  # fmt: skip
            continue
        apart = float(abs(m.legs[k, 0] - m.legs[k, 1]))
        if apart > float(options.legs):
            bench.tell(
                codes.LEGS, f'the legs of "{dart.name}" differ by {ctx.length(apart)}',
                piece, shape, measured=apart, limit=float(options.legs), **where,
            )  # fmt: skip
        if m.angles[k] > float(options.widest):
            bench.tell(
                codes.WIDE, f'"{dart.name}" is {m.angles[k]:.1f} degrees wide',
                piece, shape, measured=float(m.angles[k]), limit=float(options.widest), **where,
            )  # fmt: skip
        kink = float(abs(m.kinks[k]))
        if float(options.kink) < kink <= _CORNER:
            bench.tell(
                codes.KINK,
                f'the edge turns by {kink:.1f} degrees across "{dart.name}" when it is folded',
                piece, shape, measured=kink, limit=float(options.kink), **where,
            )  # fmt: skip
        if options.pressed != "not":
            _mouth(bench, piece, shape, dart, options, options.pressed, one)
    # A check tells everything: one dart's fault hides no other's.
    return StepResult(
        pattern=pattern,
        findings=tuple(bench.findings),
        looked_at=len(bench.rows),
        figures={"darts": bench.rows},
    )


def _inside(shape: Shape, dart: Dart, ends: FloatArray) -> bool:
    """Whether both legs run inside the piece."""
    seam = shape.seam_line
    for end in ends:
        leg = Curve.line(end, dart.apex)
        if leg.length < 1e-6 or (seam.intersections(leg).others > 1e-4).any():
            return False
    # Across the mouth, from left to right, the piece lies to the left of travel. Its chord tells
    # that; the mouth itself may have a jog in the middle, where a dart is pressed open.
    across = ends[1] - ends[0]
    out = np.asarray(dart.apex) - 0.5 * (ends[0] + ends[1])
    return bool(across[0] * out[1] - across[1] * out[0] > 0.0)


def _mouth(
    bench: Bench, piece: Piece, shape: Shape, dart: Dart, options: CheckDarts, pressed: Pressed,
    one: dict[str, Any],
) -> None:  # fmt: skip
    equal, _ = with_legs_equal(shape, dart)
    try:
        under = under_which(shape, equal, pressed, None)
        wanted = fold_shape(shape, equal, under)
    except GeometryError as error:
        bench.tell(
            codes.MOUTH, f'the mouth of "{dart.name}" cannot be judged: {error}', piece, shape
        )
        return
    drawn = mouth_curve(shape, dart)
    off = max(
        float(drawn.nearest(wanted.flatten(0.02)).distances.max()),
        float(wanted.nearest(drawn.flatten(0.02)).distances.max()),
    )
    one["mouth_off"] = off
    if off > float(options.mouth):
        bench.tell(
            codes.MOUTH, f'the mouth of "{dart.name}" is {bench.ctx.length(off)} from the fold',
            piece, shape, measured=off, limit=float(options.mouth),
        )  # fmt: skip
