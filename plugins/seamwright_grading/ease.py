"""Ease of every seam over all sizes: jumps from one size to the next, drift over all."""

from __future__ import annotations

import numpy as np

from seamwright.model import Pattern
from seamwright.plan import walk
from seamwright.plugins.api import Context, Finding, Severity

from .options import CheckNest


def ease_over_sizes(
    pattern: Pattern, options: CheckNest, ctx: Context, findings: list[Finding]
) -> int:
    """Findings nest.ease-step and nest.ease-drift; how many seams were looked at."""
    if not pattern.seams:
        return 0
    found = walk(pattern)
    ease = found.ease
    step = np.diff(ease, axis=1)
    looked = 0
    for s, seam in enumerate(found.seams):
        known = np.flatnonzero(np.isfinite(ease[s]))
        if known.size < 2:
            continue
        looked += 1
        for z in np.flatnonzero(np.abs(step[s]) > float(options.ease_step)).tolist():
            size, before = found.sizes[z + 1], found.sizes[z]
            findings.append(
                Finding(
                    code="nest.ease-step",
                    severity=Severity.WARNING,
                    message=f"from {before} to {size} the ease changes by "
                    f"{ctx.length(float(step[s, z]))}, from {ctx.length(float(ease[s, z]))} to "
                    f"{ctx.length(float(ease[s, z + 1]))}",
                    seam=seam.name,
                    size=size,
                    measured=float(step[s, z]),
                    limit=float(options.ease_step),
                    hint="look at the two edges in these sizes",
                )
            )
        values = ease[s, known]
        drift = float(values.max() - values.min())
        if drift > float(options.ease_drift):
            low, high = known[int(values.argmin())], known[int(values.argmax())]
            findings.append(
                Finding(
                    code="nest.ease-drift",
                    severity=Severity.WARNING,
                    message=f"the ease runs from {ctx.length(float(values.min()))} in "
                    f"{found.sizes[low]} to {ctx.length(float(values.max()))} in "
                    f"{found.sizes[high]}",
                    seam=seam.name,
                    measured=drift,
                    limit=float(options.ease_drift),
                    hint="let both sides grow alike, or state the range of ease in the plan",
                )
            )
    return looked
