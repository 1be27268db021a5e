"""A plan as TOML, and the plan that a pattern holds."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from fractions import Fraction

from seamwright.model import Ease, Pattern, Run, Seam, Shape
from seamwright.units import format_length, parse_length

from .grammar import written_part
from .kinds import PiecePlan, SeamPlan

_BARE = re.compile(r"[A-Za-z0-9_-]+")
_ESCAPES = {"\\": "\\\\", '"': '\\"', "\n": "\\n", "\t": "\\t", "\r": "\\r"}


def plan_of(pattern: Pattern) -> SeamPlan:
    """The plan that a pattern holds: names given to its marks, and its seams.

    A mark that only has its number is left nameless; a piece without names is left out. Applied
    to the same pattern, the plan changes nothing.
    """
    pieces: dict[str, PiecePlan] = {}
    for piece in pattern.pieces:
        if not piece.shapes:
            continue
        base = next((s for s in piece.shapes if s.size == pattern.base_size), piece.shapes[0])
        names = _names_of(base)
        if names.corners is not None or names.notches is not None:
            pieces[piece.name] = names
    return SeamPlan(pieces=pieces, seams=pattern.seams)


def plan_toml(plan: SeamPlan, *, units: str = "mm") -> str:
    """The plan as TOML; `load_plan` reads back an equal plan.

    Lengths are written in `units` where that is exact (inches to 1/32), else in mm, digits kept.
    """
    out = [
        "# Seam plan: which edges are sewn together, with how much ease.",
        "# Corners and notches are named in outline order, anticlockwise from corner 1.",
        f"units = {quoted(units)}",
    ]
    for name, piece in plan.pieces.items():
        out += ["", f"[pieces.{key(name)}]"]
        if piece.corners is not None:
            out.append(f"corners = {_list(piece.corners)}")
        if piece.notches is not None:
            out.append(f"notches = {_list(piece.notches)}")
    for seam in plan.seams:
        out += ["", *seam_lines(seam, units)]
    return "\n".join(out) + "\n"


def key(name: str) -> str:
    """A TOML key: bare where that is allowed."""
    return name if _BARE.fullmatch(name) else quoted(name)


def quoted(text: str) -> str:
    """A TOML basic string."""
    out = []
    for c in text:
        if c in _ESCAPES:
            out.append(_ESCAPES[c])
        elif ord(c) < 0x20 or ord(c) == 0x7F:
            out.append(f"\\u{ord(c):04x}")
        else:
            out.append(c)
    return '"' + "".join(out) + '"'


def _names_of(shape: Shape) -> PiecePlan:
    def named(marks: Iterable[str], what: str) -> tuple[str, ...] | None:
        names = tuple(
            "" if mark == f"{what}-{number}" else mark for number, mark in enumerate(marks, start=1)
        )
        return names if any(names) else None

    return PiecePlan(
        corners=named([c.name for c in shape.corners], "corner"),
        notches=named([n.name for n in shape.notches], "notch"),
    )


def seam_lines(seam: Seam, units: str) -> list[str]:
    """A seam's table, line by line."""
    out = [
        "[[seam]]",
        f"name = {quoted(seam.name)}",
        f"sew  = {_run(seam.sew)}",
        f"to   = {_run(seam.to)}",
    ]
    if seam.cap is not None:
        out.append(f"cap  = {quoted(seam.cap)}")
    if seam.ease is not None:
        out.append(f"ease = {_ease(seam.ease, units)}")
    if seam.meet:
        out.append(f"meet = {_list([f'{a} = {b}' for a, b in seam.meet])}")
    return out


def _run(run: Run) -> str:
    texts = [written_part(part) for part in run.parts]
    return quoted(texts[0]) if len(texts) == 1 else _list(texts)


def _ease(ease: Ease, units: str) -> str:
    low, high = _length(ease.at_least, units), _length(ease.at_most, units)
    return f"{{ at-least = {quoted(low)}, at-most = {quoted(high)} }}"


def _length(mm: float, units: str) -> str:
    """A length that reads back as the very same float."""
    if units == "in":
        part = Fraction(mm / 25.4).limit_denominator(32)
        whole, rest = divmod(abs(part), 1)
        words = [str(whole)] if whole or not rest else []
        text = ("-" if part < 0 else "") + " ".join([*words, *([str(rest)] if rest else [])])
        text += " in"
    else:
        text = format_length(mm, units)
    try:
        if parse_length(text) == mm:
            return text
    except ValueError:
        pass
    return f"{_digits(mm)} mm"


def _digits(value: float) -> str:
    from decimal import Decimal  # noqa: PLC0415 - rarely needed

    text = format(Decimal(repr(value)), "f")
    return text if len(text) <= 40 else repr(value)


def _list(texts: Sequence[str]) -> str:
    items = [quoted(text) for text in texts]
    line = f"[{', '.join(items)}]"
    if len(line) <= 88:
        return line
    return "[\n" + "".join(f"    {item},\n" for item in items) + "]"
