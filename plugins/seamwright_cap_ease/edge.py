"""The edge of a sleeve cap in one size: where it lies on the outline, and its marks.

Everything is measured against the bicep line and in the direction of the outline, so a sleeve
that is drawn upside down, turned or mirrored is a sleeve like any other.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from seamwright.geometry import Curve, FloatArray, Station
from seamwright.model import Pattern, SeamLineSource, Shape
from seamwright.model.measure import measure
from seamwright.paper import Side
from seamwright.plan import Cap, CapHalf, places

from .refusal import Refusal

_TOUCH = 1e-6  # mm
_SHARP = 45.0  # degrees
_FROM_UNDERARM = 0.3  # of a half: a notch nearer to the shoulder point than this bounds no tucks


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class CapEdge:
    """Lengths in mm along the edge, which runs anticlockwise round the piece.

    start, end  stations of both underarm points on the outline
    edge        the open curve between them over the shoulder point
    first       the half that is met first; the other comes after the shoulder point
    top         length from the edge's start to the shoulder point
    notches     lengths of all notches between the ends, the shoulder's own not among them
    bounding    lengths of those that the plan makes meet the armhole's (of all, where it says
                nothing): ease lies above them
    """

    shape: Shape
    start: Station
    end: Station
    edge: Curve
    first: Side
    top: float
    notches: tuple[float, ...]
    bounding: tuple[float, ...]

    @property
    def second(self) -> Side:
        """The half that comes after the shoulder point."""
        return "front" if self.first == "back" else "back"

    def run(self, side: Side) -> float:
        """Length of one half."""
        return self.top if side == self.first else self.edge.length - self.top

    def along(self, side: Side, from_shoulder: float) -> float:
        """Length along the edge of a place so far down one half from the shoulder point."""
        return self.top - from_shoulder if side == self.first else self.top + from_shoulder

    def bounding_notch(self, side: Side, place: float) -> float | None:
        """How far from the shoulder point the notch lies above which the ease belongs: the first
        below `place`, or else the lowest that is not next to the shoulder point. None without."""
        run = self.run(side)
        downs = sorted(
            down
            for down in (
                (self.top - n if side == self.first else n - self.top) for n in self.bounding
            )
            if _TOUCH < down < run - _TOUCH
        )
        below = [down for down in downs if down > place]
        if below:
            return below[0]
        far = [down for down in downs if down > _FROM_UNDERARM * run]
        return far[-1] if far else None

    @property
    def shoulder(self) -> FloatArray:
        """The shoulder point (2,)."""
        return self.edge.point_at(self.top)

    @property
    def bicep(self) -> float:
        """Width of the bicep line, mm."""
        return float(np.hypot(*(self.edge.end - self.edge.start)))

    @property
    def upward(self) -> FloatArray:
        """Unit vector (2,) square to the bicep line, towards the cap."""
        x, y = (self.edge.start - self.edge.end) / self.bicep
        return np.array([-y, x])

    def height(self, point: FloatArray) -> float:
        """How far a point lies above the bicep line."""
        return float(np.dot(point - self.edge.start, self.upward))


class Located:
    """Where the cap lies on the sleeve in every size."""

    def __init__(self, pattern: Pattern, cap: Cap) -> None:
        self.cap = cap
        self.piece = pattern.piece(cap.sleeve)
        self._halves: dict[Side, CapHalf] = {"back": cap.back, "front": cap.front}
        self._first: Side = "back" if cap.back.on_sleeve.forward else "front"
        where = places(pattern)
        # The notches that the plan makes meet the armhole's bound the eased stretch; where it
        # names none, all that the sleeve has may.
        named = {n for half in cap.halves for n in half.notches}
        rows = [where.row(cap.sleeve, name) for name in named]
        self._notch_rows = [row for row in rows if row is not None]
        self._places = where

    @property
    def sizes(self) -> tuple[str, ...]:
        """The sizes in which there is a sleeve."""
        own = set(self.piece.sizes)
        return tuple(size for size in self.cap.sizes if size in own)

    def edge(self, size: str) -> CapEdge:
        """The cap's edge in a size. Raises Refusal."""
        z = self.cap.sizes.index(size)
        shape = self.piece.in_size(size)
        if shape.mirrored_half:
            raise Refusal(
                "cap.half-piece",
                "the sleeve is drawn as half a piece on a fold",
                "unfold the sleeve first: back and front of a cap are not alike",
            )
        if shape.seam_line_source is SeamLineSource.CUT_LINE:
            raise Refusal(
                "cap.cut-line-only",
                "the file gives a cut line only, and ease is measured along the seam line",
                "state the allowance, so that the seam line can be found",
            )
        second: Side = "front" if self._first == "back" else "back"
        ahead, behind = self._halves[self._first].on_sleeve, self._halves[second].on_sleeve
        outline, whole = shape.seam_line, shape.seam_line.length
        a, b, middle = float(ahead.starts[z]), float(behind.starts[z]), float(ahead.ends[z])
        if not np.isfinite([a, b, middle, behind.ends[z]]).all():
            raise Refusal("cap.order", "a mark of the cap is missing in this size")
        top, length = (middle - a) % whole, (b - a) % whole
        if not _TOUCH < top < length - _TOUCH:
            raise Refusal(
                "cap.order", "the shoulder point does not lie between the underarm points"
            )
        if abs(float(ahead.lengths[z] + behind.lengths[z]) - length) > _TOUCH:
            raise Refusal(
                "cap.dart",
                "a dart opens into the cap",
                "fold ease out of a cap without darts: turn the dart elsewhere first",
            )
        edge = outline.part(a, b)
        _check_corners(edge, top)
        return CapEdge(
            shape=shape,
            start=outline.station_at(a % whole),
            end=outline.station_at(b % whole),
            edge=edge,
            first=self._first,
            top=top,
            notches=tuple(self._notches(shape, z, a, top, length, planned=False)),
            bounding=tuple(self._notches(shape, z, a, top, length, planned=True)),
        )

    def _notches(
        self, shape: Shape, z: int, a: float, top: float, length: float, *, planned: bool
    ) -> list[float]:
        if planned and self._notch_rows:
            at = self._places.at[self._notch_rows, z]
        else:
            at = measure([shape])[0].notches
        along = (at[np.isfinite(at)] - a) % shape.seam_line.length
        inside = (along > _TOUCH) & (along < length - _TOUCH) & (np.abs(along - top) > _TOUCH)
        return sorted(float(s) for s in along[inside])


def _check_corners(edge: Curve, top: float) -> None:
    """Refuses a corner within a half: then the run goes round another part of the sleeve."""
    for s in edge.cumulative[edge.corner_segments(_SHARP)]:
        if abs(float(s) - top) > _TOUCH:
            x, y = edge.point_at(float(s))
            raise Refusal(
                "cap.order",
                "the edge that the plan calls the cap turns a sharp corner on its way",
                "look at the plan's marks of the cap: from the underarm point to the shoulder "
                "point a cap is one smooth line",
                x=float(x),
                y=float(y),
            )
