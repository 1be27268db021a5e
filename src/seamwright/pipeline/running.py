"""Running a prepared pipeline over one pattern, and the record that it leaves."""

from __future__ import annotations

import time
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from seamwright.findings import Finding, SeamwrightError, Severity
from seamwright.plugins.building import as_mapping
from seamwright.plugins.calling import call, signed
from seamwright.plugins.context import Context
from seamwright.plugins.descriptors import StepResult
from seamwright.plugins.filenames import safe_name
from seamwright.plugins.record import InvariantKept, Record, SeamMeasure, StepRecord
from seamwright.plugins.writing import told

from . import changes, invariants
from .acted_on import acted_on
from .emitting import Emitted, emit
from .plans import planned
from .prepare import Prepared, PreparedStep
from .selection import Selection, select
from .stopped import PipelineStopped

if TYPE_CHECKING:
    from seamwright.model import Pattern


@dataclass(slots=True)
class _Run:
    """The state of a run."""

    prepared: Prepared
    out: Path
    stem: str
    before: Pattern
    pattern: Pattern
    read_findings: tuple[Finding, ...]
    inputs: dict[str, str]
    guarded: tuple[Path, ...]
    file: str | None
    shown: Path | None = None
    steps: list[StepRecord] = field(default_factory=list)
    snapshots: list[Pattern] = field(default_factory=list)
    written: list[Path] = field(default_factory=list)
    seams: tuple[SeamMeasure, ...] = ()

    def record(self) -> Record:
        """The record as it stands."""
        return Record(
            before=self.before,
            after=self.pattern,
            steps=tuple(self.steps),
            snapshots=tuple(self.snapshots),
            read_findings=self.read_findings,
            inputs=dict(self.inputs),
            versions=_versions(self.prepared),
        )


def run(
    prepared: Prepared,
    pattern: Pattern,
    *,
    out: Path = Path(),
    stem: str | None = None,
    read_findings: Iterable[Finding] = (),
    inputs: dict[str, str] | None = None,
    guarded: Iterable[Path] = (),
    file: str | None = None,
    shown: Path | None = None,
) -> tuple[Pattern, Record]:
    """Runs the steps: the pattern as it stands after the last one, and the record.

    inputs   display name -> SHA-256 of what was read, for the record
    guarded  files that no output may be written over
    file     display name of the input, for findings
    shown    the folder by whose name findings call what is written; None: `out`
    """
    findings = list(read_findings)
    known = dict(inputs or {})
    if prepared.plan is not None:
        laid = planned(pattern, plan=prepared.plan)
        pattern, findings = laid.pattern, [*findings, *laid.findings]
        known[prepared.plan_name or "plan"] = prepared.plan_digest
    state = _Run(
        prepared=prepared,
        out=out,
        stem=stem or safe_name(pattern.name),
        before=pattern,
        pattern=pattern,
        read_findings=tuple(findings),
        inputs=known,
        guarded=tuple(guarded),
        file=file,
        shown=shown,
    )
    state.seams = changes.seams_of(pattern)
    try:
        _before_the_first_step(state)
        for step in prepared.steps:
            _take(state, step)
    except SeamwrightError as error:
        stopped = PipelineStopped(error.finding, others=error.others)
        stopped.record = state.record()
        stopped.written = tuple(state.written)
        raise stopped from error
    return state.pattern, state.record()


def _before_the_first_step(state: _Run) -> None:
    """What can be known before anything is done: selections, and losses that strict refuses.

    A selection behind an alteration is left for later: the alteration may bring new pieces.
    """
    faults: list[Finding] = []
    altered = False
    for step in state.prepared.steps:
        if not altered:
            try:
                select(step.use, state.pattern, step.where)
            except SeamwrightError as error:
                faults += [error.finding, *error.others]
        if getattr(step.own, "strict", False):
            lost = told(
                state.pattern,
                step.entry,
                options=step.options,
                accepted=step.accepted,
                strict=True,
            )
            faults += [f for f in lost if f.severity is Severity.ERROR]
        altered = altered or (step.own is None and step.entry.thing.kind != "check")
    if faults:
        raise SeamwrightError(faults[0], others=faults[1:])


def _take(state: _Run, step: PreparedStep) -> None:
    start = time.perf_counter()
    try:
        selection = select(step.use, state.pattern, step.where)
        if step.own is not None:
            row = _output(state, step, selection)
        else:
            row = _step(state, step, selection)
    except SeamwrightError as error:
        raise _placed(error, step, state.file) from error.__cause__
    state.steps.append(replace(row, seconds=time.perf_counter() - start))
    state.snapshots.append(state.pattern)


