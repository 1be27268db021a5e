"""The document that `plugins --json` prints."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from seamwright.findings import Finding, in_order
from seamwright.plugins.descriptors import DROPPED, Code, Feature, Format, Step
from seamwright.plugins.names import Entry, Shelf
from seamwright.plugins.option_table import options_schema
from seamwright.plugins.registry import Registry


def document(registry: Registry, findings: Iterable[Finding]) -> dict[str, Any]:
    """Everything that is installed."""
    return {
        "plugins": [
            {
                "name": row.name,
                "module": row.module,
                "distribution": row.distribution,
                "version": row.version,
                "bundled": row.bundled,
                "status": row.status,
                "reason": row.reason,
                "traceback": row.traceback,
                "seconds": row.seconds,
            }
            for row in registry.rows
        ],
        "formats": [thing_document(registry.formats, e) for e in registry.formats],
        "steps": [thing_document(registry.steps, e) for e in registry.steps],
        "reports": [thing_document(registry.reports, e) for e in registry.reports],
        "findings": [f.to_json() for f in in_order(findings)],
    }


def thing_document(shelf: Shelf[Any], entry: Entry[Any]) -> dict[str, Any]:
    """All about one format, step or report."""
    thing = entry.thing
    out: dict[str, Any] = {
        "what": shelf.what,
        "name": shelf.shortest(entry),
        "full_name": entry.full,
        "plugin": entry.plugin.name,
        "help": thing.help,
    }
    if isinstance(thing, Format):
        sides = {"reader": thing.reader, "writer": thing.writer}
        out["suffixes"] = list(thing.suffixes)
        out["carries"] = [f.value for f in Feature if _how(thing, f) == "exact"]
        out["simplifies"] = [f.value for f in Feature if _how(thing, f) == "within"]
        out["drops"] = [f.value for f in Feature if _how(thing, f) == "dropped"]
        for side, part in sides.items():
            out[side] = None if part is None else options_schema(part.options)
    else:
        out["options"] = options_schema(thing.options)
    if isinstance(thing, Step):
        out["kind"] = thing.kind
        out["keeps"] = list(thing.keeps)
    elif not isinstance(thing, Format):
        out["suffixes"] = list(thing.suffixes)
    if isinstance(thing, Format | Step):
        out["codes"] = [_code(c) for c in thing.codes]
    return out


def _how(format: Format, feature: Feature) -> str:
    return format.carries.get(feature, DROPPED).how


def _code(code: Code) -> dict[str, Any]:
    return {
        "code": code.code,
        "severity": code.severity.value,
        "title": code.title,
        "why": code.why,
        "remedy": code.remedy,
        "preview": code.preview,
    }
