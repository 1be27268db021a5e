"""What the notch steps have in common: notches put on shapes, names looked up, seams renamed."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace
from typing import Any

import numpy as np

from seamwright.findings import SeamwrightError, did_you_mean
from seamwright.geometry import FloatArray
from seamwright.model import LineRole, Notch, Pattern, Piece, Run, RunPart, Seam, Shape
from seamwright.model.numbering import number_notches
from seamwright.model.turning import at_joint
from seamwright.plan.grammar import parse_mark, written, written_mark
from seamwright.plan.names import look_up
from seamwright.plan.spots import find_piece
from seamwright.plugins.api import Code, Finding, StepResult

from . import codes

NEAR = 10.0  # mm; common practice, no source: never within about 10 mm of a corner
_HERE = 1e-6  # mm

Mark = tuple[str, str]  # piece, name


def refused(pattern: Pattern, *findings: Finding) -> StepResult:
    """The unchanged pattern and why."""
    return StepResult(pattern=pattern, findings=findings, skipped="nothing was altered")


def told(code: Code, message: str, **fields: Any) -> Finding:
    """A finding of a declared code."""
    return Finding(
        code=code.code, severity=code.severity, message=message, hint=code.remedy, **fields
    )


def unreadable(error: ValueError) -> SeamwrightError:
    """A place that cannot be read, as an error."""
    return SeamwrightError.of("spot.unreadable", str(error))


def notch_names(piece: Piece) -> dict[str, None]:
    """Names of a piece's notches in all sizes, in order."""
    return dict.fromkeys(n.name for s in piece.shapes for n in s.notches)


def find_notch(pattern: Pattern, text: str) -> Mark:
    """A notch written "Piece: notch". SeamwrightError where there is none."""
    try:
        mark = parse_mark(text)
    except ValueError as error:
        raise unreadable(error) from None
    if mark.piece is None:
        raise SeamwrightError.of("spot.unreadable", f'"{text}" names no piece: "Piece: notch"')
    piece = pattern.piece(find_piece(pattern, mark.piece))
    names = notch_names(piece)
    found, _ = look_up(mark.name, list(names))
    if found is None:
        raise SeamwrightError.of(
            "notch.unknown",
            f'piece "{piece.name}" has no notch "{mark.name}"',
            piece=piece.name,
            hint=did_you_mean(mark.name, names),
        )
    return piece.name, found


def put(shape: Shape, notch: Notch, at: float) -> Shape:
    """The shape with the notch at that length of its seam line; one of its name is moved there."""
    seam = shape.seam_line
    station = at_joint(seam, seam.station_at(at % seam.length))
    notch = replace(notch, station=station, line=LineRole.SEAM, distance=0.0, offset=(0.0, 0.0))
    others = [n for n in shape.notches if n.name != notch.name]
    return shape.but(notches=number_notches([*others, notch], seam, shape.cut_line))


def put_all(
    pattern: Pattern, places: Mapping[Mark, tuple[Notch, FloatArray]]
) -> tuple[Pattern, list[Finding]]:
    """Notches at lengths (Z,) along their pieces' seam lines, NaN where there is none; and those
    that come too near to a corner."""
    column = {size: z for z, size in enumerate(pattern.sizes)}
    near: dict[Mark, list[str]] = {}

    def one(piece: Piece, shape: Shape) -> Shape:
        z = column.get(shape.size)
        for (name, notch_name), (notch, at) in places.items():
            if name != piece.name or z is None or not np.isfinite(at[z]):
                continue
            shape = put(shape, notch, float(at[z]))
            if _near_corner(shape, float(at[z])):
                near.setdefault((name, notch_name), []).append(shape.size)
        return shape

    changed = pattern.map_shapes(one)
    findings = [
        told(
            codes.NEAR,
            f'{piece}: notch "{name}" lies less than 10 mm from a corner'
            + (f", in {len(sizes)} sizes" if len(pattern.sizes) > 1 else ""),
            piece=piece, size=sizes[0], limit=NEAR,
        )
        for (piece, name), sizes in near.items()
    ]  # fmt: skip
    return changed, findings


def _near_corner(shape: Shape, at: float) -> bool:
    """Near one, not on it: a notch at a corner that hardly turns marks that place."""
    whole = shape.seam_line.length
    gaps = [
        abs((at - float(shape.seam_line.cumulative[c.station.segment]) + whole / 2) % whole
            - whole / 2)
        for c in shape.corners
    ]  # fmt: skip
    return any(_HERE < gap < NEAR for gap in gaps)


def free_name(taken: Iterable[str], wanted: str) -> str:
    """The name, or with the first free number behind it."""
    names = set(taken)
    if wanted not in names:
        return wanted
    number = 2
    while f"{wanted}-{number}" in names:
        number += 1
    return f"{wanted}-{number}"


def marks_of(piece: Piece) -> set[str]:
    """Names of all corners and notches of a piece."""
    corners = {c.name for s in piece.shapes for c in s.corners}
    return corners | set(notch_names(piece))


def seams_renamed(seams: Iterable[Seam], new: Mapping[Mark, str | None]) -> tuple[Seam, ...]:
    """Seams under their marks' new names; pairs of which a notch is gone (None) are left out.
    A run with a mark that is gone is left as it is: the caller refuses that before."""

    def run(one: Run) -> Run:
        return Run(
            parts=tuple(
                RunPart(piece=p.piece, marks=tuple(new.get((p.piece, m)) or m for m in p.marks))
                for p in one.parts
            )
        )

    def meeting(text: str, one: Run) -> str | None:
        mark = parse_mark(text)
        for piece in one.pieces if mark.piece is None else (mark.piece,):
            if (piece, mark.name) in new:
                name = new[piece, mark.name]
                return None if name is None else written_mark(name, piece=mark.piece)
        return text

    out = []
    for seam in seams:
        pairs = [(meeting(a, seam.sew), meeting(b, seam.to)) for a, b in seam.meet]
        out.append(
            replace(
                seam,
                sew=run(seam.sew),
                to=run(seam.to),
                meet=tuple((a, b) for a, b in pairs if a is not None and b is not None),
            )
        )
    return tuple(out)


def said(piece: str, name: str) -> str:
    """ "Front: waist" as a plan writes it."""
    return f"{written(piece)}: {written(name)}"
