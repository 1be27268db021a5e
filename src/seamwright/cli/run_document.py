"""The document that `run --json` prints, and which findings of a run still stand at its end."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from seamwright.findings import Finding, in_order
from seamwright.pipeline.account import standing as standing_of
from seamwright.pipeline.account import step_document
from seamwright.plugins.record import Record

from .common import counted


@dataclass(frozen=True, slots=True, kw_only=True)
class Outcome:
    """What became of one input. findings: those that no record holds (what stopped it)."""

    file: str
    done: bool
    record: Record | None = None
    findings: tuple[Finding, ...] = ()


def standing(outcome: Outcome) -> list[Finding]:
    """The findings that still stand at the end."""
    if outcome.record is None:
        return list(outcome.findings)
    return [*standing_of(outcome.record), *outcome.findings]


def document(outcomes: Iterable[Outcome], findings: Iterable[Finding]) -> dict[str, Any]:
    """One document for a whole run."""
    all_outcomes, all_findings = list(outcomes), list(findings)
    return {
        "runs": [_run(o) for o in all_outcomes],
        "findings": [f.to_json() for f in in_order(all_findings)],
        "summary": {
            "files": len(all_outcomes),
            "done": sum(o.done for o in all_outcomes),
            "outputs": sum(
                len(s.written) for o in all_outcomes if o.record for s in o.record.steps
            ),
            **counted(all_findings),
        },
    }


def _run(outcome: Outcome) -> dict[str, Any]:
    record = outcome.record
    return {
        "file": outcome.file,
        "done": outcome.done,
        "inputs": dict(record.inputs) if record else {},
        "versions": dict(record.versions) if record else {},
        "steps": [step_document(step) for step in record.steps] if record else [],
        "findings": [f.to_json() for f in in_order(outcome.findings)],
    }
