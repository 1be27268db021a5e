"""Which stretches of outline are looked at, and where they lie in every size."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from seamwright.geometry import FloatArray
from seamwright.model import Pattern, Run, RunPart, Seam
from seamwright.plan import cap_of, has_cap, resolve_run
from seamwright.plan.grammar import parse_part, written_part

from .options import TrueJog

_AT_CORNER = 0.5  # mm; a notch at the shoulder point is drawn this near to its corner


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Stretch:
    """An open stretch of a piece's outline in all sizes.

    name     as a plan writes it
    seam     the seam that it belongs to, if it was found through one
    forward  whether it goes with the outline (anticlockwise)
    starts, ends  (Z,) mm along the seam line from corner 1, in its own direction; NaN where a
             size lacks it
    """

    piece: str
    name: str
    seam: str | None
    forward: bool
    starts: FloatArray
    ends: FloatArray

    def on_outline(self, z: int) -> tuple[float, float]:
        """Where it begins and ends going with the outline, in size number z."""
        a, b = float(self.starts[z]), float(self.ends[z])
        return (a, b) if self.forward else (b, a)


def stretches(pattern: Pattern, options: TrueJog) -> list[Stretch]:
    """Those that the options name; else the caps of the plan; else every run of its seams.

    Raises SeamwrightError for a run that the pattern does not have.
    """
    if options.run:
        return [_stretch(pattern, parse_part(run), None) for run in options.run]
    if has_cap(pattern):
        sharp = float(options.sharper_than)
        sleeves = dict.fromkeys(s.sew.pieces[0] for s in pattern.seams if s.cap is not None)
        return [stretch for sleeve in sleeves for stretch in _cap(pattern, sleeve, sharp)]
    seen: dict[tuple[str, tuple[str, ...]], tuple[RunPart, Seam]] = {}
    for seam in pattern.seams:
        for part in (*seam.sew, *seam.to):
            turned = (part.piece, part.marks[::-1])
            if turned not in seen:
                seen.setdefault((part.piece, part.marks), (part, seam))
    return [_stretch(pattern, part, seam.name) for part, seam in seen.values()]


def _stretch(pattern: Pattern, part: RunPart, seam: str | None) -> Stretch:
    found = resolve_run(pattern, Run(parts=(part,))).parts[0]
    return Stretch(
        piece=part.piece,
        name=written_part(part),
        seam=seam,
        forward=found.forward,
        starts=found.starts,
        ends=found.ends,
    )


def _cap(pattern: Pattern, sleeve: str, sharper_than: float) -> list[Stretch]:
    """The cap, from underarm to underarm: its shoulder point is no end of the line. In sizes where
    a corner is drawn there it is one, and the cap two lines that end in it: smoothed away, the
    corner would take ease along."""
    cap = cap_of(pattern, sleeve=sleeve)
    ahead, behind = cap.halves if cap.back.on_sleeve.forward else cap.halves[::-1]
    first, second = ahead.on_sleeve, behind.on_sleeve
    top = np.array([_corner_at(pattern, sleeve, s, float(first.ends[z]), sharper_than)
                    for z, s in enumerate(pattern.sizes)])  # fmt: skip
    whole = Stretch(
        piece=sleeve,
        name=written_part(
            RunPart(piece=sleeve, marks=(ahead.underarm, cap.shoulder, behind.underarm))
        ),
        seam=None,
        forward=True,
        starts=np.where(top, np.nan, first.starts),
        ends=np.where(top, np.nan, second.starts),
    )
    halves = [
        Stretch(
            piece=sleeve,
            name=written_part(half.part),
            seam=None,
            forward=half.forward,
            starts=np.where(top, half.starts, np.nan),
            ends=np.where(top, half.ends, np.nan),
        )
        for half in (first, second)
    ]
    return [*([] if top.all() else [whole]), *(halves if top.any() else [])]


def _corner_at(pattern: Pattern, sleeve: str, size: str, at: float, sharper_than: float) -> bool:
    """Whether the shape has a corner at `at` mm from corner 1, and the outline turns there.

    How much it turns does not say what is meant: a cap that was pressed flat turns less.
    """
    shape = next((s for s in pattern.piece(sleeve).shapes if s.size == size), None)
    if shape is None or not np.isfinite(at):
        return False
    line = shape.seam_line
    breaks = {int(i) for i in line.corner_segments(sharper_than)}
    own = [c.station.segment for c in shape.corners if c.station.segment in breaks]
    apart = np.abs(line.cumulative[own] - at)
    return bool(np.any(np.minimum(apart, line.length - apart) < _AT_CORNER))
