"""The walk over every seam, and sizes held against one another: what `check` runs on a pattern."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from seamwright.findings import Finding, SeamwrightError, Severity, in_order, worst
from seamwright.plugins import registry as registries
from seamwright.plugins.building import build
from seamwright.plugins.calling import call, signed
from seamwright.plugins.context import Context, UnitName
from seamwright.plugins.registry import Registry
from seamwright.units import format_length

if TYPE_CHECKING:
    from seamwright.model import Pattern

WALK = "walk"
"""The step that `check` runs, by its name: whichever plugin brings it."""
NEST = ("check-nest", "check-grade")
"""What `check` runs besides on several sizes (the second only where there are grade rules)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Checked:
    """What a walk found.

    seams      one row for each seam in each size, with the keys of `check --json`; lengths in mm
    findings   worst first
    looked_at  how many seams in sizes were measured; 0: nothing was looked at, see `skipped`
    figures    all figures of the check
    """

    seams: tuple[Mapping[str, Any], ...]
    findings: tuple[Finding, ...]
    looked_at: int = 0
    skipped: str = ""
    figures: Mapping[str, Any]
    units: UnitName = "mm"

    @property
    def ok(self) -> bool:
        """Whether seams were walked and none gave an error."""
        return self.looked_at > 0 and worst(self.findings) is not Severity.ERROR

    def __str__(self) -> str:
        if not self.looked_at:
            return f"Nothing was checked: {self.skipped or 'there was nothing to look at'}."
        order = {"over": 0, "under": 0}
        rows = sorted(self.seams, key=lambda r: order.get(r["verdict"], 1))
        lines = [
            f"{r['name']}, size {r['size']}: {format_length(r['sew_length'], self.units)} to "
            f"{format_length(r['to_length'], self.units)}, ease "
            f"{format_length(r['ease'], self.units)}: {r['verdict']}"
            for r in rows
        ]
        return "\n".join(lines)


def walked(
    pattern: Pattern,
    options: Mapping[str, Any],
    *,
    units: UnitName = "mm",
    registry: Registry | None = None,
    file: str | None = None,
    words: bool = False,
) -> Checked:
    """Walks every seam of the pattern in every size, with options by their names outside Python;
    words: they come as texts."""
    entry = (registry or registries.default()).steps.find(WALK)
    where = f"options of {entry.full}"
    made = build(entry.thing.options, options, where=where, units=units, words=words)
    result = call(entry, entry.thing.run, pattern, made, Context(units=units, file=file))
    if result.pattern is not pattern:
        raise SeamwrightError.of(
            "plugin.broke-contract",
            f"{entry.full} is a check but gave back another pattern than it got",
            plugin=entry.full,
        )
    findings = signed(entry, result.findings, entry.thing.codes, file=file)
    return Checked(
        seams=tuple(result.figures.get("seams", ())),
        findings=tuple(in_order(findings)),
        looked_at=result.looked_at,
        skipped=result.skipped,
        figures=result.figures,
        units=units,
    )


def nested(
    pattern: Pattern,
    *,
    units: UnitName = "mm",
    registry: Registry | None = None,
    file: str | None = None,
) -> tuple[Finding, ...]:
    """What the checks of a nest find: sizes held against one another, and against the grade rules
    where there are any. Nothing for a single size, or where no plugin brings these checks."""
    steps = (registry or registries.default()).steps
    if len(pattern.sizes) < 2:
        return ()
    found: list[Finding] = []
    for name in NEST if pattern.grade_rules is not None else NEST[:1]:
        if name not in steps:
            continue
        entry = steps.find(name)
        made = build(entry.thing.options, {}, where=f"options of {entry.full}")
        result = call(entry, entry.thing.run, pattern, made, Context(units=units, file=file))
        found += signed(entry, result.findings, entry.thing.codes, file=file)
    return tuple(found)


_NO_SCALE = ("scale.unknown", "unit.unknown")


def graver(finding: Finding) -> Finding:
    """A finding of reading as a check takes it: without a scale no length means anything, so what
    a conversion may assume a check may not."""
    return finding.but(severity=Severity.ERROR) if finding.code in _NO_SCALE else finding
