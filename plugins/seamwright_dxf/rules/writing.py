"""Writing a rule table."""

from __future__ import annotations

from seamwright.model import GradeRules
from seamwright.numbers import fixed

from .deltas import Reading, deltas_of

VERSION = "ASTM/D13Proposal 1 Version: D6673-10"
"""The version line, its form from memory and consistent with excerpts."""


def table_text(rules: GradeRules, *, reading: Reading, unit: str, name: str, decimals: int) -> str:
    """The text of a rule table; `unit` is "mm" or "in", `name` that of the style if the rules
    have none."""
    sample = rules.sizes.index(rules.base_size)
    factor = 1.0 if unit == "mm" else 1.0 / 25.4
    head = [VERSION]
    if rules.author:
        head.append(f"AUTHOR: {rules.author}")
    if rules.date:
        head.append(f"CREATION DATE: {rules.date}")
    head += [
        f"UNITS: {'METRIC' if unit == 'mm' else 'ENGLISH'}",
        f"GRADE RULE TABLE: {rules.name or name}",
        f"NUMBER OF SIZES: {len(rules.sizes)}",
        "SIZE LIST: " + _size_list(rules.sizes),
        f"SAMPLE SIZE: {rules.base_size}",
    ]
    lines = list(head)
    for number in sorted(rules.offsets):
        deltas = deltas_of(rules.offsets[number], sample, reading) * factor
        pairs = " ".join(
            f"{fixed(dx, decimals)},{fixed(dy, decimals)}" for dx, dy in deltas.tolist()
        )
        lines += [f"RULE: DELTA {number}", pairs]
    lines.append("END")
    return "\r\n".join(lines) + "\r\n"


def _size_list(sizes: tuple[str, ...]) -> str:
    separator = ", " if any(" " in s for s in sizes) else " "
    return separator.join(sizes)
