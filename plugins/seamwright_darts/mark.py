"""Drawn darts made into darts."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
from msgspec import structs

from seamwright.findings import SeamwrightError
from seamwright.geometry import Curve, Station
from seamwright.model import Pattern, Piece, Shape
from seamwright.model.edit import (
    Part,
    contents_of,
    hold_names,
    part_between,
    release_names,
    renew,
    shape_of_parts,
)
from seamwright.model.marking import Dart, DrillHole, InternalLine
from seamwright.plan.grammar import parse_part
from seamwright.plan.runs import ResolvedPart
from seamwright.plan.spots import find_run
from seamwright.plugins.api import Angle, Context, StepResult

from . import codes
from .bench import Bench, marks_in_plan, refused, row
from .drawn import Lined, Vee, by_notches, lined, vees
from .options import MarkDarts

_NEARLY = 1.25  # times the widest angle: so much too wide it still looks like a dart
_FLAT = 20.0  # degrees; a flatter meeting of two edges is no corner


def mark(pattern: Pattern, options: MarkDarts, ctx: Context) -> StepResult:
    """Darts found in every shape and marked as such. See the page mark-darts."""
    bench = Bench(pattern, ctx)
    try:
        runs = [_run(pattern, text) for text in options.between]
    except SeamwrightError as error:
        return refused(pattern, error)
    looked = 0
    angle = Angle(_NEARLY * float(options.largest_angle))
    wider = structs.replace(options, largest_angle=angle)
    for piece in pattern.pieces:
        in_plan = marks_in_plan(pattern, piece.name)
        shapes = []
        for shape in piece.shapes:
            looked += 1
            before = {d.name for d in shape.darts}
            found = _fitting(bench, piece, shape, vees(shape, wider), options)
            new = _with_vees(bench, piece, shape, found, in_plan)
            new = _with_lines(new, _fitting(bench, piece, new, lined(new, wider), options))
            for run in runs:
                if run.part.piece == piece.name:
                    z = pattern.sizes.index(shape.size)
                    ends = (run.starts[z], run.ends[z])
                    if not run.forward:
                        ends = ends[::-1]
                    new = _by_notches(bench, piece, shape, new, (float(ends[0]), float(ends[1])))
            if new is not shape:
                new = _in_order(new)
            for dart in new.darts:
                if dart.name not in before:
                    bench.rows.append(row(piece, new, dart))
                    r = bench.rows[-1]
                    bench.tell(
                        codes.MARKED,
                        f'"{dart.name}": {r["angle"]:.1f} degrees, takes in '
                        f"{ctx.length(r['intake'])}",
                        piece, new, x=r["x"], y=r["y"], measured=r["intake"],
                    )  # fmt: skip
            shapes.append(new)
        _in_all_sizes(bench, piece, shapes)
        if any(a is not b for a, b in zip(shapes, piece.shapes, strict=True)):
            bench.pattern = bench.pattern.with_pieces([piece.but(shapes=tuple(shapes))])
    if any(f.code == codes.AMBIGUOUS.code for f in bench.findings):
        errors = tuple(f for f in bench.findings if f.code == codes.AMBIGUOUS.code)
        return StepResult(pattern=pattern, findings=errors, looked_at=looked)
    result = bench.result(pattern)
    return StepResult(
        pattern=result.pattern, findings=result.findings, looked_at=looked, figures=result.figures
    )


def _run(pattern: Pattern, text: str) -> ResolvedPart:
    try:
        return find_run(pattern, parse_part(text))
    except ValueError as error:
        raise SeamwrightError.of("spot.unreadable", str(error)) from None


def _fitting(
    bench: Bench, piece: Piece, shape: Shape, found: Sequence[Any], options: MarkDarts
) -> list[Any]:
    """Those that are narrow enough; of what is drawn like a dart and a little too wide for one it
    is said that it was left."""
    limit = float(options.largest_angle)
    for one in found:
        if one.angle > limit:
            bench.tell(
                codes.TOO_WIDE,
                f"a V of {one.angle:.1f} degrees was not marked: largest-angle is {limit:g}",
                piece, shape, x=one.apex[0], y=one.apex[1], measured=one.angle, limit=limit,
            )  # fmt: skip
    return [one for one in found if one.angle <= limit]


def _with_vees(
    bench: Bench, piece: Piece, shape: Shape, found: Sequence[Vee], in_plan: set[str]
) -> Shape:
    """The outline led straight across each V, which becomes a dart."""
    new = shape
    for k, vee in enumerate(found):
        named = _corner_at(shape, vee.point)
        if named in in_plan:
            bench.tell(
                codes.NAMED_POINT, f'the plan names "{named}", the point of a dart', piece, shape,
                x=vee.apex[0], y=vee.apex[1],
            )  # fmt: skip
            continue
        # Earlier Vs changed the lengths: find this one again by its points.
        points = shape.seam_line.point_at([vee.left, vee.right])
        left, right = new.seam_line.nearest(points).lengths
        new = _closed_vee(new, float(left), float(right), vee.apex, f"\0{k}", in_plan)
    if new is shape:
        return shape
    return bench.cut_line(piece, renew(new, shape))


def _closed_vee(
    shape: Shape, left: float, right: float, apex: tuple[float, float], name: str,
    in_plan: set[str],
) -> Shape:  # fmt: skip
    held = hold_names(shape)
    rest, legs = part_between(held, right, left), part_between(held, left, right)
    across = Curve.line(rest.curve.end, rest.curve.start)
    dart = Dart(name=name, left=Station(0, 0.0), right=Station(0, 1.0), apex=apex)
    bridge = Part(curve=across, darts=((0.0, across.length, dart),))
    # A mouth's end that hardly turns any more divides no edge, unless the plan counts on it.
    outline = (rest.curve.tangent_at(rest.curve.length), rest.curve.tangent_at(0.0))
    over = across.tangent_at(0.0)
    kept = []
    for at, corner in rest.corners:
        at_end = min(at, rest.curve.length - at) <= 1e-6
        turn = _turn(outline[0], over) if at > 1e-6 else _turn(over, outline[1])
        plain = str(corner).strip("\0")
        counted = plain.startswith("corner-") and plain not in in_plan
        if not (at_end and counted and abs(turn) <= _FLAT):
            kept.append((at, corner))
    # Notches on the legs have no place on the outline any more: they become drill holes.
    holes = tuple(
        DrillHole(at=_pair(legs.curve.point_at(at)), name=n.name.strip("\0"))
        for at, n in legs.notches
        if 1e-6 < at < legs.curve.length - 1e-6
    )
    contents = contents_of(held.but(drill_holes=held.drill_holes + holes))
    part = Part(
        curve=rest.curve, corners=tuple(kept), notches=rest.notches,
        grade_points=rest.grade_points, curve_points=rest.curve_points, darts=rest.darts,
    )  # fmt: skip
    made = shape_of_parts(held, [part, bridge], contents, new_corners=False)
    return release_names(made, shape)


def _with_lines(shape: Shape, drawn: Sequence[Lined]) -> Shape:
    """Inner lines that draw a dart made one."""
    known = [np.asarray(d.apex) for d in shape.darts]
    darts = list(shape.darts)
    gone: list[InternalLine] = []
    for k, found in enumerate(drawn):
        if any(float(np.hypot(*(np.asarray(found.apex) - p))) < 1.0 for p in known):
            continue
        darts.append(
            Dart(name=f"\0l{k}", left=found.left, right=found.right, apex=found.apex)
        )  # fmt: skip
        gone += found.lines
    if not gone:
        return shape
    kept = tuple(x for x in shape.internal_lines if not any(x is y for y in gone))
    return shape.but(darts=tuple(darts), internal_lines=kept)


def _by_notches(
    bench: Bench, piece: Piece, old: Shape, shape: Shape, marks: tuple[float, float]
) -> Shape:
    points = by_notches(old, marks)
    if len(points) != 1:
        bench.tell(
            codes.AMBIGUOUS, f"{len(points)} drill holes could be the dart's point", piece, shape
        )
        return shape
    near = shape.seam_line.nearest(old.seam_line.point_at(list(marks)))
    left, right = (
        Station(int(s), float(t)) for s, t in zip(near.segments, near.ts, strict=True)
    )  # fmt: skip
    name = f"\0n{marks[0]!r}"
    dart = Dart(name=name, left=left, right=right, apex=points[0])
    return shape.but(darts=(*shape.darts, dart))


def _in_order(shape: Shape) -> Shape:
    """Darts in outline order; the new ones take the free names dart-1, dart-2, ..."""
    seam = shape.seam_line
    darts = sorted(shape.darts, key=lambda d: seam.length_of(d.left))
    taken = {d.name for d in darts if not d.name.startswith("\0")}
    named, number = [], 0
    for dart in darts:
        if dart.name.startswith("\0"):
            number += 1
            while f"dart-{number}" in taken:
                number += 1
            dart = Dart(
                name=f"dart-{number}", left=dart.left, right=dart.right, apex=dart.apex
            )  # fmt: skip
        named.append(dart)
    return shape.but(darts=tuple(named))


def _in_all_sizes(bench: Bench, piece: Piece, shapes: Sequence[Shape]) -> None:
    names = dict.fromkeys(d.name for s in shapes for d in s.darts)
    for shape in shapes:
        lacking = [n for n in names if all(d.name != n for d in shape.darts)]
        if lacking:
            bench.tell(codes.NOT_ALL, f"{', '.join(lacking)}: there in other sizes", piece, shape)


def _corner_at(shape: Shape, at: float) -> str:
    for corner in shape.corners:
        if abs(float(shape.seam_line.cumulative[corner.station.segment]) - at) <= 1e-6:
            return corner.name
    return ""


def _turn(a: np.ndarray, b: np.ndarray) -> float:
    return float(np.degrees(np.arctan2(a[0] * b[1] - a[1] * b[0], a @ b)))


def _pair(p: np.ndarray) -> tuple[float, float]:
    return float(p[0]), float(p[1])
