"""Closing the boundary of each piece, whatever the file drew it with."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from seamwright.geometry import LINE, line_segments
from seamwright.plugins.api import Finding, Severity

from ..drawing.strokes import Strokes
from .joining import JoinWishes, join_loose, merged
from .layers import BOUNDARY, SEW
from .measures import areas_of, lengths_of

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]

_SEAM_SHARE = 0.5
"""A closed sew line that encloses this share of the boundary's area is the piece's seam line;
smaller ones are stitching inside it (common practice, no source)."""


@dataclass(slots=True)
class Boundaries:
    """Strokes after joining, with the standard's layer number of each (role); for each group the
    stroke that is its boundary and the one that is its seam line (-1 where there is none)."""

    strokes: Strokes
    role: IntArray
    boundary: IntArray
    seam: IntArray
    findings: list[Finding]


def close_boundaries(
    strokes: Strokes, role: IntArray, groups: int, *, wishes: JoinWishes, names: list[str],
    seam_layers: dict[int, int],
) -> Boundaries:  # fmt: skip
    """Join what is open on layers 1 and 14, then choose boundary and seam line of each group.

    role (S,): the standard's layer number of each stroke, -1 for others. seam_layers: group ->
    layer of its seam line, where the file says so (0: it has none).
    """
    findings: list[Finding] = []
    strokes, role = joined_layers(strokes, role, wishes, names, findings)
    area = np.abs(areas_of(strokes))
    boundary = _largest(strokes, (role == BOUNDARY) & strokes.closed, area, groups)
    for group in np.flatnonzero(boundary < 0).tolist():
        strokes, role, fixed = _without(strokes, role, area, group, names[group], findings)
        if fixed:
            area = np.abs(areas_of(strokes))
            boundary = _largest(strokes, (role == BOUNDARY) & strokes.closed, area, groups)
    seam = _largest(strokes, (role == SEW) & strokes.closed, area, groups)
    _only_seams(strokes, seam, boundary, area, seam_layers)
    return Boundaries(strokes, role, boundary, seam, findings)


def _largest(strokes: Strokes, mask: NDArray[np.bool_], area: FloatArray, groups: int) -> IntArray:
    out = np.full(groups, -1, dtype=np.int64)
    at = np.flatnonzero(mask)
    # Ascending area: the last writer of each group is its largest; the first drawn of equals.
    order = at[np.lexsort((-at, area[at]))]
    out[strokes.group[order]] = order
    return out


def joined_layers(
    strokes: Strokes, role: IntArray, wishes: JoinWishes, names: list[str], findings: list[Finding]
) -> tuple[Strokes, IntArray]:
    """Open strokes of layers 1 and 14 joined end to end; closed ones and others as they are."""
    loose = np.flatnonzero(((role == BOUNDARY) | (role == SEW)) & ~strokes.closed)
    if not loose.size:
        return strokes, role
    part = strokes.picked(loose)
    made, key = join_loose(
        part, (part.group + 1) * 32 + role[loose], wishes,
        lambda g: names[g] if 0 <= g < len(names) else None, findings,
    )  # fmt: skip
    rest = np.setdiff1d(np.arange(strokes.n), loose)
    both = merged(strokes.picked(rest), made)
    roles = np.concatenate((role[rest], key % 32))
    order = np.lexsort((both.row, both.group))
    return both.picked(order), roles[order]


def _without(
    strokes: Strokes, role: IntArray, area: FloatArray, group: int, name: str,
    findings: list[Finding],
) -> tuple[Strokes, IntArray, bool]:  # fmt: skip
    """A group without a closed boundary: close its longest open one, or take another outline."""
    here = strokes.group == group
    open_ones = np.flatnonzero(here & (role == BOUNDARY))
    role = role.copy()
    if open_ones.size:
        longest = int(open_ones[np.argmax(lengths_of(strokes.picked(open_ones)))])
        a, b = int(strokes.offsets[longest]), int(strokes.offsets[longest + 1])
        start, end = strokes.segments[a, 0], strokes.segments[b - 1, 3]
        if b - a >= 2:
            gap = float(np.hypot(*(end - start)))
            findings.append(
                Finding(
                    code="outline.open",
                    severity=Severity.ERROR,
                    message=f"the boundary does not close: its ends are {gap:.3f} mm apart; a "
                    "straight line is put between them",
                    piece=name,
                    x=float(end[0]),
                    y=float(end[1]),
                    related=((float(start[0]), float(start[1])),),
                    measured=gap,
                    repaired=True,
                    hint="mend the drawing; do not cut from this outline",
                )
            )
            return _closed_straight(strokes, longest), role, True
    others = np.flatnonzero(here & strokes.closed)
    if others.size:
        chosen = int(others[np.argmax(area[others])])
        findings.append(
            Finding(
                code="outline.other-layer",
                severity=Severity.WARNING,
                message="no boundary stands on layer 1; the largest closed line (on another "
                "layer) is taken for it",
                piece=name,
                hint="look at the picture of the piece before you trust it",
            )
        )
        role[chosen] = BOUNDARY
        return strokes, role, True
    return strokes, role, False


def _closed_straight(strokes: Strokes, stroke: int) -> Strokes:
    a, b = int(strokes.offsets[stroke]), int(strokes.offsets[stroke + 1])
    bridge = line_segments(strokes.segments[b - 1 : b, 3], strokes.segments[a : a + 1, 0])
    offsets = strokes.offsets.copy()
    offsets[stroke + 1 :] += 1
    closed = strokes.closed.copy()
    closed[stroke] = True
    return replace(
        strokes,
        segments=np.insert(strokes.segments, b, bridge, axis=0),
        kinds=np.insert(strokes.kinds, b, LINE),
        offsets=offsets,
        closed=closed,
    )


def _only_seams(
    strokes: Strokes, seam: IntArray, boundary: IntArray, area: FloatArray,
    seam_layers: dict[int, int],
) -> None:  # fmt: skip
    """A closed sew line is the seam line only if it lies inside the boundary and fills it."""
    for group in np.flatnonzero(seam >= 0).tolist():
        if group in seam_layers:
            if seam_layers[group] != SEW:
                seam[group] = -1
            continue
        s, b = int(seam[group]), int(boundary[group])
        if b < 0:
            continue
        inner, outer = _box(strokes, s), _box(strokes, b)
        inside = (inner[:2] >= outer[:2] - 0.1).all() and (inner[2:] <= outer[2:] + 0.1).all()
        if s == b or not inside or area[s] < _SEAM_SHARE * area[b]:
            seam[group] = -1


def _box(strokes: Strokes, stroke: int) -> FloatArray:
    part = strokes.segments[int(strokes.offsets[stroke]) : int(strokes.offsets[stroke + 1])]
    flat = part.reshape(-1, 2)
    return np.concatenate((flat.min(axis=0), flat.max(axis=0)))
