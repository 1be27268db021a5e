"""Places on an outline as an option names them, and the edges that a run covers.

    "Front: shoulder"                     a mark
    "Front: shoulder + 40 mm"             40 mm on from it with the outline (anticlockwise)
    "Front: shoulder - 40 mm"             40 mm before it
    "Front: underarm > hem @ 40 mm"       40 mm from the start of a run
    "Front: underarm > hem @ 50 %"        half way along it

Runs are written and followed as in a plan. Names that hold a sign are quoted, as there.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from seamwright.findings import SeamwrightError, did_you_mean
from seamwright.geometry import FloatArray, Station
from seamwright.model import Pattern, Run, RunPart, Shape
from seamwright.units import parse_length

from .grammar import parse_mark, parse_part
from .names import look_up
from .places import places
from .runs import ResolvedPart, resolve_run

_ALONG = re.compile(r"@\s*([^@\"]+)$")
_SHIFT = re.compile(r"\s([+-])\s*([^+\-\":>@]+)$")
_ON = 1e-6  # mm


@dataclass(frozen=True, slots=True, kw_only=True)
class Spot:
    """A place on a piece's outline.

    marks   one mark, or two and more for a run
    shift   mm on from the mark (a mark) or from the run's start (a run)
    share   part of the run's length, 0 to 1, instead of a shift
    """

    piece: str
    marks: tuple[str, ...]
    shift: float = 0.0
    share: float | None = None


def parse_spot(text: str, *, default: str = "mm") -> Spot:
    """A place from its written form. Raises ValueError with a plain sentence."""
    along = _ALONG.search(text)
    if along is not None:
        part = parse_part(text[: along.start()])
        amount = along[1].strip()
        if amount.endswith("%"):
            try:
                share = float(amount[:-1].strip()) / 100.0
            except ValueError:
                raise ValueError(f'"{amount}" is no percentage: write "@ 50 %"') from None
            if not 0.0 <= share <= 1.0:
                raise ValueError(f'"{amount}" is not on the run: 0 % to 100 %')
            return Spot(piece=part.piece, marks=part.marks, share=share)
        return Spot(piece=part.piece, marks=part.marks, shift=parse_length(amount, default=default))
    shift = _SHIFT.search(text)
    amount_mm = 0.0
    if shift is not None:
        try:
            amount_mm = parse_length(shift[2], default=default) * (1 if shift[1] == "+" else -1)
            text = text[: shift.start()]
        except ValueError:
            pass  # a name with a dash in it
    try:
        mark = parse_mark(text)
    except ValueError:
        raise ValueError(
            f'"{text}" names no place: write "Piece: mark", "Piece: mark + 40 mm" or '
            '"Piece: mark > mark @ 40 mm"'
        ) from None
    if mark.piece is None:
        raise ValueError(f'"{text}" names no piece: write "Piece: mark"')
    return Spot(piece=mark.piece, marks=(mark.name,), shift=amount_mm)


def spot_lengths(pattern: Pattern, spot: Spot) -> FloatArray:
    """Where a spot lies in each size: lengths (Z,) along the piece's seam line from corner 1, mm;
    NaN where the size lacks the piece or the mark.

    Raises SeamwrightError for an unknown piece or mark, a run whose way is in doubt, and a place
    beyond the run's end.
    """
    where = places(pattern)
    piece = find_piece(pattern, spot.piece)
    if len(spot.marks) == 1:
        row = where.row(piece, spot.marks[0])
        if row is None:
            raise SeamwrightError.of(
                "plan.mark",
                f'piece "{piece}" has no corner or notch "{spot.marks[0]}"',
                piece=piece,
                hint=did_you_mean(spot.marks[0], where.marks_of(piece)),
            )
        whole = where.outline[where.pieces[piece]]
        return np.asarray(np.mod(where.at[row] + spot.shift, whole))
    run = find_run(pattern, RunPart(piece=piece, marks=spot.marks))
    whole = where.outline[where.pieces[piece]]
    plain = np.mod(run.ends - run.starts if run.forward else run.starts - run.ends, whole)
    gone = plain * spot.share if spot.share is not None else np.full_like(plain, spot.shift)
    with np.errstate(invalid="ignore"):
        off = (gone < -_ON) | (gone > plain + _ON)
    if off.any():
        z = int(np.flatnonzero(off)[0])
        raise SeamwrightError.of(
            "spot.beyond",
            f"{spot.shift:g} mm is not on the run, which is {plain[z]:.1f} mm long",
            piece=piece,
            size=pattern.sizes[z],
            measured=float(spot.shift),
            limit=float(plain[z]),
            hint="a place given in per cent holds in every size",
        )
    return np.asarray(np.mod(run.starts + (gone if run.forward else -gone), whole))


def find_piece(pattern: Pattern, name: str) -> str:
    """The piece's own name, exactly or without regard to case and blanks; SeamwrightError
    with the nearest names where there is none."""
    names = [p.name for p in pattern.pieces]
    found, _ = look_up(name, names)
    if found is None:
        raise SeamwrightError.of(
            "plan.piece", f'there is no piece "{name}"', piece=name, hint=did_you_mean(name, names)
        )
    return found


def find_run(pattern: Pattern, part: RunPart) -> ResolvedPart:
    """A stretch of one piece in every size (see `resolve_run`)."""
    piece = find_piece(pattern, part.piece)
    part = RunPart(piece=piece, marks=part.marks)
    return resolve_run(pattern, Run(parts=(part,))).parts[0]


def edges_covered(shape: Shape, run: ResolvedPart, z: int) -> list[int]:
    """Numbers of the shape's edges that lie whole within a run, in outline order.

    z  the column of the shape's size in the run
    Raises SeamwrightError where the run begins or ends inside an edge: an edge has one width, one
    name; a corner at the place splits it.
    """
    start, end = (run.starts, run.ends) if run.forward else (run.ends, run.starts)
    seam = shape.seam_line
    if not shape.corners:
        return [0]
    at = [float(seam.cumulative[c.station.segment]) for c in shape.corners]
    count = len(at)
    ends: list[int] = []
    for value in (float(start[z]), float(end[z])):
        gaps = [abs((value - a + 0.5 * seam.length) % seam.length - 0.5 * seam.length) for a in at]
        k = int(np.argmin(gaps))
        if gaps[k] > _ON:
            raise SeamwrightError.of(
                "spot.inside-edge",
                f'"{run.part}" begins or ends inside an edge of "{run.part.piece}"',
                piece=run.part.piece,
                size=shape.size,
                hint="name corners: whole edges are meant",
            )
        ends.append(k)
    first, last = ends
    number = (last - first) % count or count
    return [(first + i) % count for i in range(number)]


def stations_of(shapes: Sequence[Shape], lengths: Sequence[float]) -> list[Station]:
    """The station of one length on each shape's seam line."""
    return [s.seam_line.station_at(float(at)) for s, at in zip(shapes, lengths, strict=True)]
