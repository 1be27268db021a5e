"""TEXT, MTEXT and ATTRIB."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from seamwright.plugins.api import Finding, Severity

from ..raw.lettering import plain_mtext
from .records import Fate, Records

FloatArray = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Lettered:
    """One text. at (drawing units), height, rotation (degrees); tag: the name of an attribute."""

    text: str
    x: float
    y: float
    height: float
    rotation: float
    layer: int
    row: int
    group: int
    tag: str = ""

    def moved(self, matrix: FloatArray) -> Lettered:
        """Under an affine matrix (2, 3): place, direction and height."""
        m = matrix
        if m[0, 1] == m[1, 0] == 0.0 and m[0, 0] == m[1, 1] > 0.0:
            grow = float(m[0, 0])
            return replace(
                self,
                x=grow * self.x + float(m[0, 2]),
                y=grow * self.y + float(m[1, 2]),
                height=grow * self.height,
            )
        angle = math.radians(self.rotation)
        dx = float(m[0, 0] * math.cos(angle) + m[0, 1] * math.sin(angle))
        dy = float(m[1, 0] * math.cos(angle) + m[1, 1] * math.sin(angle))
        along = math.hypot(dx, dy)
        det = abs(float(m[0, 0] * m[1, 1] - m[0, 1] * m[1, 0]))
        return replace(
            self,
            x=float(m[0, 0] * self.x + m[0, 1] * self.y + m[0, 2]),
            y=float(m[1, 0] * self.x + m[1, 1] * self.y + m[1, 2]),
            height=self.height * (det / along if along else 1.0),
            rotation=math.degrees(math.atan2(dy, dx)) if along else self.rotation,
        )


def texts_of(records: Records, most: int) -> list[Lettered]:
    """All texts with content, in file order; a text longer than `most` signs is cut, and said."""
    rows = records.rows_of("TEXT", "MTEXT", "ATTRIB")
    rows = rows[records.fate[rows] != Fate.DROPPED]
    if not rows.size:
        return []
    wanted = rows
    first = records.raws(1, wanted)
    tags = records.raws(2, records.rows_of("ATTRIB"))
    x, y = records.real(10), records.real(20)
    x2, y2 = records.real(11, np.nan), records.real(21, np.nan)
    height, turn = records.real(40, 5.0), records.real(50)
    across, upright = records.whole(72), records.whole(73)
    down = records.real(230, 1.0) < 0
    types = dict(enumerate(records.type_names))
    out = []
    lettering = records.lettering
    kinds = records.types[rows].tolist()
    layers = records.layers[rows].tolist()
    owners = records.owner[rows].tolist()
    for row, kind, layer, owner in zip(rows.tolist(), kinds, layers, owners, strict=True):
        name = types[kind]
        text = lettering.text(first.get(row, b""))
        px, py, angle = float(x[row]), float(y[row]), float(turn[row])
        if name == "MTEXT":
            text = plain_mtext(_chunks(records, row))
            if np.isfinite(x2[row] + y2[row]) and (x2[row] or y2[row]):
                angle = math.degrees(math.atan2(y2[row], x2[row]))
        elif (across[row] or upright[row]) and np.isfinite(x2[row] + y2[row]):
            # Other than at the left of its baseline, a text stands at its alignment point.
            px, py = float(x2[row]), float(y2[row])
        if down[row] and name != "MTEXT":
            px, angle = -px, 180.0 - angle
        if len(text) > most:
            records.findings.append(
                Finding(
                    code="dxf.text-long",
                    severity=Severity.WARNING,
                    message=f"a text of {len(text)} signs is cut after {most}",
                    line=records.line(row),
                    hint=f"if you trust the file, raise the limit: --limit text={len(text)}",
                )
            )
            text = text[:most]
        records.fate[row] = Fate.CONVERTED
        tag = lettering.name(tags[row]) if row in tags else ""
        out.append(Lettered(text, px, py, float(height[row]), angle, layer, row, owner, tag))
    return out


def _chunks(records: Records, row: int) -> str:
    """An MTEXT's text: pieces of 250 bytes in group 3, the end in group 1.

    The pieces are joined as bytes: a sign of several bytes may be cut between two of them.
    """
    raw = b"".join(value for code, value in records.tags_of(row) if code in (1, 3))
    return records.lettering.text(raw)
