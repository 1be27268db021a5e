"""refit-run and polyline-to-curves: lines drawn anew with few cubics."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np

from seamwright.findings import SeamwrightError
from seamwright.geometry import LINE, Curve, GeometryError, Station, fit_cubics
from seamwright.geometry.simple import crosses_itself
from seamwright.model import LineRole, Pattern, Piece, Shape
from seamwright.model.edit import Replacement, follow_cut_line, renew, replace_runs
from seamwright.plugins.api import Code, Context, Finding, StepResult

from . import codes
from .combs import comb_row
from .fitting import apart, directions, fit, is_break
from .options import PolylineToCurves, RefitRun
from .stretches import Stretch, Wanted

_FEW = 3  # where no run is named, edges of so few curves are left as they are
_LENGTH = 0.05  # mm; a line whose length changes by more is told


@dataclass(slots=True)
class _Work:
    ctx: Context
    tolerance: float
    corners_above: float
    combs: bool
    by: str  # "run" or "piece": what one finding is about
    rows: list[dict[str, Any]] = field(default_factory=list)
    combs_rows: list[dict[str, Any]] = field(default_factory=list)
    findings: list[Finding] = field(default_factory=list)
    looked_at: int = 0


def refit_run(pattern: Pattern, options: RefitRun, ctx: Context) -> StepResult:
    """See the page refit-run."""
    try:
        wanted = Wanted(pattern, options.run)
    except SeamwrightError as error:
        return StepResult(
            pattern=pattern, findings=(error.finding, *error.others), skipped="a run is not there"
        )
    work = _Work(
        ctx,
        float(options.tolerance),
        float(options.corners_above),
        options.combs,
        "run" if options.run else "piece",
    )
    return _all(pattern, work, lambda piece, shape: _redrawn(piece, shape, wanted, work, None))


def polyline_to_curves(pattern: Pattern, options: PolylineToCurves, ctx: Context) -> StepResult:
    """See the page polyline-to-curves."""
    try:
        wanted = Wanted(pattern, options.piece)
    except SeamwrightError as error:
        return StepResult(
            pattern=pattern, findings=(error.finding, *error.others), skipped="a piece is not there"
        )
    work = _Work(
        ctx, float(options.tolerance), float(options.corners_above), options.combs, "piece"
    )
    return _all(
        pattern, work, lambda piece, shape: _redrawn(piece, shape, wanted, work, _is_polyline)
    )


def _is_polyline(curve: Curve) -> bool:
    return curve.n > 1 and bool((curve.kinds == LINE).all())


def _all(pattern: Pattern, work: _Work, change: Callable[[Piece, Shape], Shape]) -> StepResult:
    try:
        changed = pattern.map_shapes(change)
    except GeometryError as error:
        refused = _finding(codes.SHAPE, str(error))
        return StepResult(pattern=pattern, findings=(refused,), skipped="nothing was altered")
    _tell(pattern, work)
    if changed is pattern and not work.findings:
        edges = "edge" if work.looked_at == 1 else "edges"
        work.findings.append(
            _finding(codes.NOTHING, f"{work.looked_at} {edges} looked at: none takes fewer curves")
        )
    figures: dict[str, Any] = {"runs": work.rows}
    if work.combs_rows:
        figures["combs"] = work.combs_rows
    return StepResult(
        pattern=changed,
        findings=tuple(work.findings),
        looked_at=work.looked_at,
        skipped="" if work.looked_at else "no size has the run",
        figures=figures,
    )


def _redrawn(
    piece: Piece, shape: Shape, wanted: Wanted, work: _Work, only: Callable[[Curve], bool] | None
) -> Shape:
    seam = shape.seam_line
    replacements: list[Replacement] = []
    windows: list[tuple[float, float]] = []
    before: list[Curve] = []
    after: list[Curve] = []
    for stretch in wanted.of(piece.name, shape):
        if not shape.corners and stretch.end - stretch.start >= seam.length:
            stretch = replace(stretch, end=0.0)
        old = seam.part(stretch.start, stretch.end)
        work.looked_at += 1
        if only is not None and not only(old):
            continue
        if only is None and work.by == "piece" and old.n <= _FEW:
            continue
        new = _fitted(seam, old, stretch, work)
        if new is None:
            continue
        replacements.append(
            Replacement(
                start=seam.station_at(stretch.start), end=seam.station_at(stretch.end), curve=new[0]
            )
        )
        windows.append((stretch.start, stretch.end))
        before.append(old)
        after.append(new[0])
        work.rows.append(
            {
                "run": stretch.name,
                "piece": piece.name,
                "size": shape.size,
                "curves_before": old.n,
                "curves_after": new[0].n,
                "largest_shift": new[1],
                "length_before": old.length,
                "length_after": new[0].length,
            }
        )
    cut_line = _cut_line_redrawn(shape, work) if only is not None else None
    if not replacements and cut_line is None:
        return shape
    new_shape = shape
    if replacements:
        replaced = replace_runs(shape, replacements)
        if crosses_itself(replaced.shape.seam_line):
            raise GeometryError(f"{piece.name}, size {shape.size}: the outline would cross itself")
        new_shape = replaced.shape
        if shape.cut_line is not None and cut_line is None:
            # The seam line moved by no more than the tolerance: a cut line that ran parallel
            # still does to that; only one drawn from curves is drawn anew.
            new_shape = _with_cut_line(piece, shape, new_shape, replaced, windows, work)
        if work.combs:
            work.combs_rows.append(comb_row(piece.name, shape.size, "before", before))
            work.combs_rows.append(comb_row(piece.name, shape.size, "after", after))
    return new_shape if cut_line is None else _on_cut_line(new_shape, shape, cut_line)


def _fitted(seam: Curve, old: Curve, stretch: Stretch, work: _Work) -> tuple[Curve, float] | None:
    above = work.corners_above
    _, start = directions(seam, stretch.start, above)
    end, _ = directions(seam, stretch.end, above)
    # A polyline's chord at a sharp corner says little about the curve's direction there.
    found = fit(
        old,
        work.tolerance,
        corners_above=above,
        start=None if is_break(seam, stretch.start, above) else start,
        end=None if is_break(seam, stretch.end, above) else end,
    )
    return None if found is None else (found.curve, found.apart)


def _with_cut_line(
    piece: Piece, old: Shape, new: Shape, replaced: Any, windows: list[tuple[float, float]],
    work: _Work,
) -> Shape:  # fmt: skip
    followed = follow_cut_line(old, replaced, windows)
    if followed.fits:
        return followed.shape
    renewed = renew(followed.shape, old)
    if renewed.cut_line == "dropped":
        work.findings.append(
            _finding(
                codes.CUT_LINE,
                f"{piece.name}, size {old.size}: the cut line did not run parallel and was taken "
                "away",
                piece=piece.name, size=old.size,
            )
        )  # fmt: skip
    elif renewed.mitred:
        work.findings.append(
            _finding(
                codes.MITRED, f"{piece.name}, size {old.size}: {renewed.said}",
                piece=piece.name, size=old.size,
            )
        )  # fmt: skip
    return renewed.shape


def _cut_line_redrawn(shape: Shape, work: _Work) -> Curve | None:
    """The polyline of a cut line as curves."""
    line = shape.cut_line
    if line is None or not _is_polyline(line):
        return None
    live = line.segment_lengths > 1e-9
    points = line.joints[live]
    try:
        new = fit_cubics(points, work.tolerance, closed=True, threshold_degrees=work.corners_above)
    except GeometryError:
        return None
    return new if new.n < line.n else None


def _on_cut_line(new: Shape, old: Shape, cut_line: Curve) -> Shape:
    """With a new cut line, and what counts on it laid on the nearest place."""
    assert old.cut_line is not None
    before = old.cut_line

    def put(station: Station) -> Station:
        near = cut_line.nearest(before.point_of(station)[None])
        return Station(int(near.segments[0]), float(near.ts[0]))

    return new.but(
        cut_line=cut_line,
        notches=tuple(
            replace(n, station=put(n.station)) if n.line is LineRole.CUT else n for n in new.notches
        ),
        grade_points=tuple(
            replace(g, station=put(g.station))
            if g.station is not None and g.line is LineRole.CUT
            else g
            for g in new.grade_points
        ),
    )


def _tell(pattern: Pattern, work: _Work) -> None:
    """One finding for each run (or piece) over all sizes."""
    for run in dict.fromkeys(row[work.by] for row in work.rows):
        own = [row for row in work.rows if row[work.by] == run]
        most = max(own, key=lambda row: float(row["largest_shift"]))
        change = np.array([row["length_after"] - row["length_before"] for row in own])
        worst = own[int(np.argmax(np.abs(change)))]
        by = float(change[np.argmax(np.abs(change))])
        counts = (sum(row[key] for row in own) for key in ("curves_before", "curves_after"))
        sizes = len({row["size"] for row in own})
        some = "" if len(pattern.sizes) == 1 else f" in {sizes} sizes"
        work.findings.append(
            _finding(
                codes.REFITTED,
                f"{run}: {' -> '.join(str(c) for c in counts)} curves{some}; the line moved by "
                f"{_exact(most['largest_shift'])} at most, its length by {_exact(by)}",
                piece=most["piece"], size=most["size"], edge=most["run"],
                measured=most["largest_shift"], limit=work.tolerance,
            )
        )  # fmt: skip
        if abs(by) > _LENGTH:
            work.findings.append(
                _finding(
                    codes.LENGTH,
                    f"{worst['run']}: {'longer' if by > 0 else 'shorter'} by "
                    f"{work.ctx.length(abs(by))}"
                    + ("" if len(pattern.sizes) == 1 else f", most in size {worst['size']}"),
                    piece=worst["piece"], size=worst["size"], edge=worst["run"],
                    measured=by, limit=_LENGTH,
                )
            )  # fmt: skip


def _exact(mm: float) -> str:
    """Small lengths to a hundredth: no ruler's unit shows them."""
    return f"{mm:.2f} mm" if abs(mm) >= 0.005 else "less than 0.01 mm"


def _finding(code: Code, message: str, **fields: Any) -> Finding:
    return Finding(
        code=code.code, severity=code.severity, message=message, hint=code.remedy, **fields
    )


__all__ = ["apart", "polyline_to_curves", "refit_run"]
