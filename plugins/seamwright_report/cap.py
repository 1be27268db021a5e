"""The sleeve cap before and after, where a plan names one: shoulder point, bicep line, height."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from seamwright.findings import SeamwrightError
from seamwright.geometry import Curve, FloatArray
from seamwright.model import Pattern
from seamwright.plan.cap import cap_of


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Side:
    """Half of a cap in one size: its edge from the underarm to the shoulder point."""

    half: str
    edge: Curve

    def down(self, mm: float) -> tuple[FloatArray, FloatArray]:
        """The place `mm` down the edge from the shoulder point, and the unit direction along the
        edge towards the shoulder point there. Clipped to the edge."""
        s = float(np.clip(self.edge.length - mm, 0.0, self.edge.length))
        return self.edge.point_at(s), self.edge.tangent_at(s)


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Cap:
    """A cap in one size; points in mm."""

    piece: str
    size: str
    sides: tuple[Side, ...]
    shoulder: FloatArray
    underarms: tuple[FloatArray, FloatArray]  # back, front

    @property
    def bicep(self) -> float:
        """Width of the bicep line."""
        return float(np.hypot(*(self.underarms[1] - self.underarms[0])))

    @property
    def height(self) -> float:
        """Of the shoulder point over the bicep line, square to it."""
        a, b = self.underarms
        along = (b - a) / max(self.bicep, 1e-12)
        d = self.shoulder - a
        return float(abs(along[0] * d[1] - along[1] * d[0]))


def pose_of(cap: Cap) -> FloatArray:
    """The turn and shift (2, 3) that lay the bicep line level and centred, the shoulder point above
    it: a sleeve may lie any way up in its drawing, but a person folds it like this."""
    back, front = cap.underarms
    along = (front - back) / max(cap.bicep, 1e-12)
    up = cap.shoulder - back
    if along[0] * up[1] - along[1] * up[0] < 0.0:
        along = -along  # the front lies on the left
    c, s = along
    turn = np.array([[c, s], [-s, c]])
    return np.column_stack([turn, -turn @ ((back + front) / 2)])


def posed(cap: Cap, pose: FloatArray) -> Cap:
    """The cap under a pose."""
    turn, shift = pose[:, :2], pose[:, 2]
    return replace(
        cap,
        sides=tuple(replace(side, edge=side.edge.transformed(pose)) for side in cap.sides),
        shoulder=turn @ cap.shoulder + shift,
        underarms=(turn @ cap.underarms[0] + shift, turn @ cap.underarms[1] + shift),
    )


def caps_of(pattern: Pattern) -> dict[str, dict[str, Cap]]:
    """Sleeve -> size -> its cap; without the sleeves whose cap cannot be followed."""
    sleeves = dict.fromkeys(
        seam.sew.pieces[0] for seam in pattern.seams if seam.cap and seam.sew.pieces
    )
    out: dict[str, dict[str, Cap]] = {}
    for sleeve in sleeves:
        try:
            cap = cap_of(pattern, sleeve=sleeve)
        except SeamwrightError:
            continue  # the walk says what is wrong with it
        out[sleeve] = {}
        for z, size in enumerate(pattern.sizes):
            try:
                shape = pattern.piece(sleeve).in_size(size)
                back, front = (half.curve(shape, z) for half in cap.halves)
            except (KeyError, ValueError):
                continue  # not in this size
            out[sleeve][size] = Cap(
                piece=sleeve,
                size=size,
                sides=(Side(half="back", edge=back), Side(half="front", edge=front)),
                shoulder=back.end,
                underarms=(back.start, front.start),
            )
    return out
