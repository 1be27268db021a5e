"""The check's figures as rows: lengths in mm, a seam in a size each."""

from __future__ import annotations

from collections import defaultdict
from typing import Any

import numpy as np

from seamwright.geometry import FloatArray
from seamwright.plan import Walk

_WORDS = {0: "ok", 1: "over", -1: "under"}

Row = dict[str, Any]


def seam_rows(
    found: Walk,
    low: FloatArray,
    high: FloatArray,
    verdicts: np.ndarray[tuple[int, ...], np.dtype[np.int8]],
) -> list[Row]:
    """One row for each seam in each size that was measured, in the plan's order."""
    parts: defaultdict[int, list[int]] = defaultdict(list)
    for t, s in enumerate(found.stretch_seams.tolist()):
        parts[s].append(t)
    sew, to, ease = (a.tolist() for a in (found.sew_lengths, found.to_lengths, found.ease))
    part_sew, part_to, part_ease = (
        a.tolist() for a in (found.stretch_sew, found.stretch_to, found.stretch_ease)
    )
    known = np.isfinite(found.ease)
    lows, highs, words = low.tolist(), high.tolist(), verdicts.tolist()
    return [
        {
            "name": found.seams[s].name,
            "size": found.sizes[z],
            "sew_length": sew[s][z],
            "to_length": to[s][z],
            "ease": ease[s][z],
            "at_least": lows[s],
            "at_most": highs[s],
            "verdict": _WORDS[words[s][z]],
            "stretches": [
                {
                    "from": found.stretch_names[t][0],
                    "to": found.stretch_names[t][1],
                    "sew_length": _known(part_sew[t][z]),
                    "to_length": _known(part_to[t][z]),
                    "ease": _known(part_ease[t][z]),
                }
                for t in parts[s]
            ],
        }
        for s, z in np.argwhere(known).tolist()
    ]


def pair_rows(found: Walk) -> list[Row]:
    """One row for each pair of notches in each size in which both were found."""
    sew, to, miss, spread = (
        a.tolist() for a in (found.pair_sew, found.pair_to, found.miss, found.spread_miss)
    )
    known = np.isfinite(found.miss)
    return [
        {
            "seam": found.seams[int(found.pair_seams[n])].name,
            "size": found.sizes[z],
            "sew": found.pair_names[n][0],
            "to": found.pair_names[n][1],
            "sew_at": sew[n][z],
            "to_at": to[n][z],
            "miss": miss[n][z],
            "spread_miss": _known(spread[n][z]),
        }
        for n, z in np.argwhere(known).tolist()
    ]


def cap_rows(found: Walk) -> list[Row]:
    """Ease of each sleeve's cap in each size: back, front and total; None where not known."""
    sleeves: dict[str, dict[str, int]] = {}
    for s, seam in enumerate(found.seams):
        if seam.cap is not None:
            sleeves.setdefault(seam.sew.pieces[0], {}).setdefault(seam.cap, s)
    ease = found.ease
    out = []
    for sleeve, halves in sleeves.items():
        for z, size in enumerate(found.sizes):
            back, front = (
                _known(float(ease[halves[side], z])) if side in halves else None
                for side in ("back", "front")
            )
            if back is None and front is None:
                continue
            total = None if back is None or front is None else back + front
            out.append(
                {"sleeve": sleeve, "size": size, "back": back, "front": front, "total": total}
            )
    return out


def _known(value: float) -> float | None:
    """A figure, or None where there is none: JSON has no NaN."""
    return value if value == value else None
