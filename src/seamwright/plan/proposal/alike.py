"""Styles that are alike: the same pieces with as many corners and notches share one plan."""

from __future__ import annotations

import numpy as np

from seamwright.model import Pattern, Shape
from seamwright.model.measure import measure
from seamwright.model.seam import Run, RunPart, Seam
from seamwright.units import format_length

from .kinds import Level, Proposal


def same_marks(one: Pattern, other: Pattern) -> bool:
    """Whether a plan for the one names all marks of the other, each on the same kind of place:
    pieces of the same names with as many corners, and notches on the same edges."""
    a, b = (_leads(p) for p in (one, other))
    return a.keys() == b.keys() and all(_layout(a[k]) == _layout(b[k]) for k in a)


def differences(
    one: tuple[Pattern, Proposal], other: tuple[Pattern, Proposal], *, units: str = "mm"
) -> list[str]:
    """What differs between two styles that share a plan, in plain words."""
    (p, found), (q, theirs) = one, other
    out = []
    if p.sizes != q.sizes:
        out.append(f"sizes {', '.join(q.sizes)} instead of {', '.join(p.sizes)}")
    a, b = _leads(p), _leads(q)
    for name in a:
        d = np.array([y.length - x.length for x, y in zip(a[name].edges, b[name].edges,
                      strict=True)])  # fmt: skip
        k = int(np.abs(d).argmax())
        if abs(d[k]) >= 0.5:
            more = "longer" if d[k] > 0 else "shorter"
            out.append(
                f"{name}: edges differ, most of all {b[name].edges[k].name}, "
                f"{format_length(round(abs(float(d[k])), 1), units)} {more}"
            )
    surely = (
        {_key(s) for s in (*pattern.seams, *f.at_least(Level.LIKELY))}
        for pattern, f in ((p, found), (q, theirs))
    )
    mine, your = surely
    out += [f"here not seen: {a} = {b}" for a, b in sorted(mine - your)]
    out += [f"only seen here: {a} = {b}" for a, b in sorted(your - mine)]
    return out


def _key(seam: Seam) -> tuple[str, str]:
    """The same for a seam however it is walked, and whichever side it begins on."""
    ways = [
        tuple(sorted((str(a), str(b))))
        for a, b in ((seam.sew, seam.to), (_turned(seam.sew), _turned(seam.to)))
    ]
    one, other = min(ways)
    return one, other


def _turned(run: Run) -> Run:
    return Run(
        parts=tuple(RunPart(piece=p.piece, marks=p.marks[::-1]) for p in reversed(run.parts))
    )


def _leads(pattern: Pattern) -> dict[str, Shape]:
    return {p.name: s for p in pattern.pieces for s in p.shapes if s.size == pattern.base_size}


def _layout(shape: Shape) -> tuple[int, tuple[int, ...]]:
    """How many corners, and the edge that each notch lies on."""
    own = measure([shape])[0]
    on = np.searchsorted(own.corners, own.notches + 1e-6, side="right") - 1
    return len(shape.corners), tuple(int(k) for k in on)
