"""Doing one job: read, lay the plan on, walk or run, and tell it all in plain rows.

Whatever happens ends in a result: what a file or a plugin does wrong is a failed row with its
reason, never a traceback that takes the batch with it.
"""

from __future__ import annotations

import zlib
from collections.abc import Iterable, Mapping
from dataclasses import replace
from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

import msgspec

from seamwright.findings import Finding, SeamwrightError, in_order, worst
from seamwright.house import judged, style_rules
from seamwright.pipeline import Pipeline, PipelineStopped
from seamwright.pipeline.account import standing, step_document
from seamwright.pipeline.checking import WALK, graver
from seamwright.pipeline.plans import Planned, planned
from seamwright.pipeline.prepare import Prepared
from seamwright.plugins import registry as registries
from seamwright.plugins.building import Where
from seamwright.plugins.context import Limits
from seamwright.plugins.inputs import plan_beside, stem_of
from seamwright.plugins.loading import debugging
from seamwright.plugins.reading import Loaded, read
from seamwright.plugins.record import Record
from seamwright.plugins.registry import Registry

from .job import Job, Task, failed, not_done
from .outputs import outputs_of
from .rows import JobResult, SeamRow, Status, StretchRow, head_of, packed, packed_head

if TYPE_CHECKING:
    from seamwright.model import Pattern

OF_PLUGINS = ("plugin.broken", "plugin.refused", "plugin.name-clash", "plugin.unknown")
"""Codes of what was lost and perhaps not needed: without effect on the exit status."""


def do(task: Task, job: Job, registry: Registry | None = None) -> JobResult:
    """The result of a job. Raises nothing but what ends the process (and, under
    SEAMWRIGHT_DEBUG, what is a fault of the program)."""
    if job.trouble is not None:
        return failed(job, (job.trouble,))
    try:
        return _Work(task, job, registry or registries.default()).done()
    except MemoryError:
        return _no_memory(job)
    except SeamwrightError as error:
        if _of_memory(error):
            return _no_memory(job)
        return failed(job, _named([error.finding, *error.others], {job.path: job.file}))
    except Exception as error:
        if debugging():
            raise
        return not_done(
            job,
            Status.FAILED,
            f"a fault of the program itself: {type(error).__name__}: {error}",
        )


def do_packed(task: Task, job: Job, registry: Registry | None = None) -> tuple[bytes, bytes, str]:
    """As `do`, ready for the store: head, compressed result, and the SHA-256 of the file as it
    was read ("" when it was not)."""
    return pack(do(task, job, registry))


def pack(result: JobResult) -> tuple[bytes, bytes, str]:
    """A result ready for the store."""
    body = zlib.compress(packed(result), 1)
    return packed_head(head_of(result)), body, result.inputs.get(result.file, "")


class _Work:
    """One job while it is done."""

    def __init__(self, task: Task, job: Job, registry: Registry) -> None:
        self.task, self.job, self.registry = task, job, registry
        self.names = {job.path: job.file}
        self.prepared: Prepared | None = None
        self.units: Any = task.units or "mm"
        if task.kind == "run":
            self.prepared = _prepared(
                job.pipeline,
                job.pipeline_name,
                job.pipeline_file,
                task.units,
                registry,
                task.limits,
            )
            self.units = self.prepared.units

    def done(self) -> JobResult:
        """Reads, lays the plan on, walks or runs."""
        found = read(
            self.job.path,
            options=self.task.reader,
            format=self.task.format,
            registry=self.registry,
            units=self.units,
            limits=self.task.limits,
            words=True,
            ignore_unknown=True,
            where=Where(what="the command line"),
        )
        findings = list(found.findings)
        plan = self.job.plan
        if plan is None and self.prepared is not None:
            plan = self.prepared.plan_name
        try:
            laid = planned(
                found.pattern, plan=plan, file=found.source.path, limits=self.task.limits
            )
        except SeamwrightError as error:
            raise SeamwrightError(error.finding, others=(*error.others, *findings)) from error
        if laid.name is not None:
            self.names[laid.name] = shown_plan(self.job, laid.name)
        findings += laid.findings
        inputs = self._inputs(found, laid)
        if self.prepared is None:
            return self._checked(laid.pattern, findings, inputs)
        return self._run(self.prepared, laid.pattern, findings, inputs)

    def _inputs(self, found: Loaded, laid: Planned) -> dict[str, str]:
        inputs = {self.job.file: found.source.digest}
        if laid.name is not None:
            inputs[self.names[laid.name]] = laid.digest
        return inputs

    def _checked(
        self, pattern: Pattern, findings: list[Finding], inputs: dict[str, str]
    ) -> JobResult:
        job = self.job
        found = [graver(f) for f in findings]
        path = Path(job.path)
        checked = judged(
            pattern,
            self.task.step,
            house=style_rules(self.task.house, path, stem=stem_of(path)),
            units=self.units,
            registry=self.registry,
            file=job.file,
            words=True,
        )
        found += checked.findings
        return self._result(
            pattern,
            found,
            inputs,
            rows=checked.seams,
            looked_at=checked.looked_at,
            skipped=checked.skipped,
        )

    def _run(
        self,
        prepared: Prepared,
        pattern: Pattern,
        findings: list[Finding],
        inputs: dict[str, str],
    ) -> JobResult:
        from seamwright.pipeline.running import run  # noqa: PLC0415 - checks do without

        job, out = self.job, Path(self.job.stage)
        try:
            _, record = run(
                replace(prepared, plan=None),  # the plan that counts is laid on already
                pattern,
                out=out,
                stem=job.stem,
                read_findings=_named(findings, self.names),
                inputs=inputs,
                file=job.file,
                shown=Path(job.shown),
            )
        except PipelineStopped as error:
            told = [error.finding, *error.others]
            before = standing(error.record) if error.record is not None else list(findings)
            if _of_memory(error):
                return _no_memory(job)
            found = tuple(in_order(_named([*told, *before], self.names)))
            return _but(
                failed(job, found, reason=error.finding.message),
                inputs=inputs,
                steps=_steps(error.record, self.names, written=False),
            )
        rows, looked_at, skipped = _last_walk(record)
        return self._result(
            record.after,
            standing(record),
            inputs,
            rows=rows,
            looked_at=looked_at,
            skipped=skipped,
            steps=_steps(record, self.names),
            outputs=outputs_of(record, out),
            versions=dict(record.versions),
        )

    def _result(
        self,
        pattern: Pattern,
        findings: Iterable[Finding],
        inputs: dict[str, str],
        *,
        rows: Iterable[Mapping[str, Any]],
        **more: Any,
    ) -> JobResult:
        job = self.job
        told = tuple(in_order(_named(findings, self.names)))
        seams = tuple(rows)
        uncounted = {*self.registry.previews, *OF_PLUGINS}
        gravest = worst(f for f in told if f.code not in uncounted)
        plans = [name for name in inputs if name != job.file]
        return JobResult(
            style=job.style,
            file=job.file,
            status=Status.DONE,
            findings=told,
            seams=tuple(SeamRow.of(job.style, job.file, row) for row in seams),
            stretches=tuple(_stretches(seams)),
            pieces=tuple(p.name for p in pattern.pieces),
            sizes=tuple(pattern.sizes),
            base_size=pattern.base_size,
            plan=plans[0] if plans else None,
            pipeline=job.pipeline_name,
            inputs=inputs,
            worst=None if gravest is None else gravest.value,
            **more,
        )


