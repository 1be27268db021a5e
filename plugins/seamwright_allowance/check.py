"""Is the cut line where the stated allowance puts it?"""

from __future__ import annotations

from typing import Any

import numpy as np

from seamwright.model import Pattern
from seamwright.plugins.api import Context, Finding, StepResult

from . import codes
from .options import CheckAllowance

_SAMPLES = 16


def check(pattern: Pattern, options: CheckAllowance, ctx: Context) -> StepResult:
    """Measures, for every edge with an allowance, how far the cut line is from the seam line.

    Square out from each edge, away from its ends, where the corners' finishes come in.
    """
    findings: list[Finding] = []
    rows: list[dict[str, Any]] = []
    looked = 0
    for piece in pattern.pieces:
        for shape in piece.shapes:
            if shape.cut_line is None or not shape.allowances:
                continue
            looked += 1
            edges = shape.edges
            curves = [shape.edge_curve(i) for i in range(len(edges))]
            share = np.linspace(0.15, 0.85, _SAMPLES)
            places = np.concatenate([c.point_at(share * c.length) for c in curves])
            distances = shape.cut_line.nearest(places).distances.reshape(len(curves), -1)
            for edge, width, found in zip(edges, shape.allowances, distances, strict=True):
                off = found - width
                worst = float(off[np.argmax(np.abs(off))])
                rows.append(
                    {
                        "piece": piece.name,
                        "size": shape.size,
                        "edge": edge.name,
                        "allowance": float(width),
                        "off": worst,
                    }
                )
                if abs(worst) > options.tolerance:
                    findings.append(
                        Finding(
                            code=codes.OFF.code,
                            severity=codes.OFF.severity,
                            message=f"the cut line is {ctx.length(width + worst)} from the seam "
                            f"line where {ctx.length(width)} are stated",
                            piece=piece.name,
                            size=shape.size,
                            edge=edge.name,
                            measured=float(width + worst),
                            limit=float(options.tolerance),
                            hint=codes.OFF.remedy,
                        )
                    )
    return StepResult(
        pattern=pattern,
        findings=tuple(findings),
        looked_at=looked,
        skipped="" if looked else "no shape has both a cut line and stated allowances",
        figures={"edges": rows},
    )
