"""Laying a plan on a pattern: marks get their names, seams are looked up and checked."""

from __future__ import annotations

from seamwright.findings import Finding
from seamwright.model import Pattern, Piece
from seamwright.model.measure import measure

from .carried import carried
from .kinds import SeamPlan
from .lookup import Lookup
from .naming import Naming
from .places import places
from .voice import Voice


def apply_plan(
    pattern: Pattern, plan: SeamPlan, *, file: str | None = None
) -> tuple[Pattern, tuple[Finding, ...]]:
    """The pattern with the plan's names on its marks and the plan's seams; and what was noticed.

    A plan without seams leaves those that the pattern has. `file` is the plan's display name
    where the plan itself has none. Names of pieces and marks are looked up exactly, else without
    regard to case, spaces and dashes, with a note.

    Raises SeamwrightError, with the plan's line and the nearest valid names, for an unknown
    piece, corner or notch, for more or fewer names than marks, for two marks between which the
    way round the outline is in doubt, and for notches to meet that do not lie on their run. Sizes
    whose pieces have other corners than the base size are no error: names go where they can.
    """
    voice = Voice(plan, file, [piece.name for piece in pattern.pieces])
    naming = Naming(voice, pattern.base_size)
    renamed: dict[str, Piece] = {}
    for written, names in plan.pieces.items():
        name = voice.piece(written, ("pieces", written))
        if name in renamed:
            raise voice.refuse(
                "plan.twice",
                f'the plan names the marks of piece "{name}" twice',
                ("pieces", written),
                "put all names of a piece in one table",
                piece=name,
            )
        renamed[name] = naming.named(pattern.piece(name), names, written)
    named = pattern.with_pieces(renamed.values())
    measure(shape for piece in named.pieces for shape in piece.shapes)
    naming.say_strayed()
    if plan.seams:
        seams = Lookup(voice, places(named)).seams()
    else:
        seams = carried(pattern, named)
    same = all(a is b for a, b in zip(named.pieces, pattern.pieces, strict=True))
    if same and seams == pattern.seams:
        return pattern, tuple(voice.findings)
    return named.but(seams=seams), tuple(voice.findings)
