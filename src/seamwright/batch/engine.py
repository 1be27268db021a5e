"""Running a batch: what was done before is taken from the store, the rest is done, in whatever
order; results are told in the order of the batch."""

from __future__ import annotations

import time
import zlib
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from itertools import repeat

import msgspec

from seamwright.findings import Finding, SeamwrightError
from seamwright.plugins import registry as registries
from seamwright.plugins.registry import Registry

from .executors.base import Executor, Finished
from .job import Job, Task, failed, not_done
from .keys import Keys
from .outputs import Placing
from .rows import Head, Status, unpacked, unpacked_head
from .spool import Spool
from .store import Store
from .work import pack


@dataclass(frozen=True, slots=True, kw_only=True)
class Event:
    """Something that happened, for progress and log.

    what     "done" (whatever its status), "kept" (taken from the store), "retry"
    done, total, failures   of the batch so far
    """

    what: str
    style: str
    status: Status = Status.DONE
    reason: str = ""
    seconds: float = 0.0
    tries: int = 1
    done: int = 0
    total: int = 0
    failures: int = 0


@dataclass(slots=True, kw_only=True)
class Batch:
    """What became of a batch.

    heads        one for each job, in order; None for what was not done (it was stopped)
    results      full results, read from disk one by one, in order
    kept         how many came from the store
    stopped      why it ended early: "interrupted", "fail-fast", or ""
    findings     of the batch as a whole
    """

    jobs: tuple[Job, ...]
    heads: list[Head | None]
    results: Spool
    kept: int = 0
    stopped: str = ""
    findings: list[Finding] = field(default_factory=list)
    seconds: float = 0.0

    @property
    def told(self) -> list[Head]:
        """Heads of what was done, in order."""
        return [head for head in self.heads if head is not None]

    @property
    def whole(self) -> bool:
        """Whether every style was done."""
        return all(head is not None and head.done for head in self.heads)


class _Stop(Exception):
    """Ends a batch early."""


def run_batch(
    task: Task,
    jobs: Sequence[Job],
    executor: Executor,
    *,
    store: Store | None = None,
    placing: Placing | None = None,
    fail_fast: bool = False,
    tell: Callable[[Event], None] = lambda event: None,
    registry: Registry | None = None,
) -> Batch:
    """Does all jobs that are not in the store.

    store      results of earlier runs; None: nothing is kept
    placing    the output folder of a run
    fail_fast  end at the first style that cannot be done

    A KeyboardInterrupt ends it with what was done so far (`Batch.stopped`). Raises SeamwrightError
    when no work can be done at all.
    """
    return _Running(
        task, tuple(jobs), store, placing, fail_fast, tell, registry or registries.default()
    ).run(executor)


class _Running:
    """A batch while it runs."""

    def __init__(
        self,
        task: Task,
        jobs: tuple[Job, ...],
        store: Store | None,
        placing: Placing | None,
        fail_fast: bool,
        tell: Callable[[Event], None],
        registry: Registry,
    ) -> None:
        self.task, self.jobs, self.store, self.placing = task, jobs, store, placing
        self.fail_fast, self.tell = fail_fast, tell
        self.keys = Keys(task, registry) if store is not None else None
        self.pending: dict[int, tuple[str, str]] = {}  # number -> key, digest of the file
        self.batch = Batch(jobs=jobs, heads=[None] * len(jobs), results=Spool())
        self.done = self.failures = 0

    def run(self, executor: Executor) -> Batch:
        """See `run_batch`."""
        start = time.perf_counter()
        try:
            executor.run(self.task, self._to_do(), self._finished, self._told)
        except _Stop:
            self.batch.stopped = "fail-fast"
        except KeyboardInterrupt:
            self.batch.stopped = "interrupted"
        finally:
            if self.placing is not None:
                self.placing.close()
        self.batch.seconds = time.perf_counter() - start
        return self.batch

    def _to_do(self) -> Iterator[tuple[int, Job]]:
        """The jobs that are not in the store; those that are, are told of on the way."""
        keys = self.keys.each(self.jobs) if self.keys is not None else repeat(None)
        for number, (job, key) in enumerate(zip(self.jobs, keys, strict=False)):
            if self._kept(number, job, key):
                continue
            if self.placing is not None and job.trouble is None:
                job = msgspec.structs.replace(job, stage=str(self.placing.stage(number)))
            yield number, job

    def _kept(self, number: int, job: Job, key: tuple[str, str] | None) -> bool:
        if self.store is None or key is None:
            return False
        self.pending[number] = key
        found = self.store.get(key[0])
        if found is None:
            return False
        head, body = found
        if self.placing is not None:
            if not self.placing.stands(job.folder, head.outputs):
                return False
            try:
                self.placing.claim(job.style, job.folder, head.outputs)
            except SeamwrightError:
                return False  # the job will say so
        del self.pending[number]
        self.batch.kept += 1
        self._keep(number, head, body)
        self._say("kept", head)
        return True

    def _finished(self, end: Finished) -> None:
        job, key = self.jobs[end.number], self.pending.pop(end.number, None)
        packed = end.packed or pack(not_done(job, end.status, end.reason))
        head_bytes, body, digest = packed
        head = unpacked_head(head_bytes)
        if head.done and self.placing is not None:
            head_bytes, body = self._placed(end.number, job, head_bytes, body)
            head = unpacked_head(head_bytes)
        # A file that was changed while it was read has no key.
        if head.done and self.store is not None and key is not None and key[1] == digest:
            self.store.put(key[0], head_bytes, body)
        self._keep(end.number, head, body)
        self._say("done", head, seconds=end.seconds, tries=end.tries)
        if self.fail_fast and not head.done:
            raise _Stop

    def _placed(self, number: int, job: Job, head: bytes, body: bytes) -> tuple[bytes, bytes]:
        """The outputs in their places, and the result with what there is to say of that."""
        if self.placing is None:
            raise AssertionError("nowhere to place")
        outputs = unpacked_head(head).outputs
        try:
            said = self.placing.place(job.style, job.folder, self.placing.at(number), outputs)
        except SeamwrightError as error:
            found = unpacked(zlib.decompress(body))
            told = [f.but(file=f.file or job.file) for f in (error.finding, *error.others)]
            bad = failed(job, (*told, *found.findings), reason=error.finding.message)
            return pack(bad)[:2]
        self.batch.findings += said
        return head, body

    def _keep(self, number: int, head: Head, body: bytes) -> None:
        self.batch.heads[number] = head
        self.batch.results.put(number, body)
        self.done += 1
        self.failures += not head.done

    def _told(self, event: str, number: int, detail: str) -> None:
        if event == "retry" and self.placing is not None and self.jobs[number].trouble is None:
            self.placing.stage(number)
        self.tell(
            Event(
                what=event,
                style=self.jobs[number].style,
                reason=detail,
                done=self.done,
                total=len(self.jobs),
                failures=self.failures,
            )
        )

    def _say(self, what: str, head: Head, *, seconds: float = 0.0, tries: int = 1) -> None:
        self.tell(
            Event(
                what=what,
                style=head.style,
                status=head.status,
                reason=head.reason,
                seconds=seconds,
                tries=tries,
                done=self.done,
                total=len(self.jobs),
                failures=self.failures,
            )
        )
