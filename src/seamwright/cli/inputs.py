"""Reading the files that a command names, one after the other, none of which stops the others."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from seamwright.findings import Finding, SeamwrightError, did_you_mean
from seamwright.pipeline.plans import planned
from seamwright.plugins.building import Where
from seamwright.plugins.context import Limits, UnitName
from seamwright.plugins.option_kinds import fields_of
from seamwright.plugins.reading import Loaded, read
from seamwright.plugins.registry import Registry

from .common import as_findings
from .flags import check_known

if TYPE_CHECKING:
    from seamwright.model import Pattern


@dataclass(frozen=True, slots=True, kw_only=True)
class Opened:
    """One file: its pattern with the plan laid on, or None and why."""

    name: str
    pattern: Pattern | None
    findings: tuple[Finding, ...]
    loaded: Loaded | None = None
    plan: str | None = None
    plan_digest: str = ""


def open_all(
    names: Sequence[str],
    *,
    options: Mapping[str, Any],
    registry: Registry,
    units: UnitName,
    limits: Limits,
    format: str | None = None,
    plan: str | None = None,
    plan_needed: bool = True,
) -> Iterator[Opened]:
    """Each file in turn. plan_needed: a plan that does not fit makes the file undoable; else it is
    a finding and the pattern comes without it.

    Raises SeamwrightError before the first file for an option that no reader has; after the last
    for one that none of their readers had.
    """
    check_known(options, registry, "reader")
    used: set[str] = set()
    readers: set[str] = set()
    for name in names:
        opened = _open(
            name,
            options=options,
            registry=registry,
            units=units,
            limits=limits,
            format=format,
            plan=plan,
            plan_needed=plan_needed,
        )
        if opened.loaded is not None:
            used |= {f.name for f in fields_of(type(opened.loaded.options))}
            readers.add(opened.loaded.format.full)
        yield opened
    unused = [name for name in options if name not in used]
    if unused and readers:
        raise SeamwrightError.of(
            "option.unknown",
            f'"{unused[0]}" is no option of {" or ".join(sorted(readers))}',
            hint=did_you_mean(unused[0], sorted(used)),
        )


def _open(
    name: str,
    *,
    options: Mapping[str, Any],
    registry: Registry,
    units: UnitName,
    limits: Limits,
    format: str | None,
    plan: str | None,
    plan_needed: bool,
) -> Opened:
    try:
        found = read(
            name,
            options=options,
            format=format,
            registry=registry,
            units=units,
            limits=limits,
            words=True,
            ignore_unknown=True,
            where=Where(what="the command line"),
        )
    except SeamwrightError as error:
        return Opened(name=name, pattern=None, findings=tuple(as_findings(error, name)))
    try:
        laid = planned(found.pattern, plan=plan, file=found.source.path, limits=limits)
    except SeamwrightError as error:
        findings = (*found.findings, *as_findings(error))
        pattern = None if plan_needed else found.pattern
        return Opened(name=name, pattern=pattern, findings=findings, loaded=found)
    return Opened(
        name=name,
        pattern=laid.pattern,
        findings=(*found.findings, *laid.findings),
        loaded=replace(found, pattern=laid.pattern),
        plan=laid.name,
        plan_digest=laid.digest,
    )


def file_argument(command: Any) -> Any:
    """FILE... ; names that begin with a dash come behind "--"."""
    return click.argument("files", nargs=-1, required=True, metavar="FILE...")(command)


def stem(path: str) -> str:
    """The name without folder and suffix, as {stem} stands for it."""
    from seamwright.plugins.inputs import stem_of  # noqa: PLC0415

    return stem_of(Path(path))
