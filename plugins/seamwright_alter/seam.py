"""A seam line moved from between two pieces into one of them."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from seamwright.findings import SeamwrightError, did_you_mean
from seamwright.geometry import Curve, FloatArray, GeometryError, Station
from seamwright.geometry.simple import crosses_itself
from seamwright.model import Pattern, Seam, Shape
from seamwright.model.edit.replace_run import Replacement, replace_runs
from seamwright.plan import ResolvedPart, resolve_run
from seamwright.plugins.api import Context, StepResult

from . import codes
from .bodice import Telling, renewed_pieces, tell_seams, with_shapes
from .marks import on_seam_line
from .options import MoveSeam
from .result import finding, refused
from .roots import root

_ON = 1e-6  # mm
_TURN = 10.0  # degrees; by more than this an edge is not bent where the strip joins it
_MOST = 0.6  # of an edge that meets the seam may go


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Side:
    """One piece at the seam, its curves in the seam's direction, from start to end.

    before, run, after  open curves: the edge that leads to the seam's start, the seam, the edge
                        that leads on from its end
    begin, end          stations of the far ends of before and after
    """

    shape: Shape
    forward: bool
    before: Curve
    run: Curve
    after: Curve
    begin: Station
    end: Station


def move_seam(pattern: Pattern, options: MoveSeam, ctx: Context) -> StepResult:
    """See the page move-seam. Cutting a strip off one piece and taping it to the other is common
    practice, no source."""
    told = Telling()
    start = float(options.width)
    end = start if options.end_width is None else float(options.end_width)
    try:
        seam = _seam(pattern, options.seam)
        sew, to = (_part(pattern, run, seam) for run in (seam.sew, seam.to))
        if sew.part.piece == to.part.piece:
            raise _refusal("both sides are on one piece", seam)
        gains, gives = (sew, to) if start + end > 0.0 else (to, sew)
        new: dict[tuple[str, str], Shape] = {}
        for z, size in enumerate(pattern.sizes):
            if not np.isfinite([sew.lengths[z], to.lengths[z]]).all():
                continue
            try:
                taker, giver = (_side(pattern, part, z) for part in (gains, gives))
                *made, turned = _moved(taker, giver, abs(start), abs(end))
            except GeometryError as error:
                raise _refusal(str(error), seam, size) from None
            new[gains.part.piece, size], new[gives.part.piece, size] = made
            told.rows.append(
                _row(pattern, seam, size, (gains, gives), (taker, giver), made, turned)
            )
        after = renewed_pieces(pattern, with_shapes(pattern, new), told)
    except SeamwrightError as error:
        return refused(pattern, [error.finding, *error.others])
    tell_seams(pattern, after, told, ctx)
    return StepResult(
        pattern=after,
        findings=tuple(told.findings),
        looked_at=len(told.rows),
        figures={"moved": told.rows},
    )


def _refusal(message: str, seam: Seam, size: str | None = None) -> SeamwrightError:
    return SeamwrightError(finding(codes.NO_MOVE, message, None, size, seam=seam.name))


def _seam(pattern: Pattern, name: str) -> Seam:
    for seam in pattern.seams:
        if seam.name == name:
            return seam
    raise SeamwrightError.of(
        codes.NO_MOVE.code,
        f'the plan has no seam "{name}"',
        hint=did_you_mean(name, [s.name for s in pattern.seams]),
    )


def _part(pattern: Pattern, run: Any, seam: Seam) -> ResolvedPart:
    parts = resolve_run(pattern, run).parts
    if len(parts) != 1:
        raise _refusal("a side of the seam lies on several pieces", seam)
    return parts[0]


def _side(pattern: Pattern, part: ResolvedPart, z: int) -> Side:
    shape = on_seam_line(pattern.piece(part.part.piece).in_size(pattern.sizes[z]))
    seam, way = shape.seam_line, 1.0 if part.forward else -1.0
    at = np.array([seam.length_of(c.station) for c in shape.corners])
    ends = float(part.starts[z]), float(part.ends[z])

    def next_corner(place: float, direction: float) -> tuple[float, Station]:
        gaps = np.mod(direction * (at - place), seam.length)
        gaps = np.where((gaps <= _ON) | (gaps >= seam.length - _ON), np.inf, gaps)
        k = int(np.argmin(gaps))
        return float(at[k]), shape.corners[k].station

    if len(at) < 3 or any(
        np.abs(np.mod(at - e + _ON, seam.length) - _ON).min() > _ON for e in ends
    ):
        raise GeometryError(f'the seam must begin and end at corners of "{part.part.piece}"')
    (far, begin), (last, end) = next_corner(ends[0], -way), next_corner(ends[1], way)
    whole = (way * (ends[1] - ends[0])) % seam.length
    for dart in shape.darts:
        if any(
            (way * (seam.length_of(s) - ends[0])) % seam.length < whole
            for s in (dart.left, dart.right)
        ):
            raise GeometryError(f'the dart "{dart.name}" opens into the seam: move it first')

    def between(a: float, b: float) -> Curve:
        return seam.part(a, b) if part.forward else seam.part(b, a).reversed()

    return Side(
        shape=shape, forward=part.forward, begin=begin, end=end,
        before=between(far, ends[0]), run=between(*ends), after=between(ends[1], last),
    )  # fmt: skip


def _moved(taker: Side, giver: Side, start: float, end: float) -> tuple[Shape, Shape, float]:
    """The piece that gains a strip, the one that gives it, `start` and `end` mm wide, and by how
    many degrees the strip's ends were turned about the old corners.

    The giver's seam line goes, by a similarity, to where the strip is cut from its neighbouring
    edges. What is cut from those is laid to the taker's corners, seam line on seam line, and the
    taker's seam line goes, by a similarity, to their ends. So that it is longer than the giver's
    by as much as it was before, both are turned about the old corners by the little that is
    wanted (a seam shaped at the waist lies otherwise at its ends than a straight one).
    """
    for edge, width in ((giver.before, start), (giver.after, end)):
        if width > _MOST * edge.length:
            raise GeometryError(
                f"the strip takes more than {_MOST:.0%} of an edge of {edge.length:.1f} mm"
            )
    before = giver.before.part(0.0, giver.before.length - start) if start else giver.before
    after = giver.after.part(end, giver.after.length) if end else giver.after
    run = _between(giver.run, before.end, after.start)
    gives = _rebuilt(giver, before, run, after)

    mirrored = taker.forward == giver.forward
    corners = taker.run.start, taker.run.end
    pieces: list[Curve | None] = [None, None]  # from the old corner to the new one
    if start:
        bit = giver.before.part(giver.before.length - start, giver.before.length).reversed()
        pieces[0] = bit.transformed(_laid(giver.run, taker.run, 0, mirrored=mirrored))
    if end:
        bit = giver.after.part(0.0, end)
        pieces[1] = bit.transformed(_laid(giver.run, taker.run, 1, mirrored=mirrored))
    ends = [c if p is None else p.end for p, c in zip(pieces, corners, strict=True)]
    chord = float(np.hypot(*(corners[1] - corners[0])))
    wanted = run.length + taker.run.length - giver.run.length
    reach = chord * wanted / taker.run.length

    def turned_by(angle: float) -> list[FloatArray]:
        """The new corners, what was laid to the old ones turned by radians: one way, the other."""
        return [
            c + _rotated(e - c, sign * angle)
            for e, c, sign in zip(ends, corners, (-1.0, 1.0), strict=True)
        ]

    def off(angle: float) -> float:
        a, b = turned_by(angle)
        return float(np.hypot(*(b - a))) - reach

    angle = root(off, 0.01, "no seam line as long as the other one meets the edges beside it")
    turned = float(np.degrees(angle))
    if abs(turned) > _TURN:
        raise GeometryError(
            f"the edges that meet the seam do not run on: the strip would have to be turned by "
            f"{abs(turned):.0f} degrees"
        )
    reached = turned_by(angle)
    first, last = taker.before, taker.after
    if pieces[0] is not None:
        first = first.joined(_between(pieces[0], first.end, reached[0]))
    if pieces[1] is not None:
        last = _between(pieces[1], last.start, reached[1]).reversed().joined(last)
    gains = _rebuilt(taker, first, _between(taker.run, *reached), last)
    return gains, gives, turned


def _rotated(v: FloatArray, angle: float) -> FloatArray:
    c, s = np.cos(angle), np.sin(angle)
    return np.array([c * v[0] - s * v[1], s * v[0] + c * v[1]])


def _between(curve: Curve, start: FloatArray, end: FloatArray) -> Curve:
    """The curve under the similarity that takes its ends to two points."""
    one = np.array([1.0, 1.0j])
    a, b, c, d = (complex(p @ one) for p in (curve.start, curve.end, start, end))
    if abs(b - a) <= _ON or abs(d - c) <= _ON:
        raise GeometryError("the strip is too narrow")
    z = (d - c) / (b - a)
    shift = c - z * a
    matrix = [[z.real, -z.imag, shift.real], [z.imag, z.real, shift.imag]]
    return _pinned(curve.transformed(matrix), start, end)


def _pinned(curve: Curve, start: FloatArray, end: FloatArray) -> Curve:
    """The curve with its ends, which are there within rounding, exactly on two points."""
    segments = np.array(curve.segments)
    segments[0, 0], segments[-1, 3] = start, end
    return Curve.from_segments(segments, curve.kinds)


def _laid(source: Curve, target: Curve, end: int, *, mirrored: bool) -> FloatArray:
    """The rigid map 2x3 that lays one end (0 or 1) of a curve on the same end of another, tangent
    on tangent; turned over where mirrored."""
    (p, a), (q, b) = (
        (c.end, c.tangents_of([c.n - 1], [1.0])[0])
        if end
        else (c.start, c.tangents_of([0], [0.0])[0])
        for c in (source, target)
    )
    flip = np.diag([1.0, -1.0]) if mirrored else np.eye(2)
    one = np.array([1.0, 1.0j])
    turn = complex(b @ one) / complex((flip @ a) @ one)
    turn /= abs(turn)
    linear = np.array([[turn.real, -turn.imag], [turn.imag, turn.real]]) @ flip
    return np.column_stack((linear, q - linear @ p))


def _rebuilt(side: Side, before: Curve, run: Curve, after: Curve) -> Shape:
    """The piece with its three curves redrawn: marks of the neighbouring edges keep their length
    from the far corner, those of the seam their share of it."""
    old = np.cumsum([0.0, side.before.length, side.run.length, side.after.length])
    new = np.cumsum([0.0, before.length, run.length, after.length])
    _nothing_lost(side, before.length, after.length)

    def carry(s: float) -> float:
        if s < old[1] - _ON:
            return float(min(s, new[1]))
        if s > old[2] + _ON:
            return float(max(new[3] - (old[3] - s), new[2]))
        return float(np.interp(s, old[1:3], new[1:3]))

    curve = before.joined(run, tolerance=_ON).joined(after, tolerance=_ON)
    ends = side.begin, side.end
    way: Callable[[float], float] = carry
    if not side.forward:
        curve, ends = curve.reversed(), (side.end, side.begin)
        way = _reversed(carry, float(old[3]), float(new[3]))
    made = replace_runs(
        side.shape, [Replacement(start=ends[0], end=ends[1], curve=curve, carry=way)]
    ).shape
    if crosses_itself(made.seam_line):
        raise GeometryError("the new outline would cross itself")
    return made


def _reversed(carry: Callable[[float], float], old: float, new: float) -> Callable[[float], float]:
    return lambda s: new - carry(old - s)


def _nothing_lost(side: Side, before: float, after: float) -> None:
    seam, way = side.shape.seam_line, 1.0 if side.forward else -1.0
    begin = seam.length_of(side.begin)
    first = side.before.length
    last = first + side.run.length
    places = [(n.name, n.station) for n in side.shape.notches]
    places += [(d.name, s) for d in side.shape.darts for s in (d.left, d.right)]
    for name, station in places:
        at = (way * (seam.length_of(station) - begin)) % seam.length
        gone = last + _ON < at < last + side.after.length - after - _ON
        if before + _ON < at < first - _ON or gone:
            raise GeometryError(f'"{name}" lies on the strip')


def _row(
    pattern: Pattern,
    seam: Seam,
    size: str,
    parts: tuple[ResolvedPart, ResolvedPart],
    sides: tuple[Side, Side],
    made: Sequence[Shape],
    turned: float,
) -> dict[str, Any]:
    (taker, giver), (a, b) = sides, made
    return {
        "seam": seam.name, "size": size,
        "gains": parts[0].part.piece, "gives": parts[1].part.piece,
        "gains_area_before": taker.shape.seam_line.area, "gains_area_after": a.seam_line.area,
        "gives_area_before": giver.shape.seam_line.area, "gives_area_after": b.seam_line.area,
        "length_before": taker.run.length, "edge_turned_degrees": turned,
    }  # fmt: skip
