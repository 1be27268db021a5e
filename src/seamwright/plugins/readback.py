"""A written file read again and held against what it was made from.

The greatest deviation is stated in every case. A difference that nobody announced is an error and
the fault of the writer (or of its reader) by name.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Final

import numpy as np
from numpy.typing import NDArray

from seamwright.findings import Finding, Severity
from seamwright.geometry.apart import curves_apart

from .descriptors import DROPPED, Carried, Feature, Format
from .features import used
from .loss import carries_with
from .names import Entry

if TYPE_CHECKING:
    from seamwright.geometry import Curve
    from seamwright.model import Pattern, Shape

EXACT: Final = 2e-6
"""mm; what six decimals may move a point of a curve, with room for the arithmetic."""

_ALIKE: Final = 0.5
"""mm; outlines that differ by no more in width and height may be the same."""

Carries = Mapping[Feature, Carried]

# Foreign data of other formats is gone by design; a format's own comes back changed by re-reading.
_NOT_COUNTED: Final = frozenset({Feature.FOREIGN})


@dataclass(frozen=True, slots=True)
class _Worst:
    """The greatest of several distances and where it was."""

    mm: float = 0.0
    what: str = "seam line"
    piece: str | None = None
    size: str | None = None

    def or_worse(self, mm: float, what: str, piece: str, size: str) -> _Worst:
        return _Worst(mm, what, piece, size) if mm > self.mm else self


def compare(
    before: Pattern,
    after: Pattern,
    entry: Entry[Format],
    *,
    options: Any = None,
    context_length: Any = lambda mm: f"{mm:g} mm",
) -> tuple[Finding, ...]:
    """Findings readback.deviation (a note), readback.moved (a note) and loss.unannounced (errors).

    options         of the writer; where curves are carried to a tolerance, its field `tolerance`
                    is the limit of the deviation
    context_length  a length in words
    """
    carries = carries_with(entry.thing, options)
    findings: list[Finding] = []
    by_name = carries.get(Feature.SEVERAL_PIECES, DROPPED).how == "exact"
    pairs, lost = (_pairs if by_name else _pairs_by_shape)(before, after, carries)
    findings += [_unannounced(entry, message, piece=piece) for piece, message in lost]
    worst, moved = _Worst(), 0.0
    for piece, size, a, b in pairs:
        offset, distance = _apart(a, b) if by_name else _apart_turned(a, b)
        moved = max(moved, float(np.hypot(*offset)))
        worst = worst.or_worse(distance, "seam line", piece, size)
        if by_name and _carried(carries, _NOTCHES):
            worst = worst.or_worse(_marks_apart(a, b, offset), "notch", piece, size)
    limit = _limit(carries, options)
    findings += _counts(before, after, entry, carries)
    if limit is not None and worst.mm > limit:
        message = (
            f"{entry.full}: read back, a {worst.what} lies {context_length(worst.mm)} from where "
            f"it was; {context_length(limit)} was announced"
        )
        findings.append(
            _unannounced(
                entry, message, piece=worst.piece, size=worst.size, measured=worst.mm, limit=limit
            )
        )
    if moved > EXACT:
        findings.append(
            Finding(
                code="readback.moved",
                severity=Severity.NOTE,
                message=f"pieces were moved by up to {context_length(moved)} to lie on the page",
                measured=moved,
                plugin=entry.full,
            )
        )
    findings.append(
        Finding(
            code="readback.deviation",
            severity=Severity.NOTE,
            message=f"read back: {_told(pairs, before, by_name)}, greatest deviation "
            + (context_length(worst.mm) if worst.mm > 1e-9 else "none"),
            piece=worst.piece,
            size=worst.size,
            measured=worst.mm,
            limit=limit,
            plugin=entry.full,
        )
    )
    return tuple(findings)


_NOTCHES: Final = (
    Feature.NOTCH_SLIT, Feature.NOTCH_V, Feature.NOTCH_T, Feature.NOTCH_CASTLE,
    Feature.NOTCH_CHECK, Feature.NOTCH_U,
)  # fmt: skip


def _carried(carries: Carries, features: tuple[Feature, ...]) -> bool:
    return all(carries.get(f, DROPPED).how != "dropped" for f in features)


def _limit(carries: Carries, options: Any) -> float | None:
    curve = carries.get(Feature.CURVE, DROPPED)
    if curve.how == "exact":
        return EXACT
    tolerance = getattr(options, "tolerance", None)
    return None if tolerance is None else float(tolerance) + EXACT


def _pairs(
    before: Pattern, after: Pattern, carries: Carries
) -> tuple[list[tuple[str, str, Shape, Shape]], list[tuple[str, str]]]:
    """Outlines that belong together, and (piece, message) for those that are gone or new."""
    pairs, lost = [], []
    there = {piece.name: piece for piece in after.pieces}
    one_size = len(before.sizes) == 1 and len(after.sizes) == 1
    drops_sizes = not _carried(carries, (Feature.SEVERAL_SIZES,))
    drops_pieces = not _carried(carries, (Feature.SEVERAL_PIECES,))
    for piece in before.pieces:
        other = there.pop(piece.name, None)
        if other is None:
            if not drops_pieces:
                lost.append((piece.name, f'the piece "{piece.name}" is not in the file'))
            continue
        for shape in piece.shapes:
            if one_size and len(other.shapes) == 1:
                pairs.append((piece.name, shape.size, shape, other.shapes[0]))
            elif shape.size in other.sizes:
                pairs.append((piece.name, shape.size, shape, other.in_size(shape.size)))
            elif not drops_sizes:
                message = f'the piece "{piece.name}" has no size "{shape.size}" in the file'
                lost.append((piece.name, message))
    lost += [(name, f'the piece "{name}" is in the file but not in the pattern') for name in there]
    return pairs, lost


def _pairs_by_shape(
    before: Pattern, after: Pattern, carries: Carries
) -> tuple[list[tuple[str, str, Shape, Shape]], list[tuple[str, str]]]:
    """Outlines that belong together in a format without names: those of nearly the same width,
    height and area. What finds no partner may be there all the same (in another piece, or as
    another kind of line), so nothing is said to be gone."""
    there = [s for piece in after.pieces for s in piece.shapes]
    spans = np.array([_spans(s) for s in there]).reshape(-1, 3)
    free = np.ones(len(there), dtype=bool)
    pairs = []
    for piece in before.pieces:
        for shape in piece.shapes:
            apart = np.where(free, np.abs(spans - _spans(shape)).max(axis=1), np.inf)
            if len(apart) and apart.min() <= _ALIKE:
                found = int(apart.argmin())
                free[found] = False
                pairs.append((piece.name, shape.size, shape, there[found]))
    return pairs, []


def _spans(shape: Shape) -> NDArray[np.float64]:
    """Both sides of the box, the shorter first, and the side of a square of the same area, mm."""
    x0, y0, x1, y1 = shape.seam_line.bbox
    sides = sorted((x1 - x0, y1 - y0))  # a piece may have been turned to lie on the roll
    return np.array([*sides, abs(shape.seam_line.area) ** 0.5])


def _told(pairs: list[Any], before: Pattern, by_name: bool) -> str:
    whole = sum(len(piece.shapes) for piece in before.pieces)
    return f"{len(pairs)} outlines" if by_name else f"{len(pairs)} of {whole} outlines found again"


def _counts(
    before: Pattern, after: Pattern, entry: Entry[Format], carries: Carries
) -> list[Finding]:
    """Features carried exactly that are fewer or more in the file than in the pattern."""
    name = entry.thing.name
    was, now = used(before, format=name), used(after, format=name)
    out = []
    for feature in Feature:
        if feature in _NOT_COUNTED or carries.get(feature, DROPPED).how != "exact":
            continue
        a = was[feature].count if feature in was else 0
        b = now[feature].count if feature in now else 0
        if a != b:
            message = f"{entry.full}: {feature.value}: {a} in the pattern, {b} in the file"
            out.append(_unannounced(entry, message, measured=float(b), limit=float(a)))
    return out


def _unannounced(entry: Entry[Format], message: str, **fields: Any) -> Finding:
    return Finding(
        code="loss.unannounced",
        severity=Severity.ERROR,
        message=message,
        hint=f"a fault of {entry.plugin.origin}: do not rely on the file; tell its author",
        plugin=entry.full,
        **fields,
    )


def _apart(a: Shape, b: Shape) -> tuple[NDArray[np.float64], float]:
    """How far `b` was moved as a whole against `a`, and the greatest distance apart from that."""
    still = np.zeros(2)
    distance = distance_between(a.seam_line, b.seam_line, at_most=EXACT)
    if distance <= EXACT:
        return still, distance
    offset = np.asarray(b.seam_line.bbox[:2] - a.seam_line.bbox[:2], dtype=np.float64)
    there = b.seam_line.translated(-float(offset[0]), -float(offset[1]))
    moved = distance_between(a.seam_line, there, at_most=EXACT)
    # Only a clear gain is a move: a flattened curve has another box by its tolerance.
    if moved >= 0.5 * distance:
        return still, distance
    if moved <= EXACT:
        return offset, moved
    # Rounded coordinates round the box as well: the middling distance says better what moved.
    points = b.seam_line.joints - offset
    rest = (points - a.seam_line.nearest(points).points).mean(axis=0)
    finer = offset + rest
    there = b.seam_line.translated(-float(finer[0]), -float(finer[1]))
    again = distance_between(a.seam_line, there)
    return (finer, again) if again < moved else (offset, moved)


def _apart_turned(a: Shape, b: Shape) -> tuple[NDArray[np.float64], float]:
    """As `_apart`, for a format whose writer may turn pieces by quarter turns."""
    best = _apart(a, b)
    for c, s in ((0.0, 1.0), (-1.0, 0.0), (0.0, -1.0)):
        if best[1] <= _ALIKE:
            break
        line = b.seam_line.transformed([[c, -s, 0.0], [s, c, 0.0]])
        found = _apart(a, b.but(seam_line=line))
        if found[1] < best[1]:
            best = found
    return best


def distance_between(a: Curve, b: Curve, *, at_most: float = 0.0) -> float:
    """Greatest distance (mm) of either curve from the other, measured at joints and at seven
    places within each segment; where both have the same segments within `at_most`, the greatest
    distance of their control points, which bounds it."""
    if a.segments.shape == b.segments.shape:
        apart = float(np.linalg.norm(a.segments - b.segments, axis=-1).max())
        if apart <= at_most:
            return apart
    return float(curves_apart([(a, b)])[0])


def _marks_apart(a: Shape, b: Shape, offset: NDArray[np.float64]) -> float:
    """Greatest distance of a notch from the nearest of the other's; 0 where there is none."""
    ours, theirs = _notch_points(a), _notch_points(b) - offset
    if not len(ours) or not len(theirs):
        return 0.0
    apart = np.linalg.norm(ours[:, None] - theirs[None], axis=-1)
    return float(apart.min(axis=1).max())


def _notch_points(shape: Shape) -> NDArray[np.float64]:
    lines: Mapping[str, Curve | None] = {"seam": shape.seam_line, "cut": shape.cut_line}
    out = []
    for role, curve in lines.items():
        stations = [n.station for n in shape.notches if n.line.value == role]
        if stations and curve is not None:
            out.append(curve.points_of([s.segment for s in stations], [s.t for s in stations]))
    return np.concatenate(out) if out else np.zeros((0, 2))
