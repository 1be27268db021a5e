"""check-smooth: bumps, waves, jumps of the bend and kinks inside edges."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from seamwright.findings import SeamwrightError
from seamwright.geometry import LINE, Curve
from seamwright.model import Pattern
from seamwright.plugins.api import Code, Context, Finding, StepResult

from . import codes
from .bends import Bends, bends_of
from .combs import comb_row
from .options import CheckSmooth
from .stretches import Wanted


@dataclass(frozen=True, slots=True, eq=False)
class _Looked:
    """Stretches of all shapes: run, piece and size of each, and its curve."""

    names: list[tuple[str, str, str]]
    curves: list[Curve]


def check(pattern: Pattern, options: CheckSmooth, ctx: Context) -> StepResult:
    """See the page check-smooth."""
    try:
        wanted = Wanted(pattern, options.run)
    except SeamwrightError as error:
        return StepResult(
            pattern=pattern, findings=(error.finding, *error.others), skipped="a run is not there"
        )
    looked = _Looked([], [])
    polylines: dict[str, int] = {}
    combs: list[dict[str, Any]] = []
    for piece in pattern.pieces:
        for shape in piece.shapes:
            own = []
            for stretch in wanted.of(piece.name, shape):
                whole = stretch.end - stretch.start >= shape.seam_line.length
                curve = shape.seam_line.part(stretch.start, 0.0 if whole else stretch.end)
                if curve.n > 3 and bool((curve.kinds == LINE).all()):
                    polylines[piece.name] = polylines.get(piece.name, 0) + 1
                    continue
                looked.names.append((stretch.name, piece.name, shape.size))
                looked.curves.append(curve)
                own.append(curve)
            if options.combs and own:
                combs.append(comb_row(piece.name, shape.size, "after", own))
    bends = bends_of(looked.curves, kink=float(options.kink), wave=float(options.wave))
    findings = _findings(pattern, options, looked, bends, ctx)
    for name, count in polylines.items():
        edges = "edge is a polyline" if count == 1 else "edges are polylines"
        findings.append(_finding(codes.POLYLINE, f"{name}: {count} {edges}", piece=name))
    figures: dict[str, Any] = {"runs": _rows(looked, bends)}
    if combs:
        figures["combs"] = combs
    return StepResult(
        pattern=pattern,
        findings=tuple(findings),
        looked_at=len(looked.curves),
        skipped="" if looked.curves else "there are only polylines" if polylines else "no run",
        figures=figures,
    )


def _rows(looked: _Looked, bends: Bends) -> list[dict[str, Any]]:
    return [
        {
            "run": run,
            "size": size,
            "inflections": int(bends.inflections[i]),
            "waves": int(bends.waves[i]),
            "largest_kink": float(bends.kinks[i]),
            "largest_jump": float(bends.jumps[i]),
        }
        for i, (run, _, size) in enumerate(looked.names)
    ]


def _findings(
    pattern: Pattern, options: CheckSmooth, looked: _Looked, bends: Bends, ctx: Context
) -> list[Finding]:
    """One for each run and fault, over all sizes."""
    faults: list[tuple[Code, Any, float, str]] = [
        (codes.KINK, bends.kinks, float(options.kink), "a break of {:.1f} degrees"),
        (codes.WAVE, bends.waves, 0.0, "{:.0f} short stretches that bend against both neighbours"),
        (
            codes.INFLECTIONS,
            bends.inflections,
            float(options.inflections),
            "the bend changes sides {:.0f} times",
        ),
        (codes.JUMP, bends.jumps, options.jump, "the bend jumps by {:.3f} per mm"),
    ]
    rows: dict[str, list[int]] = {}
    for i, (run, _, _) in enumerate(looked.names):
        rows.setdefault(run, []).append(i)
    out: list[Finding] = []
    for run, some in rows.items():
        piece = looked.names[some[0]][1]
        for code, values, limit, text in faults:
            own = np.asarray(values, dtype=np.float64)[some]
            bad = own > limit
            if not bad.any():
                continue
            worst = some[int(np.argmax(own))]
            measured = float(own.max())
            said = text.format(measured)
            if code is codes.WAVE and measured == 1.0:
                said = "a short stretch that bends against both neighbours"
            size = looked.names[worst][2]
            where = _where(pattern.sizes, int(bad.sum()), size)
            x, y = bends.places[code.code][worst]
            out.append(
                _finding(
                    code, f"{run}: {said}{where}", piece=piece, size=size, edge=run, x=float(x),
                    y=float(y), measured=measured, limit=limit,
                )
            )  # fmt: skip
    return out


def _where(sizes: Sequence[str], count: int, worst: str) -> str:
    if len(sizes) == 1:
        return ""
    return f", in {count} of {len(sizes)} sizes, most in {worst}"


def _finding(code: Code, message: str, **fields: Any) -> Finding:
    return Finding(
        code=code.code, severity=code.severity, message=message, hint=code.remedy, **fields
    )
