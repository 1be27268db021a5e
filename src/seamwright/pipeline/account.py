"""The account of a run as plain data, and which of its findings still stand at its end."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from seamwright.findings import Finding, in_order
from seamwright.plugins.record import Record, SeamMeasure, StepRecord


def standing(record: Record) -> list[Finding]:
    """The findings that still stand at the end: of a check that was run several times with the
    same selection, those of its last run."""
    last: dict[tuple[str, str], int] = {}
    for i, step in enumerate(record.steps):
        if step.kind == "check":
            last[_which(step)] = i
    found = list(record.read_findings)
    for i, step in enumerate(record.steps):
        if step.kind != "check" or last[_which(step)] == i:
            found += step.findings
    return found


def step_document(step: StepRecord) -> dict[str, Any]:
    """One step as the documents of the command line hold it: plain, lengths in mm."""
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


def _which(step: StepRecord) -> tuple[str, str]:
    chosen = {k: v for k, v in step.options.items() if k in ("pieces", "sizes", "except")}
    return step.use, repr(chosen)
