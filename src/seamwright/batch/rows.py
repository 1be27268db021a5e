"""What a batch gives: one `JobResult` a style, with flat rows of its seams in every size.

All of it is plain data: it packs, it is JSON, and two runs over the same content give the same
bytes, wherever and in whatever order the work was done. So nothing in here tells the time, the
machine or the worker; that stands in the log.

Order: styles as the batch lists them; seams as the plan does, and within a seam the sizes as the
pattern lists them; findings worst first. Lengths in mm.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from enum import StrEnum
from typing import Any, Final

import msgspec

from seamwright.findings import Finding


class Status(StrEnum):
    """What became of a style. Only DONE means that all of the work was done; what was found by it
    is another matter."""

    DONE = "done"
    FAILED = "failed"
    TIMED_OUT = "timed out"
    OUT_OF_MEMORY = "out of memory"
    WORKER_DIED = "worker died"


class Verdict(StrEnum):
    """A seam in a size: within its range, more ease than allowed, less, or held against nothing
    (a pipeline without a walk measures seams and judges none)."""

    OK = "ok"
    OVER = "over"
    UNDER = "under"
    NONE = "not judged"


class SeamRow(msgspec.Struct, frozen=True, kw_only=True):
    """One seam of one style in one size: a row of the table of all styles, sizes and seams.

    style     the style's name, unique in the batch
    file      its file, as the user called it
    ease      sew_length less to_length
    at_least, at_most   the range that it was held against; None where there is none
    beyond    how far outside the range the ease is, 0 inside it
    """

    style: str
    file: str
    seam: str
    size: str
    sew_length: float
    to_length: float
    ease: float
    at_least: float | None
    at_most: float | None
    beyond: float
    verdict: Verdict

    @classmethod
    def of(cls, style: str, file: str, row: Mapping[str, Any]) -> SeamRow:
        """The row for one seam as a walk gives it (the keys of `check --json`)."""
        low, high, ease = row.get("at_least"), row.get("at_most"), float(row["ease"])
        under = 0.0 if low is None else low - ease
        over = 0.0 if high is None else ease - high
        verdict = Verdict(row.get("verdict", Verdict.NONE))
        return cls(
            style=style,
            file=file,
            seam=row["name"],
            size=row["size"],
            sew_length=float(row["sew_length"]),
            to_length=float(row["to_length"]),
            ease=ease,
            at_least=low,
            at_most=high,
            beyond=max(0.0, under, over) if verdict in (Verdict.OVER, Verdict.UNDER) else 0.0,
            verdict=verdict,
        )


class StretchRow(msgspec.Struct, frozen=True, kw_only=True):
    """One stretch of a seam between two marks that meet. None: it could not be measured."""

    seam: str
    size: str
    start: str
    end: str
    sew_length: float | None
    to_length: float | None
    ease: float | None


class Output(msgspec.Struct, frozen=True, kw_only=True):
    """One file that was written: its name below the output folder, the SHA-256 of its bytes, and
    the piece and size that it stands for, where it stands for one."""

    file: str
    digest: str
    piece: str | None = None
    size: str | None = None


class JobResult(msgspec.Struct, frozen=True, kw_only=True):
    """All that is known of one style after its job.

    style, file   as in `SeamRow`
    status        what became of it; reason: one sentence, for all but DONE
    findings      worst first, of the checks and of what stopped it
    seams         flat rows; stretches: between the marks of each seam
    pieces, sizes, base_size   what the pattern holds, by name
    looked_at     how many seams in sizes were measured; 0: nothing was looked at, `skipped` says
                  why. An empty list of findings is no clean bill then
    plan          display name of the seam plan; None: the one inside the file, or none
    pipeline      name of the pipeline; "" for a check
    steps         of a pipeline: what each step did, as in `run --json`
    outputs       files that were written
    inputs        display name -> SHA-256 of what was read
    versions      distribution -> version of what took part
    worst         highest severity among the findings that count for the exit status, or None
    """

    style: str
    file: str
    status: Status
    reason: str = ""
    findings: tuple[Finding, ...] = ()
    seams: tuple[SeamRow, ...] = ()
    stretches: tuple[StretchRow, ...] = ()
    pieces: tuple[str, ...] = ()
    sizes: tuple[str, ...] = ()
    base_size: str = ""
    looked_at: int = 0
    skipped: str = ""
    plan: str | None = None
    pipeline: str = ""
    steps: tuple[dict[str, Any], ...] = ()
    outputs: tuple[Output, ...] = ()
    inputs: dict[str, str] = {}
    versions: dict[str, str] = {}
    worst: str | None = None

    @property
    def done(self) -> bool:
        """Whether all of the work was done."""
        return self.status is Status.DONE


class Head(msgspec.Struct, frozen=True, kw_only=True):
    """The little of a result that is held in memory for every style of a batch.

    out_of_range  rows of seams that are over or under; beyond: by how much the worst is, mm
    outputs       as in the result
    """

    style: str
    file: str
    status: Status
    reason: str = ""
    pieces: int = 0
    sizes: int = 0
    seams: int = 0
    out_of_range: int = 0
    beyond: float = 0.0
    looked_at: int = 0
    skipped: str = ""
    errors: int = 0
    warnings: int = 0
    notes: int = 0
    worst: str | None = None
    outputs: tuple[Output, ...] = ()

    @property
    def done(self) -> bool:
        """Whether all of the work was done."""
        return self.status is Status.DONE

    @property
    def badness(self) -> tuple[int, int, float, int, int]:
        """Sorts worst first: what was not done, what has errors, how far out, how often."""
        unseen = 0 if not self.done else 1 if not self.looked_at else 2
        return (unseen, -min(self.errors, 1), -self.beyond, -self.out_of_range, -self.warnings)


def head_of(result: JobResult) -> Head:
    """What is held in memory of a result."""
    bad = [row for row in result.seams if row.verdict in (Verdict.OVER, Verdict.UNDER)]
    count = dict.fromkeys(("error", "warning", "note"), 0)
    for finding in result.findings:
        count[finding.severity.value] += 1
    return Head(
        style=result.style,
        file=result.file,
        status=result.status,
        reason=result.reason,
        pieces=len(result.pieces),
        sizes=len(result.sizes),
        seams=len(result.seams),
        out_of_range=len(bad),
        beyond=max((row.beyond for row in bad), default=0.0),
        looked_at=result.looked_at,
        skipped=result.skipped,
        errors=count["error"],
        warnings=count["warning"],
        notes=count["note"],
        worst=result.worst,
        outputs=result.outputs,
    )


COLUMNS: Final = SeamRow.__struct_fields__
"""Columns of the table of all styles, sizes and seams, in order."""

_pack = msgspec.msgpack.Encoder()
_unpack = msgspec.msgpack.Decoder(JobResult)
_unpack_head = msgspec.msgpack.Decoder(Head)


def packed(result: JobResult) -> bytes:
    """The result as bytes; equal results give equal bytes."""
    return _pack.encode(result)


def unpacked(data: bytes) -> JobResult:
    """The result out of its bytes. Raises msgspec.DecodeError for anything else."""
    return _unpack.decode(data)


def packed_head(head: Head) -> bytes:
    """A head as bytes."""
    return _pack.encode(head)


def unpacked_head(data: bytes) -> Head:
    """A head out of its bytes."""
    return _unpack_head.decode(data)


def table(results: Iterable[JobResult]) -> Iterator[SeamRow]:
    """The rows of all styles x sizes x seams, one after the other."""
    for result in results:
        yield from result.seams
