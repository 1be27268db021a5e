"""House rules laid on a pattern: the ease of its seams, and what rules alone find."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace
from fnmatch import fnmatchcase
from typing import TYPE_CHECKING

from seamwright.findings import Finding, Severity, did_you_mean
from seamwright.paper.cloth import Cloth, cloths, read_cloths

from .kinds import House, Rule

if TYPE_CHECKING:
    from seamwright.model import Pattern, Seam
    from seamwright.model.seam import Ease


def with_ease(pattern: Pattern, house: House) -> tuple[Pattern, dict[str, str]]:
    """The pattern with the ease that the rules state for its seams, and for each such seam the
    rule behind it. A rule beats the plan: the customer has the last word. Among rules the last
    that matches counts; half a cap that none matches goes by the cloth's row of the table."""
    ruled: dict[str, str] = {}
    seams: list[Seam] = []
    for seam in pattern.seams:
        found = _ease_of(seam, house)
        if found is None:
            seams.append(seam)
            continue
        ease, rule = found
        ruled[seam.name] = rule
        seams.append(replace(seam, ease=ease))
    return (pattern.but(seams=tuple(seams)) if ruled else pattern), ruled


def _ease_of(seam: Seam, house: House) -> tuple[Ease, str] | None:
    from seamwright.model.seam import Ease  # noqa: PLC0415 - the help of check loads no kernel

    cloth = house.cloth.value if house.cloth is not None else ""
    for own in reversed(house.ease):
        if own.cap and own.cap != seam.cap:
            continue
        if own.cloth and own.cloth.casefold() != cloth.casefold():
            continue
        if matches(own.seam, seam.name):
            return Ease(at_least=own.at_least, at_most=own.at_most), own.stands
    if house.cloth is None or seam.cap is None:
        return None
    row = _cloth(house, cloth)
    if row is None:
        return None
    span = row.side(seam.cap)
    low = 0.0 if span.at_least is None else span.at_least
    return Ease(at_least=low, at_most=span.at_most), f"{house.cloth}: {row.source}"


def _cloth(house: House, name: str) -> Cloth | None:
    own = [c for rule in house.cloths for c in read_cloths(rule.value, name=rule.file)]
    wanted = " ".join(name.casefold().split())
    return next((c for c in [*reversed(own), *cloths()] if c.name.casefold() == wanted), None)


def matches(pattern: str, name: str) -> bool:
    """Whether a name matches a pattern with * and ?, capitals or not."""
    return fnmatchcase(name.casefold(), pattern.casefold())


def rule_findings(pattern: Pattern, house: House, *, file: str | None = None) -> list[Finding]:
    """What the rules find that no walk does: sizes, names, notches, a cloth that is unknown."""
    found = [
        *_sizes(pattern, house),
        *_names(pattern, house),
        *_notches(pattern, house),
        *_unknown_cloth(house),
    ]
    return [f.but(file=file) for f in found]


def _sizes(pattern: Pattern, house: House) -> Iterator[Finding]:
    if house.required is not None:
        for size in house.required.value:
            lacking = [p.name for p in pattern.pieces if size not in p.sizes]
            if size not in pattern.sizes:
                yield _broken(
                    "house.size-missing", f'size "{size}" is missing', house.required, size=size
                )
            elif lacking:
                yield _broken(
                    "house.size-missing",
                    f'size "{size}" is missing in {", ".join(lacking[:5])}'
                    + (f" and {len(lacking) - 5} more" if len(lacking) > 5 else ""),
                    house.required,
                    size=size,
                )
    if house.allowed is not None:
        for size in pattern.sizes:
            if not any(matches(p, size) for p in house.allowed.value):
                yield _broken(
                    "house.size-unknown",
                    f'size "{size}" is none of this house',
                    house.allowed,
                    size=size,
                    hint="rename it, or add it to the rule",
                )
    if house.base is not None and pattern.base_size != house.base.value:
        yield _broken(
            "house.base-size",
            f'the base size is "{pattern.base_size}", not "{house.base.value}"',
            house.base,
        )


def _names(pattern: Pattern, house: House) -> Iterator[Finding]:
    named = {
        "style": [pattern.name],
        "piece": [p.name for p in pattern.pieces],
        "size": list(pattern.sizes),
        "seam": [s.name for s in pattern.seams],
    }
    for kind, rule in house.names.items():
        right = re.compile(rule.value)
        for name in named[kind]:
            if right.fullmatch(name[:200]) is None or len(name) > 200:
                yield _broken(
                    "house.name",
                    f'the {kind} "{name[:80]}" is not named by the rule "{rule.value}"',
                    rule,
                    severity=Severity.WARNING,
                    piece=name if kind == "piece" else None,
                    size=name if kind == "size" else None,
                    seam=name if kind == "seam" else None,
                )


def _notches(pattern: Pattern, house: House) -> Iterator[Finding]:
    for own in house.notches:
        if own.seam:
            for seam in pattern.seams:
                if matches(own.seam, seam.name) and len(seam.meet) < own.at_least:
                    yield _broken(
                        "house.notch-missing",
                        f"{len(seam.meet)} pairs of notches meet on this seam, "
                        f"{own.at_least} are asked for",
                        own.stands,
                        seam=seam.name,
                        measured=float(len(seam.meet)),
                        limit=float(own.at_least),
                    )
            continue
        for piece in pattern.pieces:
            if not matches(own.piece, piece.name):
                continue
            for shape in piece.shapes:
                there = [n.name for n in shape.notches]
                lacking = [n for n in own.names if n not in there]
                if lacking or len(there) < own.at_least:
                    what = (
                        f"it lacks the notches {', '.join(lacking)}"
                        if lacking
                        else f"it has {len(there)} notches, {own.at_least} are asked for"
                    )
                    yield _broken(
                        "house.notch-missing", what, own.stands, piece=piece.name, size=shape.size
                    )


def _unknown_cloth(house: House) -> Iterator[Finding]:
    if house.cloth is None or _cloth(house, house.cloth.value) is not None:
        return
    if any(r.cloth.casefold() == house.cloth.value.casefold() for r in house.ease):
        return
    yield _broken(
        "house.cloth-unknown",
        f'no row of the cloth table and no rule is for "{house.cloth.value}"',
        house.cloth,
        severity=Severity.WARNING,
        hint=did_you_mean(house.cloth.value, [c.name for c in cloths()]),
    )


def _broken(
    code: str,
    message: str,
    rule: Rule | str,
    *,
    severity: Severity = Severity.ERROR,
    hint: str | None = None,
    piece: str | None = None,
    size: str | None = None,
    seam: str | None = None,
    measured: float | None = None,
    limit: float | None = None,
) -> Finding:
    return Finding(
        code=code,
        severity=severity,
        message=message,
        piece=piece,
        size=size,
        seam=seam,
        measured=measured,
        limit=limit,
        hint=hint or "mend the pattern, or the rule if it is wrong",
        rule=str(rule),
    )
