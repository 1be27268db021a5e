"""Shapes by group put together into pieces and a pattern."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from seamwright.model import Foreign, GradeRules, Pattern, Piece, Shape, align_sizes
from seamwright.plugins.api import Finding, Severity

from .keywords import quantity


@dataclass(slots=True)
class PieceFacts:
    """What the file says of one group beside its drawing."""

    quantity: str = ""
    material: str = ""
    category: str = ""
    copies: tuple[int, int] = (1, 0)


@dataclass(slots=True)
class Style:
    """What the file says of the whole style."""

    name: str
    sizes: tuple[str, ...]
    base: str
    notes: tuple[tuple[str, str], ...] = ()
    rules: GradeRules | None = None
    foreign: tuple[Foreign, ...] = field(default=())


def pattern_of(
    shapes: Mapping[int, Shape], names: Sequence[str], facts: Mapping[int, PieceFacts],
    style: Style, findings: list[Finding],
) -> Pattern:  # fmt: skip
    """The pattern: pieces in the order of the file, their sizes in the pattern's order."""
    by_name: dict[str, list[int]] = {}
    for group in sorted(shapes):
        by_name.setdefault(names[group], []).append(group)
    rank = {size: i for i, size in enumerate(style.sizes)}
    pieces = []
    for name, groups in by_name.items():
        groups.sort(key=lambda g: rank[shapes[g].size])
        piece = Piece(
            name=name,
            shapes=tuple(shapes[g] for g in groups),
            quantity=_quantity(name, [facts[g] for g in groups], findings),
            material=_one(name, "material", [facts[g].material for g in groups], findings),
            category=_one(name, "category", [facts[g].category for g in groups], findings),
        )
        _compare_sizes(piece, style.base, findings)
        pieces.append(align_sizes(piece, style.base))
    return Pattern(
        name=style.name, pieces=tuple(pieces), sizes=style.sizes, base_size=style.base,
        grade_rules=style.rules, notes=style.notes, foreign=style.foreign,
    )  # fmt: skip


def _quantity(name: str, facts: Sequence[PieceFacts], findings: list[Finding]) -> tuple[int, int]:
    stated = [(f.quantity, quantity(f.quantity)) for f in facts if f.quantity]
    for text, value in stated:
        if value is None:
            findings.append(
                Finding(
                    code="piece.quantity",
                    severity=Severity.WARNING,
                    message=f'the quantity "{text}" is no count; one is taken',
                    piece=name,
                    hint='write it as "right,left"',
                )
            )
            break
    values = [value for _, value in stated if value is not None]
    if values:
        if len(set(values)) > 1:
            findings.append(
                Finding(
                    code="piece.differs",
                    severity=Severity.WARNING,
                    message="the quantity differs from size to size; the first is taken",
                    piece=name,
                    hint="look which is right",
                )
            )
        return values[0]
    return max((f.copies for f in facts), default=(1, 0))


def _one(name: str, what: str, values: Sequence[str], findings: list[Finding]) -> str:
    found = [v for v in dict.fromkeys(values) if v]
    if len(found) > 1:
        findings.append(
            Finding(
                code="piece.differs",
                severity=Severity.WARNING,
                message=f"the {what} differs from size to size ({', '.join(found[:4])}); the "
                "first is taken",
                piece=name,
                hint="look which is right",
            )
        )
    return found[0] if found else ""


def _compare_sizes(piece: Piece, base: str, findings: list[Finding]) -> None:
    """Say in which sizes a piece has other corners or notches than in most."""
    if len(piece.shapes) < 2:
        return
    for what in ("corners", "notches"):
        counts = [len(getattr(shape, what)) for shape in piece.shapes]
        usual = Counter(counts).most_common()
        if len(usual) == 1:
            continue
        best = usual[0][1]
        wanted = next(
            (len(getattr(s, what)) for s in piece.shapes
             if s.size == base and counts.count(len(getattr(s, what))) == best),
            usual[0][0],
        )  # fmt: skip
        for shape, count in zip(piece.shapes, counts, strict=True):
            if count != wanted:
                findings.append(
                    Finding(
                        code="nest.topology",
                        severity=Severity.WARNING,
                        message=f"{count} {what} in this size, {wanted} in most others",
                        piece=piece.name,
                        size=shape.size,
                        measured=float(count),
                        limit=float(wanted),
                        hint="a corner or notch is missing here, or one is too many",
                    )
                )
