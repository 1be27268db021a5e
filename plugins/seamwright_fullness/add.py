"""Fullness by slash and spread."""

from __future__ import annotations

from typing import Any

import numpy as np

from seamwright.findings import SeamwrightError
from seamwright.geometry import Curve, FloatArray, GeometryError
from seamwright.model import InternalKind, Notch, Pattern, Piece, Shape
from seamwright.model.edit import renew, spread_apart, transform
from seamwright.model.numbering import number_notches
from seamwright.plan.grammar import parse_part
from seamwright.plan.runs import ResolvedPart
from seamwright.plan.spots import Spot, find_run, spot_lengths
from seamwright.plugins.api import Context, StepResult

from . import codes
from .blend import OpenedEdge, blended
from .options import AddFullness
from .telling import Telling


def add(pattern: Pattern, options: AddFullness, ctx: Context) -> StepResult:
    """See the page add-fullness. Common practice, no source; that strips move rigidly and the
    openings are trapezia is plane geometry."""
    telling = Telling(ctx)
    try:
        hinge, opens = _run(pattern, options.hinge), _run(pattern, options.opens)
        if hinge.part.piece != opens.part.piece:
            raise SeamwrightError.of(
                codes.REFUSED.code, "both edges must be of one piece", piece=opens.part.piece,
                hint="a slash runs through one piece",
            )  # fmt: skip
        piece = pattern.piece(hinge.part.piece)
        shares = np.arange(1, options.slashes + 1) / (options.slashes + 1)
        starts, ends = (_places(pattern, run, shares) for run in (hinge, opens))
    except SeamwrightError as error:
        return StepResult(pattern=pattern, findings=(error.finding, *error.others))
    shapes = []
    for shape in piece.shapes:
        z = pattern.sizes.index(shape.size)
        try:
            places = starts[:, z], ends[:, z]
            shapes.append(_spread(telling, piece, shape, places, (hinge, opens), options))
        except GeometryError as error:
            telling.tell(codes.REFUSED, str(error), piece, shape)
    return telling.result(pattern, piece, shapes, "spread")


def _run(pattern: Pattern, text: str) -> ResolvedPart:
    try:
        part = parse_part(text)
    except ValueError as error:
        raise SeamwrightError.of("spot.unreadable", str(error)) from None
    return find_run(pattern, part)


def _places(pattern: Pattern, run: ResolvedPart, shares: FloatArray) -> FloatArray:
    """Where shares of a run lie, (n, Z) along the seam line."""
    spots = [Spot(piece=run.part.piece, marks=run.part.marks, share=float(s)) for s in shares]
    return np.stack([spot_lengths(pattern, spot) for spot in spots])


def _spread(
    telling: Telling,
    piece: Piece,
    shape: Shape,
    places: tuple[FloatArray, FloatArray],
    runs: tuple[ResolvedPart, ResolvedPart],
    options: AddFullness,
) -> Shape:
    if not np.isfinite(np.concatenate(places)).all():
        raise GeometryError("a mark is missing in this size")
    seam = shape.seam_line
    n = options.slashes
    share = 1.0 if options.each else 1.0 / n
    openings = (float(options.at_hinge) * share, float(options.amount) * share)
    froms, tos = seam.point_at(places[0]), seam.point_at(places[1])
    for points, opening in zip((froms, tos), openings, strict=True):
        if opening and _on_fold(shape, points):
            raise GeometryError(
                "a slash would open the fold, and the piece be no half any more: unfold it with "
                "make-whole first, or slash from another edge"
            )
    slashes = [Curve.line(a, b) for a, b in zip(froms, tos, strict=True)]
    for k in range(n - 1):
        if len(slashes[k].intersections(slashes[k + 1]).own):
            raise GeometryError("the slashes cross: begin both runs at the same side of the piece")
    # What lies to a slash's left moves, so the first is the one with nothing to its left.
    numbers = list(range(n)) if runs[0].forward else list(reversed(range(n)))
    spread = spread_apart(shape, [slashes[k] for k in numbers], [openings] * n)
    new = _back(shape, spread.shape)
    figures: dict[str, Any] = {
        "piece": piece.name, "size": shape.size, "slashes": n,
        "opened_each": openings[1], "opened_each_at_hinge": openings[0],
        "turned_degrees": float(np.abs(spread.degrees).sum()),
        "area_before": seam.area,
    }  # fmt: skip
    opened = [
        (run, name, spans, cuts)
        for run, name, spans, cuts in zip(
            runs, ("hinge", "opens"), (spread.starts, spread.ends), places, strict=True
        )
        if float(np.ptp(spans, axis=1).max()) > 1e-9
    ]
    for run, name in zip(runs, ("hinge", "opens"), strict=True):
        figures[f"{name}_before"] = _length(shape, run)
        figures[f"{name}_spread"] = _length(new, run)
    if options.gathers:
        for _, name, spans, _ in opened:
            new = _with_gathers(new, name, spans)
    if options.edge == "smooth":
        new, figures["edge_moved"] = blended(
            shape,
            new,
            [
                OpenedEdge(old=_ends(shape, run), new=_ends(new, run), cuts=cuts, spans=spans)
                for run, _, spans, cuts in opened
            ],
        )
    for run, name in zip(runs, ("hinge", "opens"), strict=True):
        figures[f"{name}_after"] = _length(new, run)
        figures[f"{name}_ratio"] = figures[f"{name}_after"] / figures[f"{name}_before"]
    figures["area_after"] = new.seam_line.area
    telling.rows.append(figures)
    return telling.cut_line(piece, renew(new, shape))


