"""Notches: from points (or short strokes) on the notch layers to stations on the outline."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from seamwright.geometry import Curve, Station, evaluate
from seamwright.model import LineRole, Notch, NotchType
from seamwright.model.assemble import nearest_on_rings
from seamwright.plugins.api import Finding, Severity

from ..drawing.points import Points
from ..drawing.strokes import Strokes
from ..raw.numerals import parse_numbers
from .layers import NOTCHES

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]

ROUNDING = 0.02
"""mm; twice the rounding of a file with 2 decimals (standard practice METRIC, cl. 4.3.1.1)."""
REPORTED = 0.1
"""mm; a mark that was moved farther than this onto its line is reported."""

DepthGroup = Literal["auto", "39", "30"]
AngleMeaning = Literal["auto", "drawing", "from-normal"]


@dataclass(slots=True)
class Candidates:
    """Marks on notch layers: place, group, layer number, depth and width (0 unknown), direction in
    degrees of the drawing (NaN unknown)."""

    xy: FloatArray
    group: IntArray
    number: IntArray
    depth: FloatArray
    width: FloatArray
    angle: FloatArray
    row: IntArray


@dataclass(frozen=True, slots=True)
class NotchFacts:
    """What our own writer says of one notch. kind: "slit" or "v" for a mark on layer 4.

    exact   depth, width and angle (from the inward normal) as the pattern had them; None where
            only the kind is said
    """

    kind: str = ""
    exact: tuple[float | None, float | None, float | None] | None = None


_NO_FACTS = NotchFacts()


def notch_facts_of(text: str) -> NotchFacts:
    """ "v;3.5;;-2": kind, depth, width, angle; empty where the pattern had none."""
    parts = [*text.split(";"), "", "", "", ""]
    numbers: list[float | None] = []
    for part in parts[1:4]:
        value = float(parse_numbers([part.encode()]).values[0]) if part else None
        numbers.append(None if value is None or np.isnan(value) else value)
    return NotchFacts(parts[0], (numbers[0], numbers[1], numbers[2]))


@dataclass(slots=True)
class Placed:
    """Notches by group, and marks that belong to no outline (index into the candidates)."""

    notches: dict[int, list[Notch]]
    astray: list[int]
    findings: list[Finding] = field(default_factory=list)


@dataclass(slots=True)
class Lines:
    """A line of one group that notches may stand on."""

    group: int
    role: LineRole
    curve: Curve
    straight: bool


def candidates(
    points: Points, role: IntArray, strokes: Strokes, stroke_role: IntArray,
    used: NDArray[np.bool_],
    outlines: dict[int, FloatArray], depth_group: DepthGroup, findings: list[Finding],
) -> Candidates:  # fmt: skip
    """Everything on the notch layers as notch candidates; `used` marks the strokes taken."""
    at = np.flatnonzero(np.isin(role, list(NOTCHES)))
    z, thickness = np.abs(points.z[at]), np.abs(points.thickness[at])
    both = (z > 0) & (thickness > 0)
    if depth_group == "30":
        depth, width = z, thickness
    elif depth_group == "39":
        depth, width = thickness, z
    else:
        depth = np.where(thickness > 0, thickness, z)
        width = np.where(both, z, 0.0)
        if both.any():
            findings.append(
                Finding(
                    code="notch.depth-group",
                    severity=Severity.NOTE,
                    message=f"{int(both.sum())} notches have numbers in groups 39 and 30; 39 is "
                    "taken for the depth, 30 for the width",
                    hint='say notch-depth = "30" if it is the other way round',
                )
            )
    parts = [
        Candidates(points.xy[at], points.group[at], role[at], depth, width, points.angle[at],
                   points.row[at])
    ]  # fmt: skip
    for s in np.flatnonzero(np.isin(stroke_role, list(NOTCHES))).tolist():
        found = _from_stroke(strokes, s, int(stroke_role[s]), outlines)
        if found is not None:
            used[s] = True
            parts.append(found)
    if len(parts) == 1:
        return parts[0]
    return Candidates(
        *(np.concatenate([getattr(p, name) for p in parts])
          for name in ("xy", "group", "number", "depth", "width", "angle", "row"))
    )  # fmt: skip


def _from_stroke(
    strokes: Strokes, s: int, number: int, outlines: dict[int, FloatArray]
) -> Candidates | None:
    """A notch drawn as a short line (from the outline inwards) or as an open V, U or box."""
    group = int(strokes.group[s])
    outline = outlines.get(group)
    if outline is None or strokes.closed[s]:
        return None
    part = strokes.segments[int(strokes.offsets[s]) : int(strokes.offsets[s + 1])]
    path = np.concatenate((part[:, 0], part[-1:, 3]))
    ring = np.zeros(len(path), dtype=np.int64)
    on = nearest_on_rings(path, ring, outline, np.array([0, len(outline)]))
    if len(part) == 1:
        foot, tip = (path[0], path[1]) if on.distance[0] <= on.distance[1] else (path[1], path[0])
        width = 0.0
    else:
        foot = (path[0] + path[-1]) / 2.0
        tip = path[int(on.distance.argmax())]
        width = float(np.hypot(*(path[-1] - path[0])))
    along = tip - foot
    depth = float(np.hypot(*along))
    if not 0.0 < depth <= 60.0:
        return None
    return Candidates(
        foot[None], np.array([group]), np.array([number]), np.array([depth]), np.array([width]),
        np.array([np.degrees(np.arctan2(along[1], along[0]))]), strokes.row[s : s + 1],
    )  # fmt: skip


def place(
    found: Candidates, lines: list[Lines], *, snap: float, angles: AngleMeaning,
    facts: Mapping[int, NotchFacts], names: list[str], sizes: list[str],
) -> Placed:  # fmt: skip
    """Each candidate on the nearest line of its group.

    snap   mm; marks farther away than this are no notches of the piece
    facts  row -> what our own writer says of the mark
    """
    out = Placed({}, [])
    n = len(found.xy)
    if not n:
        return out
    best = np.full(n, np.inf)
    segment, t = np.zeros(n, np.int64), np.zeros(n)
    which = np.full(n, -1, dtype=np.int64)
    for role in (LineRole.SEAM, LineRole.CUT):
        chosen = [k for k, line in enumerate(lines) if line.role is role]
        _nearest_of(found, lines, chosen, best, segment, t, which)
    normal = _normals(lines, which, segment, t)
    offsets = _offsets(found, lines, which, segment, t, best)
    absolute = _absolute(found.angle, normal, which, angles, out.findings)
    for i in range(n):
        if which[i] < 0 or best[i] > snap:
            out.astray.append(i)
            continue
        line = lines[int(which[i])]
        group = int(found.group[i])
        number = int(found.number[i])
        kind = NOTCHES[number]
        fact = facts.get(int(found.row[i]), _NO_FACTS)
        width = float(found.width[i]) or None
        if kind is NotchType.V:
            said = fact.kind or ("v" if width else "slit")
            kind = NotchType.V if said == "v" else NotchType.SLIT
        station = Station(int(segment[i]), float(t[i]))
        angle = None
        if not np.isnan(absolute[i]):
            angle = float((absolute[i] - normal[i] + 180.0) % 360.0 - 180.0)
        depth = float(found.depth[i]) or None
        if fact.exact is not None:
            depth, width, angle = fact.exact
        if best[i] > REPORTED:
            out.findings.append(_moved(found, i, float(best[i]), names[group], sizes[group], snap))
        out.notches.setdefault(group, []).append(
            Notch(
                name="",
                station=station,
                type=kind,
                depth=depth,
                width=width,
                angle=angle,
                line=line.role,
                distance=float(best[i]),
                offset=offsets.get(i, (0.0, 0.0)),
            )
        )
    return out


def _nearest_of(
    found: Candidates, lines: list[Lines], chosen: list[int], best: FloatArray, segment: IntArray,
    t: FloatArray, which: IntArray,
) -> None:  # fmt: skip
    """Improve the nearest places with the chosen lines (at most one of them a group)."""
    groups = int(found.group.max()) + 1
    line_of = np.full(groups, -1, dtype=np.int64)
    for k in chosen:
        if lines[k].group < groups:
            line_of[lines[k].group] = k
    mine = line_of[found.group]
    straight = [k for k in chosen if lines[k].straight]
    rows = np.flatnonzero(np.isin(mine, straight))
    if rows.size:
        vertices = np.concatenate([lines[k].curve.segments[:, 0] for k in straight])
        offsets = np.zeros(len(straight) + 1, dtype=np.int64)
        np.cumsum([lines[k].curve.n for k in straight], out=offsets[1:])
        ring_of = np.full(len(lines), -1, dtype=np.int64)
        ring_of[straight] = np.arange(len(straight))
        on = nearest_on_rings(found.xy[rows], ring_of[mine[rows]], vertices, offsets)
        better = on.distance < best[rows] - 1e-9
        at = rows[better]
        best[at], segment[at], t[at] = on.distance[better], on.segment[better], on.t[better]
        which[at] = mine[at]
    for k in chosen:
        if lines[k].straight:
            continue
        rows = np.flatnonzero(mine == k)
        if rows.size:
            near = lines[k].curve.nearest(found.xy[rows])
            better = near.distances < best[rows] - 1e-9
            at = rows[better]
            best[at], segment[at] = near.distances[better], near.segments[better]
            t[at], which[at] = near.ts[better], k


def _offsets(
    found: Candidates, lines: list[Lines], which: IntArray, segment: IntArray, t: FloatArray,
    distance: FloatArray,
) -> dict[int, tuple[float, float]]:  # fmt: skip
    """What rounding took each mark off its line; for larger distances nothing is kept."""
    rows = np.flatnonzero((distance > 0.0) & (distance <= ROUNDING) & (which >= 0))
    if not rows.size:
        return {}
    places = np.stack([lines[k].curve.segments[s] for k, s in
                       zip(which[rows].tolist(), segment[rows].tolist(), strict=True)])  # fmt: skip
    off = found.xy[rows] - evaluate(places, t[rows])
    return {i: (dx, dy) for i, (dx, dy) in zip(rows.tolist(), off.tolist(), strict=True)}


def _normals(lines: list[Lines], which: IntArray, segment: IntArray, t: FloatArray) -> FloatArray:
    """Direction in degrees of the inward normal at each place (the outlines run anticlockwise)."""
    out = np.full(which.size, np.nan)
    for k in np.unique(which[which >= 0]).tolist():
        rows = np.flatnonzero(which == k)
        curve = lines[k].curve
        if lines[k].straight:
            chord = curve.segments[segment[rows], 3] - curve.segments[segment[rows], 0]
            if (chord != 0).any(axis=1).all():
                out[rows] = np.degrees(np.arctan2(chord[:, 0], -chord[:, 1]))
                continue
        tangent = curve.tangents_of(segment[rows], t[rows])
        out[rows] = np.degrees(np.arctan2(tangent[:, 0], -tangent[:, 1]))
    return out


def _absolute(
    angle: FloatArray, normal: FloatArray, which: IntArray, meaning: AngleMeaning,
    findings: list[Finding],
) -> FloatArray:  # fmt: skip
    """Directions in the drawing (NaN unknown) by what group 50 means in this file."""
    known = ~np.isnan(angle) & (which >= 0)
    if not known.any():
        return np.full(angle.size, np.nan)
    if meaning == "from-normal":
        return np.where(known, normal + angle, np.nan)
    if meaning == "auto" and (angle[known] == 0.0).all():
        return np.full(angle.size, np.nan)  # a number that is always 0 says nothing
    off = np.abs((angle - normal + 180.0) % 360.0 - 180.0)
    off = np.minimum(off, 180.0 - off)[known]
    if meaning == "auto" and (off > 30.0).mean() > 0.5:
        findings.append(
            Finding(
                code="notch.angle-odd",
                severity=Severity.WARNING,
                message=f"{int((off > 30.0).sum())} of {off.size} notches point along their seam "
                "rather than across it; their angles may be meant another way",
                measured=float(np.median(off)),
                hint='say notch-angle = "from-normal" if group 50 counts from the line',
            )
        )
    return np.where(known, angle, np.nan)


def _moved(
    found: Candidates, i: int, distance: float, piece: str, size: str, snap: float
) -> Finding:
    return Finding(
        code="notch.off-line",
        severity=Severity.NOTE if distance <= 1.0 else Severity.WARNING,
        message=f"a notch lies {distance:.2f} mm off the outline and is put on it",
        piece=piece,
        size=size,
        x=float(found.xy[i, 0]),
        y=float(found.xy[i, 1]),
        measured=distance,
        limit=REPORTED,
        hint="look whether it belongs to this place of the seam",
        repaired=True,
    )