def _but(result: JobResult, **changes: Any) -> JobResult:
    """The result with some fields changed."""
    return msgspec.structs.replace(result, **changes)


@lru_cache(maxsize=16)
def _prepared(
    text: str, name: str, file: str | None, units: Any, registry: Registry, limits: Limits
) -> Prepared:
    """A pipeline, prepared once for all styles that it is run over. What it writes goes to a
    folder of the job's own, so nothing can be in its way there."""
    pipeline = Pipeline.loads(text, name=name, file=None if file is None else Path(file))
    return pipeline.prepare(
        registry=registry,
        units=units or pipeline.units,
        several=True,
        overwrite=True,
        limits=limits,
    )


def shown_plan(job: Job, plan: str) -> str:
    """What a plan is called: beside the file, as the file is; else by its path."""
    beside = plan_beside(Path(job.path))
    if beside is not None and str(beside) == plan:
        return Path(job.file).with_name(beside.name).as_posix()
    return plan


def _named(findings: Iterable[Finding], names: Mapping[str, str]) -> tuple[Finding, ...]:
    """Findings with their files as the user calls them."""
    return tuple(
        f.but(file=names[f.file]) if f.file is not None and f.file in names else f for f in findings
    )


def _steps(
    record: Record | None, names: Mapping[str, str], *, written: bool = True
) -> tuple[dict[str, Any], ...]:
    """What each step did. Of a run that stopped nothing is kept, so nothing was written."""
    if record is None:
        return ()
    return tuple(
        step_document(
            replace(
                step,
                findings=_named(step.findings, names),
                written=step.written if written else (),
            )
        )
        for step in record.steps
    )


def _last_walk(record: Record) -> tuple[list[Mapping[str, Any]], int, str]:
    """Rows of the last walk; without one, the seams as they stand, held against nothing."""
    for step in reversed(record.steps):
        if step.use.rpartition("/")[2] == WALK:
            return list(step.figures.get("seams", ())), step.looked_at, step.skipped
    last = record.steps[-1].seams_after if record.steps else ()
    rows: list[Mapping[str, Any]] = [
        {
            "name": m.seam,
            "size": m.size,
            "sew_length": m.sew_length,
            "to_length": m.to_length,
            "ease": m.ease,
        }
        for m in last
    ]
    return rows, 0, "the pipeline has no walk"


def _stretches(rows: Iterable[Mapping[str, Any]]) -> Iterable[StretchRow]:
    for row in rows:
        for part in row.get("stretches", ()):
            yield StretchRow(
                seam=row["name"],
                size=row["size"],
                start=part["from"],
                end=part["to"],
                sew_length=part["sew_length"],
                to_length=part["to_length"],
                ease=part["ease"],
            )


def _of_memory(error: BaseException | None) -> bool:
    """Whether want of memory stands behind an error."""
    while error is not None:
        if isinstance(error, MemoryError):
            return True
        error = error.__cause__
    return False


def _no_memory(job: Job) -> JobResult:
    return not_done(job, Status.OUT_OF_MEMORY, "it needs more memory than a job may take")
