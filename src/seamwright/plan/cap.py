"""The sleeve cap, from the plan alone: its two halves, shoulder point and underarm points."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from seamwright.findings import SeamwrightError, did_you_mean
from seamwright.geometry import Curve, FloatArray
from seamwright.model import LineRole, Pattern, Seam, Shape
from seamwright.model.measure import measure

from .grammar import parse_mark
from .runs import ResolvedPart, resolve_run


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class CapHalf:
    """One half of a cap, from the underarm point up to the shoulder point.

    seam      the plan's seam; the sleeve is its sew side
    underarm  name of the underarm point; shoulder: of the shoulder point on this half
    notches   marks of the sleeve that must meet the armhole's, in the plan's order
    on_sleeve where the half lies on the sleeve's seam line, in every size
    to_lengths  (Z,) length of the armhole's part that it is sewn to, mm
    """

    seam: Seam
    underarm: str
    shoulder: str
    notches: tuple[str, ...]
    on_sleeve: ResolvedPart
    to_lengths: FloatArray

    @property
    def lengths(self) -> FloatArray:
        """(Z,) length of the half along the sleeve, mm."""
        return self.on_sleeve.lengths

    @property
    def ease(self) -> FloatArray:
        """(Z,) ease of the half, mm."""
        return self.lengths - self.to_lengths

    def curve(self, shape: Shape, z: int) -> Curve:
        """The half as an open curve from the underarm to the shoulder point, in size number z,
        whose shape is given."""
        return part_curve(shape, self.on_sleeve, z)


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Cap:
    """A sleeve cap. sleeve: name of its piece; sizes: the pattern's; shoulder: name of the
    shoulder point; underarm_back, underarm_front: the ends of the bicep line."""

    sleeve: str
    sizes: tuple[str, ...]
    back: CapHalf
    front: CapHalf

    @property
    def shoulder(self) -> str:
        """Name of the shoulder point."""
        return self.back.shoulder

    @property
    def underarm_back(self) -> str:
        """Name of the back underarm point."""
        return self.back.underarm

    @property
    def underarm_front(self) -> str:
        """Name of the front underarm point."""
        return self.front.underarm

    @property
    def halves(self) -> tuple[CapHalf, CapHalf]:
        """Back and front."""
        return self.back, self.front


def part_curve(shape: Shape, part: ResolvedPart, z: int) -> Curve:
    """A resolved part as an open curve in sewing order, in size number z, whose shape is given.

    A dart's mouth on the way is part of the curve. Raises ValueError where the size lacks an end.
    """
    start, end = float(part.starts[z]), float(part.ends[z])
    if not (np.isfinite(start) and np.isfinite(end)):
        raise ValueError(f'"{part.part}" has no place in size {shape.size}')
    if part.forward:
        return shape.seam_line.part(start, end)
    return shape.seam_line.part(end, start).reversed()


def has_cap(pattern: Pattern) -> bool:
    """Whether the pattern's seams say that there is a sleeve cap."""
    return any(seam.cap is not None for seam in pattern.seams)


def cap_of(pattern: Pattern, *, sleeve: str | None = None) -> Cap:
    """The sleeve cap of a pattern; of the sleeve named, where there are several.

    Raises SeamwrightError when no seam is marked as a half of a cap, when a half is missing or
    there twice, when the halves do not end at one shoulder point, and when the points lie out of
    order on the sleeve in some size.
    """
    halves = [seam for seam in pattern.seams if seam.cap is not None]
    if not halves:
        raise SeamwrightError.of(
            "cap.none",
            "no seam of the plan is marked as a half of a sleeve cap",
            hint='write cap = "back" and cap = "front" on the two seams of the cap',
        )
    sleeves = list(dict.fromkeys(_sleeve(seam) for seam in halves))
    if sleeve is None:
        if len(sleeves) > 1:
            names = ", ".join(f'"{name}"' for name in sleeves)
            raise SeamwrightError.of(
                "cap.several",
                f"the plan has caps on several pieces: {names}",
                hint="name the sleeve that is meant",
            )
        sleeve = sleeves[0]
    elif sleeve not in sleeves:
        raise SeamwrightError.of(
            "cap.none",
            f'no seam of the plan is marked as a half of a cap on piece "{sleeve}"',
            piece=sleeve,
            hint=did_you_mean(sleeve, sleeves),
        )
    own = [seam for seam in halves if _sleeve(seam) == sleeve]
    back, front = _half(pattern, own, "back", sleeve), _half(pattern, own, "front", sleeve)
    cap = Cap(sleeve=sleeve, sizes=pattern.sizes, back=back, front=front)
    _one_shoulder(cap)
    _in_order(cap, pattern)
    return cap


