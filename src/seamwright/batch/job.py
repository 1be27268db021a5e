"""A job: one style, what is to be done with it, and where its files are."""

from __future__ import annotations

from typing import Any, Literal

import msgspec

from seamwright.findings import Finding, Severity
from seamwright.house import House
from seamwright.plugins.context import Limits, UnitName

from .rows import JobResult, Status


class Task(msgspec.Struct, frozen=True, kw_only=True):
    """What is the same for all styles of a batch.

    kind    "check" walks every seam; "run" runs the pipeline of each job
    units   the user's, for messages; of a run None: the pipeline's own
    format  name of the format where the first bytes do not tell
    reader  options of readers as texts, by name; each reader is handed those that it has
    step    options of the walk as texts, of a check
    house   house rules of a check; a style's own lie beside it
    """

    kind: Literal["check", "run"]
    units: UnitName | None = None
    limits: Limits = msgspec.field(default_factory=Limits)
    format: str | None = None
    reader: dict[str, Any] = {}
    step: dict[str, Any] = {}
    house: House | None = None


class Job(msgspec.Struct, frozen=True, kw_only=True):
    """One style.

    style     its name, unique in the batch
    file      its file as the user called it; path: the same, absolute
    plan      absolute path of its seam plan; None: the pipeline's, else beside the file, else
              inside it
    pipeline  text of the pipeline, pipeline_name what messages call it, pipeline_file its path
              (for the plan that it names); all "" for a check
    folder    folder below the output folder for what is written, with slashes; "" for the top
    stem      what {stem} stands for, unique in the folder
    stage     folder in which the worker writes; the files are moved from there when all is done
    shown     the folder by whose name findings call what was written
    trouble   why it cannot be done, where that is known beforehand
    """

    style: str
    file: str
    path: str
    plan: str | None = None
    pipeline: str = ""
    pipeline_name: str = ""
    pipeline_file: str | None = None
    folder: str = ""
    stem: str = ""
    stage: str = ""
    shown: str = ""
    trouble: Finding | None = None


_CODES = {
    Status.FAILED: "batch.failed",
    Status.TIMED_OUT: "batch.timed-out",
    Status.OUT_OF_MEMORY: "batch.out-of-memory",
    Status.WORKER_DIED: "batch.worker-died",
}
_HINTS = {
    Status.FAILED: "please report it; SEAMWRIGHT_DEBUG=1 shows the traceback",
    Status.TIMED_OUT: "give it more time by --timeout, or look at the file by itself",
    Status.OUT_OF_MEMORY: "give it more by --memory, or look at the file by itself",
    Status.WORKER_DIED: "it was tried twice; perhaps the machine ran out of memory: fewer "
    "--workers, or look at the file by itself",
}


def not_done(job: Job, status: Status, reason: str) -> JobResult:
    """The result of a job that ended without one of its own."""
    finding = Finding(
        code=_CODES[status],
        severity=Severity.ERROR,
        message=reason,
        file=job.file,
        hint=_HINTS[status],
    )
    return failed(job, (finding,), status=status)


def failed(
    job: Job, findings: tuple[Finding, ...], *, status: Status = Status.FAILED, reason: str = ""
) -> JobResult:
    """The result of a job that could not be done."""
    first = next((f for f in findings if f.severity is Severity.ERROR), None)
    return JobResult(
        style=job.style,
        file=job.file,
        status=status,
        reason=reason or (first.message if first is not None else ""),
        findings=findings,
        pipeline=job.pipeline_name,
        worst=Severity.ERROR.value,
    )
