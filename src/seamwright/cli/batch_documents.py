"""The one JSON document of a batch, written style by style: it may be larger than memory."""

from __future__ import annotations

import json
import sys
import tempfile
from collections.abc import Iterable, Iterator
from typing import Any

import msgspec

from seamwright.batch.engine import Batch
from seamwright.batch.rows import Head, JobResult
from seamwright.findings import Finding, in_order

from .common import finite


def print_check(batch: Batch, findings: Iterable[Finding]) -> None:
    """The document of a check; with `styles`, one row each."""
    told = list(findings)
    # Every result is unpacked once: its findings wait on disk while the seams are written.
    with tempfile.TemporaryFile("w+", encoding="utf-8", newline="\n") as aside:

        def seams() -> Iterator[str]:
            for result in batch.results:
                if result.findings:
                    aside.write(_inner([f.to_json() for f in result.findings]) + "\n")
                yield _inner(list(_seams(result)))

        def later() -> Iterator[str]:
            yield _inner([finding.to_json() for finding in in_order(told)])
            aside.seek(0)
            for line in aside:
                yield line.rstrip("\n")

        _print(
            {
                "seams": seams(),
                "findings": later(),
                "styles": (_text(_style(head)) for head in batch.told),
                "summary": summary(batch, told),
            }
        )


def print_run(batch: Batch, findings: Iterable[Finding]) -> None:
    """The document of a run."""
    told = list(findings)
    _print(
        {
            "runs": (_text(_run(result)) for result in batch.results),
            "findings": _findings(batch, told),
            "summary": {
                "files": len(batch.jobs),
                "done": sum(head.done for head in batch.told),
                "outputs": sum(len(head.outputs) for head in batch.told if head.done),
                **counts(batch, told),
            },
        }
    )


def summary(batch: Batch, findings: Iterable[Finding]) -> dict[str, Any]:
    """Totals of a check."""
    told = batch.told
    return {
        "files": len(batch.jobs),
        "pieces": sum(head.pieces for head in told),
        "sizes": sum(head.sizes for head in told),
        "seams": sum(head.seams for head in told),
        **counts(batch, findings),
        "done": sum(head.done for head in told),
        "stopped": batch.stopped,
    }


def counts(batch: Batch, findings: Iterable[Finding]) -> dict[str, int]:
    """How many errors, warnings and notes, those of the batch as a whole among them."""
    own = [f.severity.value for f in findings]
    return {
        f"{name}s": own.count(name) + sum(getattr(head, f"{name}s") for head in batch.told)
        for name in ("error", "warning", "note")
    }


def _findings(batch: Batch, findings: list[Finding]) -> Iterator[str]:
    yield _inner([finding.to_json() for finding in in_order(findings)])
    for result in batch.results:
        yield _inner([finding.to_json() for finding in result.findings])


def _seams(result: JobResult) -> Iterator[dict[str, Any]]:
    stretches: dict[tuple[str, str], list[dict[str, Any]]] = {}
    for part in result.stretches:
        stretches.setdefault((part.seam, part.size), []).append(
            {
                "from": part.start,
                "to": part.end,
                "sew_length": part.sew_length,
                "to_length": part.to_length,
                "ease": part.ease,
            }
        )
    for row in result.seams:
        yield {
            "name": row.seam,
            "size": row.size,
            "sew_length": row.sew_length,
            "to_length": row.to_length,
            "ease": row.ease,
            "at_least": row.at_least,
            "at_most": row.at_most,
            "verdict": row.verdict.value,
            "stretches": stretches.get((row.seam, row.size), []),
            "file": row.file,
        }


def _style(head: Head) -> dict[str, Any]:
    return {
        "style": head.style,
        "file": head.file,
        "status": head.status.value,
        "reason": head.reason,
        "pieces": head.pieces,
        "sizes": head.sizes,
        "seams": head.seams,
        "out_of_range": head.out_of_range,
        "beyond": head.beyond,
        "looked_at": head.looked_at,
        "skipped": head.skipped,
        "errors": head.errors,
        "warnings": head.warnings,
        "notes": head.notes,
    }


def _run(result: JobResult) -> dict[str, Any]:
    return {
        "style": result.style,
        "file": result.file,
        "done": result.done,
        "status": result.status.value,
        "reason": result.reason,
        "inputs": result.inputs,
        "versions": result.versions,
        "steps": list(result.steps),
        "outputs": [output_document(o) for o in result.outputs],
        "findings": [f.to_json() for f in result.findings] if not result.done else [],
    }


def output_document(output: Any) -> dict[str, Any]:
    """One file that was written."""
    found = {"file": output.file, "digest": output.digest}
    for name in ("piece", "size"):
        if getattr(output, name) is not None:
            found[name] = getattr(output, name)
    return found


def _print(document: dict[str, Any]) -> None:
    """One document on stdout; lists come in parts, and are written part by part."""
    out = sys.stdout
    opening = "{"
    for name, value in document.items():
        out.write(f'{opening}\n  "{name}": ')
        opening = ","
        if isinstance(value, dict):
            out.write(_text(value))
            continue
        comma = ""
        out.write("[")
        for rows in value:
            if rows:  # those of one style are a line
                out.write(f"{comma}\n    {rows}")
                comma = ","
        out.write("\n  ]" if comma else "]")
    out.write("\n}\n")
    out.flush()


def _inner(rows: list[dict[str, Any]]) -> str:
    """Rows as they stand between the brackets of a list."""
    return _text(rows)[1:-1]


def _text(value: Any) -> str:
    """JSON on one line; figures that JSON cannot hold are null."""
    try:
        return msgspec.json.encode(value).decode()
    except UnicodeEncodeError:
        # Lone halves of a pair come from damaged texts in files; no stream takes them.
        text = json.dumps(finite(value), ensure_ascii=False, allow_nan=False)
        return text.encode("utf-8", "backslashreplace").decode("utf-8")
