"""Interior angles at corners and darts, steps at seams' ends: whole arrays over all sizes."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from seamwright.geometry import FloatArray, IntArray, subdivide
from seamwright.geometry.corners import end_tangents
from seamwright.model import Pattern
from seamwright.plan import Walk

_HAIR = 1e-9  # of a segment: too short a rest to have a direction


def interior_angles(pattern: Pattern, corners: Sequence[tuple[str, str]]) -> FloatArray:
    """Interior angles (Q, Z) in degrees, 0 to 360, at corners given as (piece, name); NaN where
    a size lacks the corner. The line's own limiting tangents count."""
    at, leaving, arriving = _gathered(pattern, corners)
    angles = np.full((len(corners), len(pattern.sizes)), np.nan)
    if len(at):
        out, _ = end_tangents(leaving)
        _, arrive = end_tangents(arriving)
        # The inside lies on the left: anticlockwise from the leaving edge to the arriving one.
        angles[at[:, 0], at[:, 1]] = np.degrees(np.angle(-arrive / out)) % 360.0
    return angles


def _gathered(
    pattern: Pattern, corners: Sequence[tuple[str, str]]
) -> tuple[IntArray, FloatArray, FloatArray]:
    """(row, size) of each corner that is there (N, 2); the segments that leave it and that arrive
    at it, (N, 4, 2) each."""
    column = {size: z for z, size in enumerate(pattern.sizes)}
    rows: dict[str, list[tuple[int, str]]] = {}
    for q, (owner, name) in enumerate(corners):
        rows.setdefault(owner, []).append((q, name))
    at: list[tuple[int, int]] = []
    leaving: list[FloatArray] = []
    arriving: list[FloatArray] = []
    for piece in pattern.pieces:
        wanted = rows.get(piece.name)
        for shape in piece.shapes if wanted else ():
            known = {c.name: c.station.segment for c in shape.corners}
            here = [(q, known[name]) for q, name in wanted or () if name in known]
            if shape.size not in column or not here:
                continue
            numbers = np.array([k for _, k in here])
            at += [(q, column[shape.size]) for q, _ in here]
            leaving.append(shape.seam_line.segments[numbers])
            arriving.append(shape.seam_line.segments[numbers - 1])
    if not at:
        none = np.empty((0, 4, 2))
        return np.empty((0, 2), dtype=np.int64), none, none
    return np.array(at), np.concatenate(leaving), np.concatenate(arriving)


def dart_mouths(
    pattern: Pattern, darts: Sequence[tuple[str, str]]
) -> tuple[FloatArray, FloatArray]:
    """For darts given as (piece, name): the interior angles (D, 2, Z) between each leg and the
    outline beside it, left and right, and by how much the left leg is longer (D, Z), mm."""
    angles = np.full((len(darts), 2, len(pattern.sizes)), np.nan)
    longer = np.full((len(darts), len(pattern.sizes)), np.nan)
    column = {size: z for z, size in enumerate(pattern.sizes)}
    at: list[tuple[int, int]] = []
    segments: list[FloatArray] = []
    spans: list[tuple[float, float]] = []
    apexes: list[tuple[float, float]] = []
    for d, (piece, name) in enumerate(darts):
        for shape in pattern.piece(piece).shapes:
            dart = next((x for x in shape.darts if x.name == name), None)
            if dart is None or shape.size not in column:
                continue
            line = shape.seam_line.segments
            k, t = dart.left
            # The outline that arrives at the left leg, and that leaves the right one.
            segments.append(line[k - 1 if t <= _HAIR else k])
            spans.append((0.0, 1.0 if t <= _HAIR else t))
            k, t = dart.right
            segments.append(line[(k + 1) % len(line) if t >= 1.0 - _HAIR else k])
            spans.append((0.0 if t >= 1.0 - _HAIR else t, 1.0))
            at.append((d, column[shape.size]))
            apexes.append(dart.apex)
    if not at:
        return angles, longer
    low, high = np.array(spans).T
    part = subdivide(np.stack(segments), low, high)
    out, arrive = end_tangents(part)
    left = part[0::2, 3, 0] + 1j * part[0::2, 3, 1]
    right = part[1::2, 0, 0] + 1j * part[1::2, 0, 1]
    apex = np.array(apexes) @ np.array([1.0, 1j])
    d, z = np.array(at).T
    angles[d, 0, z] = np.degrees(np.angle(-arrive[0::2] / (apex - left))) % 360.0
    angles[d, 1, z] = np.degrees(np.angle((apex - right) / out[1::2])) % 360.0
    longer[d, z] = np.abs(apex - left) - np.abs(apex - right)
    return angles, longer


def end_steps(walked: Walk, seams: Sequence[int], firsts: Sequence[bool]) -> FloatArray:
    """How far the sew side stands out beyond the other (N, Z) at ends of seams, mm.

    The edges are laid together from the nearest pair of notches that meet; a seam without pairs
    from its beginning, where there is then no step. What the plan eases in is no step: of a seam
    with intended ease only what lies outside its range counts, at the seam's end.
    """
    out = np.zeros((len(seams), len(walked.sizes)))
    if not len(seams):
        return out
    s, first = np.asarray(seams, dtype=np.int64), np.asarray(firsts, dtype=np.bool_)
    low = np.array([0.0 if x.ease is None else x.ease.at_least for x in walked.seams])
    high = np.array([0.0 if x.ease is None else x.ease.at_most for x in walked.seams])
    eased = np.array([x.ease is not None for x in walked.seams])
    begin = np.searchsorted(walked.stretch_seams, s, side="left")
    stop = np.searchsorted(walked.stretch_seams, s, side="right")
    single = stop - begin == 1
    stretch = walked.stretch_ease[np.where(first, begin, stop - 1)]
    beyond = walked.ease - np.clip(walked.ease, low[:, None], high[:, None])
    out = np.where(eased[s, None], beyond[s], stretch)
    return np.asarray(np.where((first & (single | eased[s]))[:, None], 0.0, out))
