"""A dart dissolved: its intake becomes fullness of the edge between two notches."""

from __future__ import annotations

import numpy as np

from seamwright.findings import SeamwrightError
from seamwright.geometry import CUBIC, Curve, GeometryError
from seamwright.geometry.simple import crosses_itself
from seamwright.model import Notch, Pattern, Piece, Shape
from seamwright.model.edit import renew, replace_runs, wedge_of
from seamwright.model.edit.replace_run import Replacement
from seamwright.model.marking import Dart
from seamwright.model.numbering import number_notches
from seamwright.plan import walk
from seamwright.plugins.api import Context, StepResult

from . import codes
from .bench import Bench, refused, row
from .options import DartToEase


def to_ease(pattern: Pattern, options: DartToEase, ctx: Context) -> StepResult:
    """See the page dart-to-ease."""
    return _dissolved(pattern, options, ctx, "ease")


def to_gathers(pattern: Pattern, options: DartToEase, ctx: Context) -> StepResult:
    """See the page dart-to-gathers."""
    return _dissolved(pattern, options, ctx, "gathers")


def _dissolved(pattern: Pattern, options: DartToEase, ctx: Context, what: str) -> StepResult:
    bench = Bench(pattern, ctx)
    try:
        piece, name = bench.named(options.dart)
    except SeamwrightError as error:
        return refused(pattern, error)

    def change(shape: Shape, dart: Dart, _: int) -> Shape:
        return _without(bench, piece, shape, dart, options, what)

    bench.each(piece, name, change)
    result = bench.result(pattern)
    if result.pattern is pattern or not pattern.seams:
        return result
    was, now = walk(pattern), walk(result.pattern)
    seams = []
    for s, seam in enumerate(was.seams):
        grown = np.maximum(
            np.abs(now.sew_lengths[s] - was.sew_lengths[s]),
            np.abs(now.to_lengths[s] - was.to_lengths[s]),
        )
        for z, size in enumerate(was.sizes):
            if grown[z] > 1e-6:
                seams.append(
                    {
                        "seam": seam.name, "size": size, "grown": float(grown[z]),
                        "ease_before": float(was.ease[s, z]), "ease_after": float(now.ease[s, z]),
                    }
                )  # fmt: skip
    return StepResult(
        pattern=result.pattern,
        findings=result.findings,
        looked_at=result.looked_at,
        figures={**result.figures, "seams": seams},
    )


def _without(
    bench: Bench, piece: Piece, shape: Shape, dart: Dart, options: DartToEase, what: str
) -> Shape:
    seam = shape.seam_line
    w = wedge_of(shape, dart)
    reach = float(options.reach)
    left, right = seam.length_of(dart.left), seam.length_of(dart.right)
    start, end = left - reach, right + reach
    _clear(shape, dart, start, reach, w.mouth)
    figures = row(piece, shape, dart)
    new = shape.but(darts=tuple(d for d in shape.darts if d is not dart))
    stations = [seam.station_at(x % seam.length) for x in (start, end)]
    if options.smooth and reach > 0.0:
        curve = _smooth(seam, start, end)
        done = replace_runs(new, [Replacement(start=stations[0], end=stations[1], curve=curve)])
        new, stations = done.shape, [done.move(s) for s in stations]
        if crosses_itself(new.seam_line):
            raise GeometryError("the smoothed edge would cross the outline")
        flat = curve.length
    else:
        flat = w.mouth + 2.0 * reach
    taken = {n.name for n in shape.notches} | {c.name for c in shape.corners}
    names = []
    for end_name in ("start", "end"):
        name, number = f"{what}-{end_name}", 2
        while name in taken:
            name, number = f"{what}-{end_name}-{number}", number + 1
        taken.add(name)
        names.append(name)
    added = [Notch(name=n, station=s) for n, s in zip(names, stations, strict=True)]
    new = new.but(notches=number_notches([*new.notches, *added], new.seam_line, new.cut_line))
    finished = 2.0 * reach
    amount = flat - finished
    share = amount / finished if finished else float("inf")
    bench.rows.append(
        {
            **figures, "from": names[0], "to": names[1], "flat": flat, "finished": finished,
            "fullness": amount, "ratio": flat / finished if finished else None,
        }
    )  # fmt: skip
    bench.tell(
        codes.EASED,
        f'"{dart.name}" became {bench.ctx.length(amount)} of {what} between "{names[0]}" and '
        f'"{names[1]}"',
        piece, shape, measured=amount,
    )  # fmt: skip
    if what == "ease" and share > options.most:
        bench.tell(
            codes.MUCH,
            f"{bench.ctx.length(amount)} of ease in a finished {bench.ctx.length(finished)}",
            piece, shape, measured=amount, limit=options.most * finished,
        )  # fmt: skip
    return bench.cut_line(piece, renew(new, shape))


def _clear(shape: Shape, dart: Dart, start: float, reach: float, mouth: float) -> None:
    """Raises GeometryError where a corner or another dart lies in the stretch."""
    seam = shape.seam_line
    whole = seam.length
    if mouth + 2.0 * reach > 0.9 * whole:
        raise GeometryError("the stretch goes round the whole piece: give a shorter reach")
    for corner in shape.corners:
        gone = (float(seam.cumulative[corner.station.segment]) - start) % whole
        beside = gone < reach - 1e-6 or reach + mouth + 1e-6 < gone < 2.0 * reach + mouth - 1e-6
        if gone > 1e-6 and beside:
            raise GeometryError(f'corner "{corner.name}" lies within the reach: give a shorter one')
    for other in shape.darts:
        if other is dart:
            continue
        for station in (other.left, other.right):
            gone = (seam.length_of(station) - start) % whole
            if gone < mouth + 2.0 * reach:
                raise GeometryError(
                    f'dart "{other.name}" lies within the reach: give a shorter one'
                )


def _smooth(seam: Curve, start: float, end: float) -> Curve:
    """One cubic with the ends and tangents of a stretch (handles a third of the chord long:
    Hermite's cubic)."""
    stretch = seam.part(start % seam.length, end % seam.length)
    a, b = stretch.start, stretch.end
    # The tangents outside the stretch, so that the edge runs on.
    ta, tb = stretch.tangent_at(0.0), stretch.tangent_at(stretch.length)
    third = float(np.hypot(*(b - a))) / 3.0
    segment = np.array([[a, a + third * ta, b - third * tb, b]])
    return Curve.from_segments(segment, [CUBIC])
