"""The few functions that a script needs: read, check, write."""

from __future__ import annotations

import warnings
from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any

from seamwright.findings import Finding, Severity
from seamwright.pipeline.checking import NEST as NEST
from seamwright.pipeline.checking import WALK as WALK
from seamwright.pipeline.checking import Checked as Checked
from seamwright.pipeline.checking import nested as nested
from seamwright.pipeline.checking import walked as walked
from seamwright.pipeline.plans import planned
from seamwright.plugins.building import Where, from_python
from seamwright.plugins.context import Limits, UnitName
from seamwright.plugins.loss import accepted_features
from seamwright.plugins.reading import Loaded
from seamwright.plugins.reading import read as read_file
from seamwright.plugins.registry import Registry
from seamwright.plugins.writing import write as write_file

if TYPE_CHECKING:
    from seamwright.model import Pattern


class SeamwrightWarning(UserWarning):
    """Something that was noticed while a file was read. finding: in full."""

    def __init__(self, finding: Finding) -> None:
        self.finding = finding
        hint = f" ({finding.hint})" if finding.hint else ""
        super().__init__(f"{finding.message}{hint} [{finding.code}]")


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
    laid = planned(found.pattern, plan=plan, file=found.source.path, limits=limits)
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
