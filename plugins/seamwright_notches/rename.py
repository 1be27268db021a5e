"""remove-notches and rename-notches."""

from __future__ import annotations

from dataclasses import replace

from seamwright.findings import SeamwrightError
from seamwright.model import Pattern, Piece, Shape
from seamwright.plan.names import look_up
from seamwright.plan.spots import find_piece
from seamwright.plugins.api import Context, Finding, StepResult

from . import codes
from .bench import (
    Mark,
    find_notch,
    marks_of,
    notch_names,
    refused,
    said,
    seams_renamed,
    told,
)
from .options import RemoveNotches, RenameNotches


def remove(pattern: Pattern, options: RemoveNotches, ctx: Context) -> StepResult:
    """See the page remove-notches."""
    gone: dict[Mark, None] = {}
    try:
        for text in options.notch:
            piece, _ = look_up(text, [p.name for p in pattern.pieces])
            if piece is not None:
                gone |= dict.fromkeys((piece, n) for n in notch_names(pattern.piece(piece)))
            else:
                gone[find_notch(pattern, text)] = None
    except SeamwrightError as error:
        return refused(pattern, error.finding, *error.others)
    corners = {(p.name, c.name) for p in pattern.pieces for s in p.shapes for c in s.corners}
    held = dict.fromkeys(
        (seam.name, part.piece, name)
        for seam in pattern.seams
        for run in (seam.sew, seam.to)
        for part in run.parts
        for name in part.marks
        if (part.piece, name) in gone and (part.piece, name) not in corners
    )
    if held:
        needed = [
            told(
                codes.IN_PLAN, f'seam "{seam}" needs the notch {said(piece, name)}',
                seam=seam, piece=piece,
            )
            for seam, piece, name in held
        ]  # fmt: skip
        return refused(pattern, *needed)

    def one(piece: Piece, shape: Shape) -> Shape:
        kept = tuple(n for n in shape.notches if (piece.name, n.name) not in gone)
        return shape if len(kept) == len(shape.notches) else shape.but(notches=kept)

    changed = pattern.map_shapes(one)
    seams = seams_renamed(pattern.seams, dict.fromkeys(gone))
    findings: list[Finding] = [
        told(codes.REMOVED, "took away " + ", ".join(said(*mark) for mark in gone))
    ]
    for old, new in zip(pattern.seams, seams, strict=True):
        findings += [
            told(codes.UNPAIRED, f'seam "{old.name}": the pair "{a} = {b}" is gone', seam=old.name)
            for a, b in old.meet
            if (a, b) not in new.meet
        ]
    return StepResult(
        pattern=changed.but(seams=seams) if pattern.seams else changed,
        findings=tuple(findings),
        looked_at=len(gone),
        figures={"removed": [{"piece": p, "notch": n} for p, n in gone]},
    )


def rename(pattern: Pattern, options: RenameNotches, ctx: Context) -> StepResult:
    """See the page rename-notches."""
    new: dict[Mark, str] = {}
    try:
        for old, name in options.names.items():
            new[find_notch(pattern, old)] = name.strip()
        if options.number == ["*"]:
            numbered = [p.name for p in pattern.pieces]
        else:
            numbered = [find_piece(pattern, text) for text in options.number]
    except SeamwrightError as error:
        return refused(pattern, error.finding, *error.others)
    for name in numbered:
        _number(pattern, name, new, keep=options.keep_names)
    new = {mark: name for mark, name in new.items() if mark[1] != name}
    for piece in pattern.pieces:
        own = {m: n for m, n in new.items() if m[0] == piece.name}
        names = [new.get((piece.name, n), n) for n in notch_names(piece)]
        names += sorted({c.name for s in piece.shapes for c in s.corners})
        twice = next((n for n in own.values() if names.count(n) > 1), None)
        if twice is not None:
            return refused(
                pattern,
                told(codes.TAKEN, f'{piece.name} would have two marks "{twice}"', piece=piece.name),
            )
    if not new:
        return StepResult(pattern=pattern, looked_at=len(numbered), figures={"renamed": []})

    def one(piece: Piece, shape: Shape) -> Shape:
        if not any((piece.name, n.name) in new for n in shape.notches):
            return shape
        return shape.but(
            notches=tuple(
                replace(n, name=new.get((piece.name, n.name), n.name)) for n in shape.notches
            )
        )

    changed = pattern.map_shapes(one)
    changed = changed.but(seams=seams_renamed(pattern.seams, new)) if pattern.seams else changed
    words = ", ".join(f"{said(*mark)} -> {name}" for mark, name in list(new.items())[:12])
    more = f" and {len(new) - 12} more" if len(new) > 12 else ""
    return StepResult(
        pattern=changed,
        findings=(told(codes.RENAMED, f"renamed {words}{more}"),),
        looked_at=len(new),
        figures={"renamed": [{"piece": p, "was": n, "is": to} for (p, n), to in new.items()]},
    )


def _number(pattern: Pattern, name: str, new: dict[Mark, str], *, keep: bool) -> None:
    """New names for a piece's notches by their order in the base size, then those that only
    other sizes have."""
    piece = pattern.piece(name)
    lead = next((s for s in piece.shapes if s.size == pattern.base_size), None)
    order = dict.fromkeys(n.name for n in lead.notches) if lead else {}
    order |= notch_names(piece)
    fixed = {new.get((name, n), n) for n in order if keep and not _is_number(n)}
    fixed |= marks_of(piece) - set(order)
    number = 0
    for old in order:
        if (name, old) in new or (keep and not _is_number(old)):
            continue
        number += 1
        while f"notch-{number}" in fixed:
            number += 1
        new[name, old] = f"notch-{number}"


def _is_number(name: str) -> bool:
    head, _, tail = name.rpartition("-")
    return head == "notch" and tail.isdigit()
