"""POINTs (and what stands for one): place, and the numbers that a notch hides in its groups."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from seamwright.plugins.api import Finding, Severity

from .records import Fate, Records

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]


@dataclass(frozen=True, slots=True)
class Points:
    """N points.

    xy         (N, 2) drawing units
    z          (N,) group 30; thickness (N,) group 39; both 0 where absent
    angle      (N,) group 50 in degrees, the direction of the point's x axis; NaN where absent
    category   (N,) group 70; -1 where absent
    layer, row, group   as in `Strokes`
    """

    xy: FloatArray
    z: FloatArray
    thickness: FloatArray
    angle: FloatArray
    category: IntArray
    layer: IntArray
    row: IntArray
    group: IntArray

    @property
    def n(self) -> int:
        """Number of points."""
        return len(self.xy)

    def picked(self, which: IntArray) -> Points:
        """Chosen points, in the order given."""
        return Points(
            self.xy[which], self.z[which], self.thickness[which], self.angle[which],
            self.category[which], self.layer[which], self.row[which], self.group[which],
        )  # fmt: skip

    def moved(self, matrices: FloatArray) -> Points:
        """Each point under its own affine matrix (N, 2, 3).

        The direction turns with the matrix, and the two lengths grow as lengths in that
        direction do (all directions alike but for a matrix that stretches unevenly). A drawing
        library moves the point alone and leaves the rest; the notch would point elsewhere.
        """
        linear = matrices[:, :, :2]
        xy = np.einsum("nij,nj->ni", linear, self.xy) + matrices[:, :, 2]
        det = np.abs(linear[:, 0, 0] * linear[:, 1, 1] - linear[:, 0, 1] * linear[:, 1, 0])
        radians = np.radians(self.angle)
        direction = np.stack((np.cos(radians), np.sin(radians)), axis=1)
        turned = np.einsum("nij,nj->ni", linear, direction)
        along = np.hypot(turned[:, 0], turned[:, 1])
        known = np.isfinite(along)
        grow = np.where(known, along, np.sqrt(det))
        angle = np.degrees(np.arctan2(turned[:, 1], turned[:, 0]))
        return replace(
            self,
            xy=xy,
            angle=np.where(known, angle, np.nan),
            z=self.z * grow,
            thickness=self.thickness * grow,
        )


def points_of(records: Records) -> Points:
    """All POINTs with a place."""
    rows = records.rows_of("POINT")
    rows = rows[records.fate[rows] != Fate.DROPPED]
    x, y = records.real(10, np.nan)[rows], records.real(20, np.nan)[rows]
    whole = np.isfinite(x + y)
    for row in rows[~whole].tolist():
        records.drop([row])
        records.findings.append(
            Finding(
                code="dxf.incomplete",
                severity=Severity.ERROR,
                message=f"a POINT on layer {records.layer_of(row)} lacks a coordinate; it is left "
                "out",
                line=records.line(row),
                hint="mend the entity, or ask for the file again",
            )
        )
    rows, x, y = rows[whole], x[whole], y[whole]
    records.fate[rows] = Fate.CONVERTED
    return Points(
        np.stack((x, y), axis=1),
        records.real(30)[rows],
        records.real(39)[rows],
        records.real(50, np.nan)[rows],
        records.whole(70, -1)[rows],
        records.layers[rows].astype(np.int64),
        rows,
        records.owner[rows].astype(np.int64),
    )
