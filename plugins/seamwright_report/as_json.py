"""The record as one JSON document; lengths in mm, what was not measured is null."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from math import isfinite
from typing import Any

from seamwright.plugins.api import Context, Part, Record, SeamMeasure, StepRecord, WriteResult

from .facts import Facts, SeamFacts, facts_of
from .options import JsonOptions
from .seam_tables import verdict

FORM = 1  # raised when a key is given another meaning


def write_json(record: Record, options: JsonOptions, ctx: Context) -> WriteResult:
    """The record as a JSON file. The units of `ctx` play no part: lengths are mm."""
    text = json.dumps(
        document(record), indent=options.indent or None, ensure_ascii=False, allow_nan=False
    )
    # A lone surrogate in a name cannot be written in UTF-8; JSON's own escape can.
    data = "".join(f"\\u{ord(c):04x}" if "\ud800" <= c <= "\udfff" else c for c in text)
    return WriteResult(parts=(Part(data=data.encode("utf-8") + b"\n"),))


def document(record: Record) -> dict[str, Any]:
    """The document: what was read, what every step did, every seam before and after."""
    facts = facts_of(record)
    return {
        "record": FORM,
        "pattern": facts.style,
        "sizes": list(facts.sizes),
        "base_size": record.after.base_size,
        "inputs": [{"name": n, "sha256": d} for n, d in record.inputs.items()],
        "versions": dict(sorted(record.versions.items())),
        "seams": [_seam(seam, z, facts) for seam in facts.seams for z in range(len(facts.sizes))],
        "pieces": [{"name": p.name, "changed": list(p.changed)} for p in facts.pieces],
        "read_findings": [f.to_json() for f in record.read_findings],
        "steps": [_step(step) for step in record.steps],
    }


def _seam(seam: SeamFacts, z: int, facts: Facts) -> dict[str, Any]:
    return {
        "name": seam.name,
        "size": facts.sizes[z],
        "at_least": _figure(seam.at_least),
        "at_most": _figure(seam.at_most),
        "before": _side(seam.sew_before[z], seam.to_before[z], seam.out_before[z]),
        "after": _side(seam.sew_after[z], seam.to_after[z], seam.out_after[z]),
        "stretches": [
            {
                "from": s.start,
                "to": s.end,
                "ease_before": _figure(s.before[z]),
                "ease_after": _figure(s.after[z]),
            }
            for s in seam.stretches
        ],
    }


def _side(sew: float, to: float, beyond: float) -> dict[str, Any]:
    return {
        "sew_length": _figure(sew),
        "to_length": _figure(to),
        "ease": _figure(sew - to),
        "verdict": verdict(float(beyond)) or None,
    }


def _step(step: StepRecord) -> dict[str, Any]:
    return {
        "use": step.use,
        "kind": step.kind,
        "plugin": step.plugin,
        "options": plain(step.options),
        "looked_at": step.looked_at,
        "skipped": step.skipped,
        "changed": [
            {"piece": piece, "size": size, "moved": _figure(step.moved.get((piece, size)))}
            for piece, size in step.changed
        ],
        "invariants": [
            {"name": i.name, "moved": _figure(i.moved), "limit": _figure(i.limit), "where": i.where}
            for i in step.invariants
        ],
        "seams_before": _measures(step.seams_before),
        "seams_after": _measures(step.seams_after),
        "figures": plain(step.figures),
        "written": list(step.written),
        "findings": [f.to_json() for f in step.findings],
    }


def _measures(measures: Iterable[SeamMeasure]) -> list[dict[str, Any]]:
    return [
        {
            "seam": m.seam,
            "size": m.size,
            "sew_length": _figure(m.sew_length),
            "to_length": _figure(m.to_length),
            "ease": _figure(m.ease),
        }
        for m in measures
    ]


def plain(value: Any) -> Any:
    """Options and figures as JSON has them: no NaN, no tuples, no types of our own."""
    if value is None or isinstance(value, (bool, str)):
        return str(value) if isinstance(value, str) else value
    if isinstance(value, int):
        return int(value)
    if isinstance(value, float):
        return _figure(value)
    if isinstance(value, Mapping):
        return {str(k): plain(v) for k, v in value.items()}
    if isinstance(value, (list, tuple, set, frozenset)):
        return [plain(v) for v in (sorted(value) if isinstance(value, (set, frozenset)) else value)]
    item = getattr(value, "tolist", None)  # numpy's numbers and arrays
    return plain(item()) if item is not None else str(value)


def _figure(value: Any) -> float | None:
    if value is None or not isfinite(value):
        return None
    return float(value)
