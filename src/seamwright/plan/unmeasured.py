"""What a walk could not measure, and why."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from seamwright.findings import Finding, Severity
from seamwright.geometry import FloatArray, IntArray
from seamwright.model import Pattern, Seam

from .places import Places
from .runs import Lost, Parts


def unmeasured_seams(
    pattern: Pattern,
    where: Places,
    seams: Sequence[Seam],
    found: Parts,
    lost: Sequence[Lost | None],
    first: IntArray,
    sew: FloatArray,
    to: FloatArray,
) -> list[Finding]:
    out: list[Finding] = []
    bad = np.flatnonzero((np.isnan(sew) | np.isnan(to)).any(axis=1))
    for s in bad.tolist():
        seam = seams[s]
        start = int(first[2 * s])
        span = range(start, start + len(seam.sew.parts) + len(seam.to.parts))
        reasons = list(dict.fromkeys(lost[q] for q in span if lost[q] is not None))
        if reasons:
            out += [
                Finding(
                    code="seam.not-measured",
                    severity=Severity.ERROR,
                    message=f'seam "{seam.name}" was not walked: {reason.message}',
                    seam=seam.name,
                    piece=reason.piece,
                    hint=reason.hint,
                )
                for reason in reasons
                if reason is not None
            ]
            continue
        for z in np.flatnonzero(np.isnan(sew[s]) | np.isnan(to[s])):
            q = next(q for q in span if np.isnan(found.lengths[q, z]))
            part = found.parts[q]
            gone = np.isnan(where.outline[where.pieces[part.piece], z])
            what = (
                f'piece "{part.piece}" is missing'
                if gone
                else f'piece "{part.piece}" lacks a mark of "{part}"'
            )
            out.append(
                Finding(
                    code="seam.not-measured",
                    severity=Severity.WARNING,
                    message=(
                        f'seam "{seam.name}" was not walked in size {pattern.sizes[z]}: {what}'
                    ),
                    seam=seam.name,
                    piece=part.piece,
                    size=pattern.sizes[z],
                )
            )
    return out


def unmeasured_pairs(
    pattern: Pattern,
    pair_seams: IntArray,
    names: Sequence[tuple[str, str]],
    pair_sew: FloatArray,
    pair_to: FloatArray,
    sew: FloatArray,
    to: FloatArray,
) -> list[Finding]:
    """Pairs without a place in sizes in which their seam was walked."""
    walked = np.isfinite(sew) & np.isfinite(to)
    gone = (np.isnan(pair_sew) | np.isnan(pair_to)) & walked[pair_seams]
    return [
        Finding(
            code="notch.not-measured",
            severity=Severity.WARNING,
            message=(
                f'the pair "{names[n][0]} = {names[n][1]}" was not compared in size '
                f"{pattern.sizes[z]}: one of the two is missing there or not on its run"
            ),
            seam=pattern.seams[pair_seams[n]].name,
            size=pattern.sizes[z],
        )
        for n, z in np.argwhere(gone)
    ]
