"""Is the cut line where the stated allowance puts it?"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np

from seamwright.geometry import Curve, FloatArray
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
    looked = 0
    for piece in pattern.pieces:
        for shape in piece.shapes:
            if shape.cut_line is None or not shape.allowances:
                continue
            looked += 1
            edges = shape.edges
            curves = [shape.edge_curve(i) for i in range(len(edges))]
            share = np.linspace(0.15, 0.85, _SAMPLES)
            off = _off(shape, curves, share)
            for edge, width, found in zip(edges, shape.allowances, off, strict=True):
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
        looked_at=looked,
        skipped="" if looked else "no shape has both a cut line and stated allowances",
        figures={"edges": rows},
    )


def _off(shape: Shape, curves: Sequence[Curve], share: FloatArray) -> FloatArray:
    """How much wider than stated the allowance is (edges, places), mm; narrower below 0.

    Looked for from where the cut line ought to be, not from the seam line: beside a deep hem's
    end the neighbouring edge's cut line is nearer to the seam line than the hem's own.
    """
    assert shape.cut_line is not None
    widths = np.repeat(shape.allowances, len(share))[:, None]
    outward = []
    places = []
    for curve in curves:
        stations = [curve.station_at(float(s)) for s in share * curve.length]
        along = curve.tangents_of([s.segment for s in stations], [s.t for s in stations])
        outward.append(np.stack((along[:, 1], -along[:, 0]), axis=1))
        places.append(curve.point_at(share * curve.length))
    out = np.concatenate(outward)
    stated = np.concatenate(places) + widths * out
    near = shape.cut_line.nearest(stated)
    wider = np.sum((near.points - stated) * out, axis=1) >= 0.0
    return np.asarray(np.where(wider, 1.0, -1.0) * near.distances).reshape(len(curves), -1)