def _on_fold(shape: Shape, points: FloatArray) -> bool:
    """Whether a point lies on a fold line."""
    return any(
        float(line.curve.nearest(points).distances.min()) < 0.05
        for line in shape.internal_lines
        if line.kind is InternalKind.FOLD
    )


def _back(old: Shape, new: Shape) -> Shape:
    """The spread piece laid so that the strip with the grain line is where it was."""
    if old.grain_line is None or new.grain_line is None:
        return new
    was, now = (
        np.array([line.start, line.end]) @ np.array([1.0, 1.0j])
        for line in (old.grain_line, new.grain_line)
    )
    if float(np.abs(was - now).max()) <= 1e-9:
        return new
    turn = (was[1] - was[0]) / (now[1] - now[0])
    turn /= abs(turn)
    shift = was[0] - turn * now[0]
    matrix = [[turn.real, -turn.imag, shift.real], [turn.imag, turn.real, shift.imag]]
    return transform(new, matrix).but(grain_line=old.grain_line)


def _ends(shape: Shape, run: ResolvedPart) -> tuple[float, float]:
    """Where a run begins and ends on a seam line, mm, in outline order."""
    marks = (run.part.marks[0], run.part.marks[-1])
    known = {n.name: n.station for n in shape.notches} | {c.name: c.station for c in shape.corners}
    lost = [m for m in marks if m not in known]
    if lost:
        raise GeometryError(f'the run\'s end "{lost[0]}" must be a corner or notch by its name')
    a, b = (shape.seam_line.length_of(known[m]) for m in marks)
    return (a, b) if run.forward else (b, a)


def _length(shape: Shape, run: ResolvedPart) -> float:
    a, b = _ends(shape, run)
    return float((b - a) % shape.seam_line.length)


def _with_gathers(shape: Shape, name: str, spans: FloatArray) -> Shape:
    """Two notches where the fullness of an edge begins and ends: beside its outermost openings."""
    seam = shape.seam_line
    order = np.argsort(spans[:, 0])
    gaps = np.diff(spans[order, 0], append=spans[order[0], 0] + seam.length)
    first = int((gaps.argmax() + 1) % len(order))
    places = float(spans[order[first], 0]), float(spans[order[first - 1], 1])
    taken = {n.name for n in shape.notches}
    added = []
    for what, at in zip(("start", "end"), places, strict=True):
        label, number = f"gathers-{name}-{what}", 2
        while label in taken:
            label, number = f"gathers-{name}-{what}-{number}", number + 1
        added.append(Notch(name=label, station=seam.station_at(at % seam.length)))
    return shape.but(notches=number_notches([*shape.notches, *added], seam, shape.cut_line))
