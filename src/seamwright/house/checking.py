"""A pattern checked as its house asks: walked, its sizes held against one another, its rules."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from seamwright.findings import Finding, in_order
from seamwright.pipeline.checking import Checked, nested, walked
from seamwright.plugins.context import UnitName
from seamwright.plugins.registry import Registry

from .apply import rule_findings, with_ease
from .kinds import House

if TYPE_CHECKING:
    from seamwright.model import Pattern

_OF_TOLERANCE = {
    "seam": "tolerance",
    "notch-warning": "notch-warning",
    "notch-error": "notch-error",
}
"""Key of the rules -> option of the walk."""


def judged(
    pattern: Pattern,
    options: Mapping[str, Any],
    *,
    house: House | None = None,
    units: UnitName = "mm",
    registry: Registry | None = None,
    file: str | None = None,
    words: bool = False,
) -> Checked:
    """Walks every seam in every size, holds sizes against one another, and the pattern against
    the house's rules. What the user says outright (`options`) beats a rule's tolerance. A finding
    that goes back to a rule says which, and where it stands."""
    ruled: dict[str, str] = {}
    asked = dict(options)
    walking = pattern
    if house is not None:
        walking, ruled = with_ease(pattern, house)
        for key, option in _OF_TOLERANCE.items():
            if key in house.tolerances and option not in asked:
                asked[option] = f"{house.tolerances[key].value!r} mm"
    checked = walked(walking, asked, units=units, registry=registry, file=file, words=words)
    found = [*checked.findings, *nested(pattern, units=units, registry=registry, file=file)]
    if house is not None:
        planned = {s.name for s in pattern.seams if s.ease is not None}
        found = [_ruled(f, house, ruled, planned, options) for f in found]
        found += rule_findings(pattern, house, file=file)
    return replace(checked, findings=tuple(in_order(found)))


def _ruled(
    finding: Finding,
    house: House,
    ruled: Mapping[str, str],
    planned: set[str],
    options: Mapping[str, Any],
) -> Finding:
    """The finding with the rule behind it. planned: seams whose range the plan states, so that
    no tolerance was asked."""
    if finding.rule is not None or finding.seam is None:
        return finding
    if finding.code in ("seam.over", "seam.under"):
        if finding.seam in ruled:
            return finding.but(rule=ruled[finding.seam])
        rule = house.tolerances.get("seam")
        if rule is not None and "tolerance" not in options and finding.seam not in planned:
            return finding.but(rule=str(rule))
    if finding.code.startswith("notch."):
        rule = house.tolerances.get("notch-error") or house.tolerances.get("notch-warning")
        if rule is not None:
            return finding.but(rule=str(rule))
    return finding
