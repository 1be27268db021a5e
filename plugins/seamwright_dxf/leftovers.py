"""What the reader does not turn into pattern, counted and kept: nothing leaves in silence."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np
from numpy.typing import NDArray

from seamwright.model import Foreign
from seamwright.plugins.api import Finding, Severity

from .drawing.records import Fate, Records

_MOST_KEPT = 256 * 1024
"""Bytes of unknown entities that a pattern carries along; beyond that they are reported only."""
_PARTS = ("VERTEX", "SEQEND", "BLOCK", "ENDBLK")


def keep_rest(records: Records) -> tuple[Foreign, ...]:
    """Entities that nobody converted, as foreign data, with one finding for each type."""
    rows = np.flatnonzero(records.fate == Fate.UNSEEN)
    parts = rows[np.isin(records.types[rows], _ids(records, "VERTEX", "SEQEND", "ATTRIB"))]
    records.fate[parts] = Fate.PART
    rows = np.flatnonzero(records.fate == Fate.UNSEEN)
    more = np.flatnonzero(records.fate == Fate.KEPT)
    kept: list[Foreign] = []
    size = 0
    for row in np.union1d(rows, more).tolist():
        data = "\n".join(
            f"{code}\n{value.decode('utf-8', 'replace')}" for code, value in records.tags_of(row)
        )
        size += len(data)
        if size > _MOST_KEPT:
            records.fate[row] = Fate.DROPPED
            continue
        records.fate[row] = Fate.KEPT
        line = records.line(row)
        where = f"{records.type_of(row)} on layer {records.layer_of(row)}"
        kept.append(
            Foreign(format="dxf", where=f"{where}, line {line}" if line else where, data=data)
        )
    both = np.union1d(rows, more)
    for kind in np.unique(records.types[both]).tolist():
        here = both[records.types[both] == kind]
        aside = int((records.fate[here] == Fate.KEPT).sum())
        lost = here.size - aside
        records.findings.append(
            Finding(
                code="dxf.entity-kept",
                severity=Severity.WARNING,
                message=f"{here.size} {records.type_names[kind]} cannot be part of a pattern: "
                + (f"{aside} are kept aside" if aside else "")
                + (" and " if aside and lost else "")
                + (f"{lost} are left out" if lost else ""),
                line=records.line(int(here[0])),
                measured=float(here.size),
                hint="look in the sender's drawing whether they matter",
            )
        )
    return tuple(kept)


def _ids(records: Records, *names: str) -> list[int]:
    return [i for i, name in enumerate(records.type_names) if name in names]


def count_entities(records: Records) -> dict[str, dict[str, int]]:
    """Type -> how many were read, converted, parts of others, kept aside, left out."""
    out: dict[str, dict[str, int]] = {}
    for kind in np.unique(records.types).tolist():
        fates = records.fate[records.types == kind]
        counts = {"read": int(fates.size)}
        for name, fate in (
            ("converted", Fate.CONVERTED), ("part of another", Fate.PART),
            ("kept aside", Fate.KEPT), ("left out", Fate.DROPPED),
        ):  # fmt: skip
            number = int((fates == fate).sum())
            if number:
                counts[name] = number
        out[records.type_names[kind]] = counts
    return dict(sorted(out.items()))


def balance(counts: Mapping[str, Mapping[str, int]], comma: bool) -> Finding:
    """The one finding that says whether the raw text and the pattern hold the same."""
    entities = {k: v for k, v in counts.items() if k not in _PARTS}
    total = sum(v["read"] for v in entities.values())

    def sum_of(name: str) -> int:
        return sum(v.get(name, 0) for v in entities.values())

    converted = sum_of("converted") + sum_of("part of another")
    kept, lost = sum_of("kept aside"), sum_of("left out")
    message = f"{total} entities: {converted} converted"
    if kept:
        message += f", {kept} kept aside"
    if lost:
        message += f", {lost} left out"
    return Finding(
        code="dxf.entities",
        severity=Severity.WARNING if kept or lost else Severity.NOTE,
        message=message,
        measured=float(converted),
        limit=float(total),
        hint="other findings say which and why" if kept or lost else None,
    )


def hidden_layers(records: Records) -> list[Finding]:
    """Layers that the file switches off or freezes, if anything is drawn on them."""
    frame = records.frame
    shut: dict[str, str] = {}
    for section in frame.named("TABLES"):
        for record in range(section.first, section.last):
            if frame.type_of(record) != "LAYER":
                continue
            name = records.lettering.name(frame.value(record, 2) or b"")
            flags, colour = frame.value(record, 70), frame.value(record, 62)
            if _whole(flags) & 1:
                shut[name.upper()] = "frozen"
            elif _whole(colour) < 0:
                shut[name.upper()] = "off"
    out = []
    used = set(np.unique(records.layers).tolist())
    for number, name in enumerate(records.layer_names):
        if number in used and name.upper() in shut:
            out.append(
                Finding(
                    code="dxf.layer-hidden",
                    severity=Severity.NOTE,
                    message=f'layer "{name}" is {shut[name.upper()]} in the drawing; it is read '
                    "all the same",
                )
            )
    return out


def _whole(value: bytes | None) -> int:
    try:
        return int(value or b"0")
    except ValueError:
        return 0


def header_facts(variables: Mapping[str, list[tuple[int, bytes]]]) -> dict[str, Any]:
    """Header variables as plain text, for `info`."""
    return {
        name: [value.strip().decode("utf-8", "replace") for _, value in values]
        for name, values in list(variables.items())[:400]
    }


def layer_facts(records: Records, layers: NDArray[np.int32]) -> dict[str, int]:
    """Layer -> entities on it."""
    parts = np.isin(records.types, _ids(records, *_PARTS))
    counts = np.bincount(layers[~parts], minlength=len(records.layer_names))
    return {n: int(c) for n, c in zip(records.layer_names, counts, strict=False) if c}
