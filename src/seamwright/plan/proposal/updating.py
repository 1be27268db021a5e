"""An older plan and a newer version of the style: what a person confirmed is kept word for word,
names are found again on the marks that moved, and what is new is added."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from seamwright.findings import Finding, SeamwrightError, Severity
from seamwright.model import Pattern

from ..apply import apply_plan
from ..kinds import PiecePlan, SeamPlan
from ..load import load_plan
from .seen import Seen, found_again, load_seen

_HEADER = re.compile(r"\s*\[\[?\s*([A-Za-z_-]+)")


@dataclass(frozen=True, slots=True, eq=False)
class Refitted:
    """An old plan on a new pattern.

    pattern   with the old names and the old seams that can still be followed
    names     of the marks, for every piece that has any
    seams     names of all seams in the plan, those that cannot be followed too
    findings  what was found again, and what was not
    """

    pattern: Pattern
    names: dict[str, PiecePlan]
    seams: tuple[str, ...]
    findings: tuple[Finding, ...]


def refitted(pattern: Pattern, text: str, file: str | None = None) -> Refitted:
    """The plan in `text`, written for this style or an older version of it, laid on the pattern.

    Raises SeamwrightError for a text that is no plan. A seam whose marks are gone is left out of
    the pattern, with a finding; it stays in the file.
    """
    plan = load_plan(text, file)
    before = load_seen(text)
    findings: list[Finding] = []
    names: dict[str, PiecePlan] = {}
    pieces = {p.name: p for p in pattern.pieces}
    for name, own in plan.pieces.items():
        if name not in pieces:
            findings.append(_finding("plan.update-piece", f'piece "{name}" is gone', file, name))
            continue
        shape = next((s for s in pieces[name].shapes if s.size == pattern.base_size), None)
        if shape is None:
            continue
        seen = before.get(name)
        again = found_again(seen, own, shape) if seen is not None and _whole(own, seen) else None
        if again is None:
            counts = (len(shape.corners), len(shape.notches))
            again = own if _fits(own, counts) else None
        if again is None:
            findings.append(
                _finding(
                    "plan.update-names",
                    f'the marks of piece "{name}" are not those that the plan names',
                    file, name,
                )
            )  # fmt: skip
            continue
        lost = _lost(own, again)
        if lost:
            findings.append(
                _finding(
                    "plan.update-marks",
                    f'piece "{name}" has lost {", ".join(lost)}',
                    file, name,
                )
            )  # fmt: skip
        names[name] = again
    named, said = apply_plan(pattern.but(seams=()), SeamPlan(pieces=names), file=file)
    findings += said
    followed = []
    for seam in plan.seams:
        try:
            one, said = apply_plan(named, SeamPlan(seams=(seam,)), file=file)
        except SeamwrightError as error:
            findings.append(
                error.finding.but(
                    severity=Severity.WARNING,
                    message=f'seam "{seam.name}" is kept, but cannot be followed: '
                    f"{error.finding.message}",
                )
            )
            continue
        followed += list(one.seams)
        findings += said
    told = tuple(seam.name for seam in plan.seams)
    return Refitted(named.but(seams=tuple(followed)), names, told, tuple(findings))


def _whole(own: PiecePlan, seen: Seen) -> bool:
    """Whether the plan names the marks that it remembers."""
    return (own.corners is None or len(own.corners) == len(seen.corners)) and (
        own.notches is None or len(own.notches) == len(seen.notches)
    )


def _fits(own: PiecePlan, counts: tuple[int, int]) -> bool:
    return all(
        given is None or len(given) == count
        for given, count in zip((own.corners, own.notches), counts, strict=True)
    )


def _lost(own: PiecePlan, again: PiecePlan) -> list[str]:
    out = []
    for old, new in ((own.corners, again.corners), (own.notches, again.notches)):
        out += [f'"{n}"' for n in old or () if n and n not in (new or ())]
    return out


def merged(
    kept: Mapping[str, PiecePlan], proposed: Mapping[str, PiecePlan]
) -> dict[str, PiecePlan]:
    """The names that stand, and for pieces that had none what is proposed. A piece that was named
    keeps its numbers where it had them."""
    out = dict(proposed)
    out.update(kept)
    for name, plan in kept.items():
        more = proposed.get(name)
        if more is not None:
            out[name] = PiecePlan(
                corners=plan.corners if plan.corners is not None else more.corners,
                notches=plan.notches if plan.notches is not None else more.notches,
            )
    return out


def confirmed_text(text: str) -> str:
    """The tables of seams of an older plan with the comments before each, word for word."""
    blocks: list[tuple[str, list[str]]] = [("", [])]
    waiting: list[str] = []
    for line in text.splitlines():
        found = _HEADER.match(line)
        if found and not line.lstrip().startswith("#") and _is_header(line):
            blocks.append((found[1], [*waiting, line]))
            waiting = []
        elif not line.strip() or line.lstrip().startswith("#"):
            waiting.append(line)
        else:
            blocks[-1][1].extend([*waiting, line])
            waiting = []
    lines = [_own(block) for kind, block in blocks if kind == "seam"]
    return "\n\n".join("\n".join(block) for block in lines) + "\n" if lines else ""


def _is_header(line: str) -> bool:
    return bool(re.match(r"\s*\[\[?[^=]*\]\]?\s*(#.*)?$", line))


def _own(block: Sequence[str]) -> list[str]:
    """A seam's table with the comment that stands right before it; comments farther up belong to
    something else (an unsure seam, a heading), and are made anew."""
    at = next(k for k, line in enumerate(block) if _is_header(line))
    start = at
    while start > 0 and block[start - 1].strip():
        start -= 1
    return list(block[start:])


def _finding(code: str, message: str, file: str | None, piece: str) -> Finding:
    return Finding(
        code=code, severity=Severity.WARNING, message=message, file=file, piece=piece,
        hint="look at the picture, and at the seams that name it",
    )  # fmt: skip
