"""The few functions that a script needs: read, check, write."""

from __future__ import annotations

import warnings
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from seamwright.findings import Finding, SeamwrightError, Severity, in_order, worst
from seamwright.pipeline.plans import planned
from seamwright.plugins import registry as registries
from seamwright.plugins.building import Where, build, from_python
from seamwright.plugins.calling import call, signed
from seamwright.plugins.context import Context, Limits, UnitName
from seamwright.plugins.loss import accepted_features
from seamwright.plugins.reading import Loaded
from seamwright.plugins.reading import read as read_file
from seamwright.plugins.registry import Registry
from seamwright.plugins.writing import write as write_file
from seamwright.units import format_length

if TYPE_CHECKING:
    from seamwright.model import Pattern

WALK = "walk"
"""The step that `check` runs, by its name: whichever plugin brings it."""
NEST = ("check-nest", "check-grade")
"""What `check` runs besides on several sizes (the second only where there are grade rules)."""


class SeamwrightWarning(UserWarning):
    """Something that was noticed while a file was read. finding: in full."""

    def __init__(self, finding: Finding) -> None:
        self.finding = finding
        hint = f" ({finding.hint})" if finding.hint else ""
        super().__init__(f"{finding.message}{hint} [{finding.code}]")


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


def load(
    path: str | Path,
    *,
    plan: str | Path | None = None,
    format: str | None = None,
    units: UnitName = "mm",
    limits: Limits | None = None,
    registry: Registry | None = None,
    **options: Any,
) -> Loaded:
    """A file's pattern with everything that was noticed about it.

    plan     path of a seam plan; None: `<stem>.plan.toml` beside the file, else the one inside
    format   name of the format where the first bytes do not tell
    units    in which bare numbers among the options count, and messages speak
    options  of the reader by their Python names: px_per_inch=300, known="id 100 mm"

    Raises SeamwrightError when the file cannot be read or the plan does not fit.
    """
    found = read_file(
        path,
        options=from_python(options),
        format=format,
        registry=registry,
        units=units,
        limits=limits,
    )
    laid = planned(found.pattern, plan=plan, file=found.source.path)
    return Loaded(
        pattern=laid.pattern,
        findings=(*found.findings, *laid.findings),
        facts=found.facts,
        format=found.format,
        options=found.options,
        source=found.source,
    )


def read(
    path: str | Path,
    *,
    plan: str | Path | None = None,
    units: UnitName = "mm",
    **options: Any,
) -> Pattern:
    """The pattern in a file, with its seam plan. Arguments and errors as in `load`.

    Findings of severity warning or error come as `SeamwrightWarning`; `load` gives them all.
    """
    found = load(path, plan=plan, units=units, **options)
    for finding in found.findings:
        if finding.severity is not Severity.NOTE:
            warnings.warn(SeamwrightWarning(finding), stacklevel=2)
    return found.pattern


def write(
    pattern: Pattern,
    path: str | Path,
    *,
    overwrite: bool = False,
    format: str | None = None,
    strict: bool = False,
    accept_loss: Mapping[str, str] | Iterable[str] = (),
    read_back: bool = True,
    units: UnitName = "mm",
    registry: Registry | None = None,
    **options: Any,
) -> tuple[Finding, ...]:
    """Writes a pattern in the format of the suffix (or the one named).

    overwrite    replace a file that is there
    strict       raise instead of writing a file that does not hold everything
    accept_loss  features that may be lost, by name ("text", "slit notch"), with reasons or not
    read_back    read the file again and compare
    options      of the writer, by their Python names

    Returns what is to be said: what was dropped or simplified, and the greatest deviation of the
    file from the pattern. Raises SeamwrightError; then nothing was written.
    """
    return write_file(
        pattern,
        path,
        options=from_python(options),
        format=format,
        registry=registry,
        units=units,
        overwrite=overwrite,
        strict=strict,
        accepted=accepted_features(accept_loss, where=Where(what="accept_loss")),
        read_back=read_back,
    ).findings


def check(
    pattern: Pattern,
    *,
    units: UnitName = "mm",
    registry: Registry | None = None,
    file: str | None = None,
    **options: Any,
) -> Checked:
    """Walks every seam of the pattern in every size.

    options  of the step "walk", by their Python names: tolerance="2 mm"
    """
    return walked(pattern, from_python(options), units=units, registry=registry, file=file)


def walked(
    pattern: Pattern,
    options: Mapping[str, Any],
    *,
    units: UnitName = "mm",
    registry: Registry | None = None,
    file: str | None = None,
    words: bool = False,
) -> Checked:
    """As `check`, with options by their names outside Python; words: they come as texts."""
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
