"""The arithmetic of folding ease out of a sleeve cap: how many tucks, how wide, where.

A tuck that is w wide at the edge and goes to nothing inside the piece takes exactly w out of the
edge, because a taped and traced paper edge neither stretches nor shrinks. So the widths follow
by subtraction: what the tucks of one half take together is the ease of that half less the ease
wanted. The rest is where to put them. Plain Python, without numpy: a person with paper and a
tape measure needs no more than this.

Figures without another source are common practice, no source: a tuck sits 2 to 2 1/2 in (51 to
64 mm) down the cap from the shoulder point along the edge and is 1/8 to 3/16 in (3.2 to 4.8 mm)
wide at the edge.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil, floor
from typing import Literal

INCH = 25.4
FROM_SHOULDER = 2.25 * INCH
USUAL_PLACE = (2.0 * INCH, 2.5 * INCH)
LARGEST_TUCK = 3.0 / 16.0 * INCH
WIDEST_EVER = 8.0  # above this one tuck leaves a bubble that will not press flat
LARGEST_SHARE = 0.12  # of a half's length: above it the cap changes its character
APART = 15.0  # between the sides of neighbouring tucks
CLEAR = 8.0  # between a tuck and the shoulder point
NOTCH_CLEAR = 3.0  # between a tuck and the notch below it
DEPTH = 60.0
NEAR_ENOUGH = 0.05  # ease is right when it is off by less
_HAIR = 1e-9
_UPPER_PART = 0.6  # of a half's length, where the notch is not known: tucks stay in there


@dataclass(frozen=True, slots=True, kw_only=True)
class Tuck:
    """One tuck. at: from the shoulder point along the edge to its middle; width at the edge."""

    at: float
    width: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Folding:
    """What to fold out of one half of a cap, mm.

    need    ease of the half less the ease wanted; not above 0 where nothing need be folded
    tucks   equal in width, from the shoulder point down
    taken   what they take out together
    why     what kept them from taking all: "share" (more than 12 % of the half would go), "room"
            (no room for so many tucks above the notch); "" where they take all
    moved   how far the middle of the tucks lies from the place asked for (down the cap positive)
    """

    need: float
    tucks: tuple[Tuck, ...]
    why: Literal["", "share", "room"] = ""
    moved: float = 0.0

    @property
    def taken(self) -> float:
        """What the tucks take out together, mm."""
        return sum(t.width for t in self.tucks)

    @property
    def short(self) -> float:
        """What is left above the ease wanted when all tucks are folded, mm."""
        return 0.0 if not self.why else max(self.need - self.taken, 0.0)


def folding(
    *,
    need: float,
    run: float,
    place: float = FROM_SHOULDER,
    largest: float = LARGEST_TUCK,
    apart: float = APART,
    room: float | None = None,
) -> Folding:
    """Tucks that take `need` mm out of one half of a cap, or as much of it as may be.

    run      length of the half along its edge, mm
    place    where the tucks belong: from the shoulder point to the middle of them, along the edge
    largest  widest tuck, mm; at most WIDEST_EVER
    apart    least distance between the sides of neighbouring tucks, mm
    room     from the shoulder point to where tucks must end (the notch that bounds the eased
             stretch), mm; None where it is not known: the upper 60 % of the half

    Tucks are as few as the widest allows, and equal. They are spaced evenly about the place, and
    moved along the edge only as far as it takes to keep them between shoulder point and notch.
    Raises ValueError for lengths that are not above 0.
    """
    if not (run > 0.0 and largest > 0.0 and place > 0.0 and apart >= 0.0):
        raise ValueError("the half's length, the place and the largest tuck must be above 0")
    if need <= NEAR_ENOUGH:
        return Folding(need=need, tucks=())
    widest = min(largest, WIDEST_EVER)
    last = _UPPER_PART * run if room is None else room - NOTCH_CLEAR
    stretch = last - CLEAR
    most = LARGEST_SHARE * run
    why: Literal["", "share", "room"] = ""
    wanted = need
    if wanted > most + _HAIR:
        wanted, why = most, "share"
    count = max(1, ceil(wanted / widest - _HAIR))
    if wanted + (count - 1) * apart > stretch + _HAIR:
        # As many of the widest as the stretch holds.
        count = max(0, floor((stretch + apart) / (widest + apart) + _HAIR))
        wanted, why = min(wanted, count * widest), "room"
    if count == 0:
        return Folding(need=need, tucks=(), why="room")
    width = wanted / count
    span = wanted + (count - 1) * apart
    middle = min(max(place, CLEAR + span / 2), last - span / 2)
    first = middle - span / 2 + width / 2
    return Folding(
        need=need,
        tucks=tuple(Tuck(at=first + i * (width + apart), width=width) for i in range(count)),
        why=why,
        moved=middle - place,
    )
