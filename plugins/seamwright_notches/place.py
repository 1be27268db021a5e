"""place-notch: notches at places, single and double."""

from __future__ import annotations

from typing import Any

import numpy as np

from seamwright.findings import SeamwrightError
from seamwright.geometry import FloatArray, Station
from seamwright.model import Notch, NotchType, Pattern
from seamwright.plan.spots import find_piece, parse_spot, spot_lengths
from seamwright.plugins.api import Context, Finding, StepResult

from . import codes
from .bench import Mark, marks_of, put_all, refused, said, told, unreadable
from .options import PlaceNotch


def place(pattern: Pattern, options: PlaceNotch, ctx: Context) -> StepResult:
    """See the page place-notch."""
    wanted: dict[Mark, tuple[Notch, FloatArray]] = {}
    rows: list[dict[str, Any]] = []
    several = len(options.at) + 2 * len(options.double) > 1
    taken = {p.name: marks_of(p) for p in pattern.pieces}
    try:
        for text, offsets in [
            *((t, (0.0,)) for t in options.at),
            *((t, (-0.5, 0.5)) for t in options.double),
        ]:
            try:
                spot = parse_spot(text, default=ctx.units)
            except ValueError as error:
                raise unreadable(error) from None
            piece = find_piece(pattern, spot.piece)
            at = spot_lengths(pattern, spot)
            for share in offsets:
                if several or options.name == "notch":
                    name = _numbered(taken[piece], options.name)
                else:
                    name = options.name
                if name in taken[piece]:
                    return refused(
                        pattern,
                        told(codes.TAKEN, f'{piece} has a mark "{name}" already', piece=piece),
                    )
                taken[piece].add(name)
                wanted[piece, name] = (_notch(name, options), at + share * float(options.apart))
    except SeamwrightError as error:
        return refused(pattern, error.finding, *error.others)
    changed, near = put_all(pattern, wanted)
    for (piece, name), (_, at) in wanted.items():
        for size, here in zip(pattern.sizes, at, strict=True):
            if np.isfinite(here):
                rows.append({"piece": piece, "notch": name, "size": size, "at": float(here)})
    words = ", ".join(said(*mark) for mark in wanted)
    findings: list[Finding] = [told(codes.PLACED, f"placed {words}"), *near]
    return StepResult(
        pattern=changed,
        findings=tuple(findings),
        looked_at=len(rows),
        figures={"notches": rows},
    )


def _numbered(taken: set[str], name: str) -> str:
    number = 1
    while f"{name}-{number}" in taken:
        number += 1
    return f"{name}-{number}"


def _notch(name: str, options: PlaceNotch) -> Notch:
    return Notch(
        name=name,
        station=Station(0, 0.0),
        type=NotchType(options.type),
        depth=None if options.depth is None else float(options.depth),
        width=None if options.width is None else float(options.width),
    )