def _sleeve(seam: Seam) -> str:
    pieces = seam.sew.pieces
    if len(pieces) != 1 or len(seam.sew.parts) != 1:
        raise SeamwrightError.of(
            "cap.sleeve",
            f'seam "{seam.name}" is a half of a cap, but its sew side is not one run of one '
            f"piece: {seam.sew}",
            seam=seam.name,
            hint="in a cap's seams the sleeve is on the sew side: sew = \"Sleeve: underarm > "
            'shoulder"',
        )
    return pieces[0]


def _half(pattern: Pattern, seams: Iterable[Seam], side: str, sleeve: str) -> CapHalf:
    found = [seam for seam in seams if seam.cap == side]
    if len(found) != 1:
        told = "no seam" if not found else f"{len(found)} seams"
        raise SeamwrightError.of(
            "cap.half",
            f'the cap of "{sleeve}" has {told} marked cap = "{side}"',
            piece=sleeve,
            hint="mark one seam as the back half and one as the front half",
        )
    seam = found[0]
    sew, to = resolve_run(pattern, seam.sew), resolve_run(pattern, seam.to)
    part = sew.parts[0]
    return CapHalf(
        seam=seam,
        underarm=part.part.marks[0],
        shoulder=part.part.marks[-1],
        notches=tuple(parse_mark(pair[0]).name for pair in seam.meet),
        on_sleeve=part,
        to_lengths=to.lengths,
    )


def _one_shoulder(cap: Cap) -> None:
    back, front = cap.back.on_sleeve, cap.front.on_sleeve
    apart = _apart(back.ends, front.ends)
    if cap.back.shoulder != cap.front.shoulder and not np.all(apart[np.isfinite(apart)] < 1e-6):
        raise SeamwrightError.of(
            "cap.shoulder",
            f'the halves of the cap of "{cap.sleeve}" end at different points: the back at '
            f'"{cap.back.shoulder}", the front at "{cap.front.shoulder}"',
            piece=cap.sleeve,
            hint="both halves start at the underarm and end at the shoulder point",
        )


def _apart(a: FloatArray, b: FloatArray) -> FloatArray:
    out: FloatArray = np.abs(a - b)
    return out


def _in_order(cap: Cap, pattern: Pattern) -> None:
    """Along the outline: one underarm point, the shoulder point, the other underarm point."""
    back, front = cap.back.on_sleeve, cap.front.on_sleeve
    if back.forward == front.forward:
        raise _out_of_order(
            cap, None, "both halves run round the sleeve the same way", pattern.base_size
        )
    up, down = (back, front) if back.forward else (front, back)
    column = {size: z for z, size in enumerate(pattern.sizes)}
    shapes = [shape for shape in pattern.piece(cap.sleeve).shapes if shape.size in column]
    for shape, own in zip(shapes, measure(shapes), strict=True):
        size, z = shape.size, column[shape.size]
        if not np.isfinite([up.starts[z], up.ends[z], down.starts[z]]).all():
            continue
        if up.lengths[z] + down.lengths[z] > own.length + 1e-6:
            raise _out_of_order(cap, size, "the halves overlap", size)
        start, top, end = (
            _place(shape, mark, float(at))
            for mark, at in (
                (up.part.marks[0], up.starts[z]),
                (up.part.marks[-1], up.ends[z]),
                (down.part.marks[0], down.starts[z]),
            )
        )
        # With the piece on the left of travel a cap lies to the right of its bicep line.
        line, rise = end - start, top - start
        if line[0] * rise[1] - line[1] * rise[0] >= 0.0:
            raise _out_of_order(
                cap, size, "the shoulder point does not lie above the bicep line", size
            )


def _place(shape: Shape, mark: str, at: float) -> FloatArray:
    """The point of a mark on the seam line, `at` mm along it."""
    stations = {n.name: n.station for n in shape.notches if n.line is LineRole.SEAM}
    stations |= {c.name: c.station for c in shape.corners}
    if mark in stations:
        return shape.seam_line.point_of(stations[mark])
    return np.asarray(shape.seam_line.point_at(at), dtype=np.float64)


def _out_of_order(cap: Cap, size: str | None, why: str, where: str) -> SeamwrightError:
    return SeamwrightError.of(
        "cap.order",
        f'the points of the cap of "{cap.sleeve}" lie out of order in size {where}: {why}',
        piece=cap.sleeve,
        size=size,
        hint="each half runs from its own underarm point up to the shoulder point: "
        f'back "{cap.underarm_back} > {cap.back.shoulder}", '
        f'front "{cap.underarm_front} > {cap.front.shoulder}"; look at the names in the picture '
        "that `seamwright plan FILE` draws",
    )