def _step(state: _Run, step: PreparedStep, selection: Selection) -> StepRecord:
    entry, descriptor = step.entry, step.entry.thing
    before = state.pattern
    view = selection.view(before)
    context = Context(
        units=state.prepared.units,
        file=state.file,
        selected=None if selection.whole else selection.pieces,
    )
    result = call(entry, descriptor.run, view, step.options, context)
    if not isinstance(result, StepResult):
        raise _fault(step, f"gave {type(result).__name__}, not a StepResult")
    if descriptor.kind == "check" and result.pattern is not view:
        raise _fault(step, "is a check but gave back another pattern than it got")
    after = selection.merged(before, view, result.pattern)
    seams = state.seams if after is before else changes.seams_of(after)
    sides = invariants.Before(
        before=before,
        after=after,
        seams_before=state.seams,
        seams_after=seams,
        selected=None if selection.whole else selection.pieces,
        acted_on=acted_on(descriptor, step.options, before),
    )
    kept = invariants.verify(descriptor.keeps, sides)
    broken = invariants.breaches(kept)
    if broken:
        raise SeamwrightError(
            _breach(step, broken[0], context),
            others=[_breach(step, b, context) for b in broken[1:]],
        )
    keys = changes.changed(before, after)
    findings = signed(entry, result.findings, descriptor.codes, file=state.file)
    row = StepRecord(
        use=entry.full,
        kind=descriptor.kind,
        options=_options(step),
        findings=tuple(f for f in findings if selection.concerns(f, before)),
        looked_at=result.looked_at,
        skipped=result.skipped,
        figures=result.figures,
        changed=keys,
        moved=changes.moved(before, after, keys),
        seams_before=state.seams,
        seams_after=seams,
        invariants=kept,
        plugin=entry.plugin.origin,
    )
    state.pattern, state.seams = after, seams
    return row


def _output(state: _Run, step: PreparedStep, selection: Selection) -> StepRecord:
    done: Emitted = emit(
        step,
        selection.view(state.pattern),
        state.record(),
        out=state.out,
        stem=state.stem,
        units=state.prepared.units,
        registry=state.prepared.registry,
        guarded=state.guarded,
        taken=state.written,
        shown=state.shown,
    )
    state.written += done.paths
    return StepRecord(
        use=step.name,
        kind=step.name,
        options=_options(step),
        findings=done.findings,
        figures={"files": list(done.manifest)},
        seams_before=state.seams,
        seams_after=state.seams,
        written=tuple(row["file"] for row in done.manifest),
        plugin=step.entry.plugin.origin,
    )


def _options(step: PreparedStep) -> dict[str, Any]:
    """Options as they were resolved, defaults included, with the selection."""
    out: dict[str, Any] = {} if step.own is None else as_mapping(step.own)
    out.update(as_mapping(step.options))
    written = step.use.to_toml()
    out.update({k: written[k] for k in ("pieces", "sizes", "except", "note") if k in written})
    return out


def _fault(step: PreparedStep, what: str) -> SeamwrightError:
    return SeamwrightError.of(
        "plugin.broke-contract",
        f"{step.entry.full} {what}",
        hint=f"a fault of {step.entry.plugin.origin}: tell its author",
        plugin=step.entry.full,
    )


def _breach(step: PreparedStep, kept: InvariantKept, context: Context) -> Finding:
    length = kept.name not in ("area", "segment-count", "cut-quantity")
    figures = [
        context.length(v) if length and v < 1e9 else f"{v:g}" for v in (kept.moved, kept.limit)
    ]
    where = f" ({kept.where})" if kept.where else ""
    return Finding(
        code="step.breach",
        severity=Severity.ERROR,
        message=f"{step.entry.full} promised to keep {kept.name}, and moved it by {figures[0]}"
        f"{where}; {figures[1]} is allowed",
        measured=kept.moved,
        limit=kept.limit,
        hint=f"a fault of {step.entry.plugin.origin}; nothing was written after this step",
        plugin=step.entry.full,
    )


def _placed(error: SeamwrightError, step: PreparedStep, file: str | None) -> SeamwrightError:
    """The error with the step in front, and the input where no file is named."""
    finding = error.finding
    if not finding.message.startswith(step.where.what):
        finding = finding.but(message=f"{step.where.what}: {finding.message}")
    if finding.file is None:
        finding = finding.but(file=file)
    return SeamwrightError(finding, others=error.others)


def _versions(prepared: Prepared) -> dict[str, str]:
    from importlib.metadata import PackageNotFoundError, version  # noqa: PLC0415

    out = {}
    for name in ("seamwright", "numpy"):
        try:
            out[name] = version(name)
        except PackageNotFoundError:
            continue
    used: Sequence[PreparedStep] = prepared.steps
    for step in used:
        if step.entry.plugin.distribution:
            out[step.entry.plugin.distribution] = step.entry.plugin.version
    return out
