"""Is the cut line where the stated allowance puts it?"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np

from seamwright.geometry import FloatArray, measure_together
from seamwright.geometry.together import nearest_on_each, places_along
from seamwright.model import Pattern, Shape
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
    found_on = [
        (piece, shape)
        for piece in pattern.pieces
        for shape in piece.shapes
        if shape.cut_line is not None and shape.allowances
    ]
    measure_together([shape.seam_line for _, shape in found_on])
    for (piece, shape), off in zip(found_on, _off([s for _, s in found_on]), strict=True):
        for edge, width, found in zip(shape.edges, shape.allowances, off, strict=True):
            worst = float(found[np.argmax(np.abs(found))])
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
        looked_at=len(found_on),
        skipped="" if found_on else "no shape has both a cut line and stated allowances",
        figures={"edges": rows},
    )


def _off(shapes: Sequence[Shape]) -> list[FloatArray]:
    """How much wider than stated the allowance is on each shape (edges, places), mm; narrower
    below 0.

    Looked for from where the cut line ought to be, not from the seam line: beside a deep hem's
    end the neighbouring edge's cut line is nearer to the seam line than the hem's own.
    """
    if not shapes:
        return []
    curves = [[s.edge_curve(i) for i in range(len(s.corners) or 1)] for s in shapes]
    counts = [len(edges) for edges in curves]
    share = np.linspace(0.15, 0.85, _SAMPLES)
    points, along = places_along([e for edges in curves for e in edges], share)
    out = np.stack((along[..., 1], -along[..., 0]), axis=-1)
    widths = np.array([w for s in shapes for w in s.allowances])[:, None, None]
    stated = points + widths * out
    feet, far = nearest_on_each(
        [s.cut_line for s in shapes if s.cut_line is not None],
        stated.reshape(-1, 2),
        np.repeat(np.arange(len(shapes)), np.array(counts) * _SAMPLES),
    )
    wider = np.sum((feet.reshape(stated.shape) - stated) * out, axis=-1) >= 0.0
    off = np.where(wider, 1.0, -1.0) * far.reshape(wider.shape)
    return np.split(off, np.cumsum(counts)[:-1])
