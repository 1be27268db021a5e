"""What a user may ask of the shapes as they are read: an allowance, unfolding."""

from __future__ import annotations

from collections import Counter

from seamwright.geometry import GeometryError
from seamwright.model import SeamLineSource, Shape
from seamwright.model.edit.allowance import make_seam_line
from seamwright.plugins.api import Finding, Severity

from ..options import DxfIn
from .unfolding import CannotUnfold, unfolded


def finish(
    shapes: dict[int, Shape], options: DxfIn, names: list[str], findings: list[Finding]
) -> dict[int, Shape]:
    """The shapes with their seam lines made and half pieces unfolded, as asked."""
    out = dict(shapes)
    if options.unfold:
        _unfold(out, names, findings)
    if options.allowance is not None:
        _derive(out, float(options.allowance), names, findings)
    return out


def _unfold(shapes: dict[int, Shape], names: list[str], findings: list[Finding]) -> None:
    done: Counter[str] = Counter()
    for group, shape in shapes.items():
        if not shape.mirrored_half:
            continue
        try:
            shapes[group] = unfolded(shape)
            done[names[group]] += 1
        except CannotUnfold as why:
            findings.append(
                Finding(
                    code="fold.failed",
                    severity=Severity.WARNING,
                    message=f"the piece is not unfolded: {why}",
                    piece=names[group],
                    size=shape.size,
                    hint="look at its fold line",
                )
            )
    for name, count in done.items():
        graded = any(s.grade_points for g, s in shapes.items() if names[g] == name)
        findings.append(
            Finding(
                code="fold.unfolded",
                severity=Severity.NOTE,
                message=f"the half piece is unfolded in {count} sizes"
                + ("; its grade points stay on the drawn half" if graded else ""),
                piece=name,
                hint="grade it before it is unfolded" if graded else None,
            )
        )


def _derive(
    shapes: dict[int, Shape], allowance: float, names: list[str], findings: list[Finding]
) -> None:
    done = 0
    for group, shape in shapes.items():
        if shape.seam_line_source is not SeamLineSource.CUT_LINE or shape.cut_line is not None:
            continue
        try:
            shapes[group] = make_seam_line(shape, allowance)
            done += 1
        except (GeometryError, ValueError) as why:
            findings.append(
                Finding(
                    code="seam-line.failed",
                    severity=Severity.ERROR,
                    message=f"no seam line {allowance:g} mm inside the cut line: {why}",
                    piece=names[group],
                    size=shape.size,
                    limit=allowance,
                    hint="state a smaller allowance",
                )
            )
    if done:
        findings.append(
            Finding(
                code="seam-line.derived",
                severity=Severity.NOTE,
                message=f"{done} seam lines (counted in every size) are made {allowance:g} mm "
                "inside the cut lines, as stated",
                measured=float(done),
            )
        )
