"""The document that `run --json` prints, and which findings of a run still stand at its end."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from seamwright.findings import Finding, in_order
from seamwright.plugins.record import Record, SeamMeasure, StepRecord

from .common import counted


@dataclass(frozen=True, slots=True, kw_only=True)
class Outcome:
    """What became of one input. findings: those that no record holds (what stopped it)."""

    file: str
    done: bool
    record: Record | None = None
    findings: tuple[Finding, ...] = ()


def standing(outcome: Outcome) -> list[Finding]:
    """The findings that still stand at the end: of a check that was run several times with the
    same selection, those of its last run."""
    if outcome.record is None:
        return list(outcome.findings)
    last: dict[tuple[str, str], int] = {}
    steps = outcome.record.steps
    for i, step in enumerate(steps):
        if step.kind == "check":
            last[_which(step)] = i
    found = list(outcome.record.read_findings)
    for i, step in enumerate(steps):
        if step.kind != "check" or last[_which(step)] == i:
            found += step.findings
    return [*found, *outcome.findings]


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


def _which(step: StepRecord) -> tuple[str, str]:
    chosen = {k: v for k, v in step.options.items() if k in ("pieces", "sizes", "except")}
    return step.use, repr(chosen)


def _run(outcome: Outcome) -> dict[str, Any]:
    record = outcome.record
    return {
        "file": outcome.file,
        "done": outcome.done,
        "inputs": dict(record.inputs) if record else {},
        "versions": dict(record.versions) if record else {},
        "steps": [_step(step) for step in record.steps] if record else [],
        "findings": [f.to_json() for f in in_order(outcome.findings)],
    }


def _step(step: StepRecord) -> dict[str, Any]:
    return {
        "use": step.use,
        "kind": step.kind,
        "plugin": step.plugin,
        "options": _plain(step.options),
        "looked_at": step.looked_at,
        "skipped": step.skipped,
        "changed": [
            {"piece": piece, "size": size, "moved": step.moved.get((piece, size))}
            for piece, size in step.changed
        ],
        "seams_before": [_seam(m) for m in step.seams_before],
        "seams_after": [_seam(m) for m in step.seams_after],
        "invariants": [
            {"name": k.name, "moved": k.moved, "limit": k.limit, "where": k.where}
            for k in step.invariants
        ],
        "figures": _plain(step.figures),
        "written": list(step.written),
        "findings": [f.to_json() for f in in_order(step.findings)],
    }


def _seam(measure: SeamMeasure) -> dict[str, Any]:
    return {
        "name": measure.seam,
        "size": measure.size,
        "sew_length": measure.sew_length,
        "to_length": measure.to_length,
        "ease": measure.ease,
    }


def _plain(value: Any) -> Any:
    """Figures of a plugin as JSON can hold them: tuples as lists, keys as text."""
    if isinstance(value, Mapping):
        return {str(key): _plain(one) for key, one in value.items()}
    if isinstance(value, list | tuple):
        return [_plain(one) for one in value]
    if isinstance(value, float):
        return value if value - value == 0 else None  # JSON has neither NaN nor infinity
    if value is None or isinstance(value, bool | int | str):
        return value
    if hasattr(value, "item"):
        return _plain(value.item())
    return str(value)
