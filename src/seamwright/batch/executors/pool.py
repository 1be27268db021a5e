"""Worker processes on this machine.

Each worker is a ProcessPoolExecutor of one process, so that a worker that dies, or that is ended
because its job takes too long or too much memory, is known to be that job's, and all others go on.
"""

from __future__ import annotations

import multiprocessing
import os
import signal
import threading
import time
from collections import deque
from collections.abc import Callable, Iterator
from concurrent.futures import FIRST_COMPLETED, Future, ProcessPoolExecutor, wait
from concurrent.futures.process import BrokenProcessPool
from contextlib import contextmanager, suppress
from typing import Any, Final

from seamwright.findings import SeamwrightError

from .. import machine
from ..job import Job, Task
from ..rows import Status
from . import worker
from .base import Bounds, Finished, Tell

_BEAT: Final = 0.1  # s between two looks at the workers
_JOBS: Final = 250  # of a worker, before a fresh one takes its place
_TRIES: Final = 2


class Pool:
    """Does jobs in `workers` processes (None: as many as this machine has room for)."""

    name = "pool"

    def __init__(self, workers: int | None = None, bounds: Bounds | None = None) -> None:
        self.workers = workers or machine.workers()
        self._bounds = bounds or Bounds()

    def run(
        self,
        task: Task,
        jobs: Iterator[tuple[int, Job]],
        finished: Callable[[Finished], None],
        tell: Tell,
    ) -> None:
        """See `Executor`."""
        ahead: deque[tuple[int, Job, int]] = deque()
        lanes: list[_Lane] = []
        drained = False
        try:
            while True:
                if not ahead and not drained:
                    drained = not _draw(jobs, ahead, 1)
                unused = sum(lane.job is None for lane in lanes)
                if len(ahead) > unused and len(lanes) < self.workers:
                    lanes.append(_Lane(task, self._bounds))
                for lane in lanes:
                    if lane.idle and ahead:
                        lane.begin(*ahead.popleft())
                if not drained and len(ahead) < 2 * self.workers:  # the next, while all work
                    drained = not _draw(jobs, ahead, 2 * self.workers - len(ahead))
                if drained and not ahead and all(lane.job is None for lane in lanes):
                    return
                wait([lane.future for lane in lanes if lane.future], _BEAT, FIRST_COMPLETED)
                for lane in lanes:
                    end = lane.look()
                    if end is None:
                        continue
                    number, job, tries, done = end
                    if done.status is Status.WORKER_DIED and tries < _TRIES:
                        tell("retry", number, done.reason)
                        ahead.appendleft((number, job, tries + 1))
                        continue
                    if lane.idle and ahead:  # first work for the worker, then the books
                        lane.begin(*ahead.popleft())
                    finished(done)
        finally:
            for lane in lanes:
                lane.end()


def _draw(jobs: Iterator[tuple[int, Job]], ahead: deque[tuple[int, Job, int]], most: int) -> bool:
    """Puts up to `most` jobs ahead; False when there are no more."""
    for _ in range(most):
        found = next(jobs, None)
        if found is None:
            return False
        ahead.append((*found, 1))
    return True


class _Lane:
    """One worker process and what it is at."""

    def __init__(self, task: Task, bounds: Bounds) -> None:
        self._task, self._bounds = task, bounds
        self.job: tuple[int, Job, int] | None = None
        self._fell = 0  # workers that died before they were ready, in a row
        self._start()

    def _start(self) -> None:
        self._pid = 0
        self._jobs, self._began = 0, 0.0
        self._verdict: tuple[Status, str] | None = None
        with _set_up():
            self._pool = ProcessPoolExecutor(
                1,
                mp_context=multiprocessing.get_context("spawn"),
                initializer=worker.begin,
                initargs=(self._task, self._bounds.memory),
            )
            self.future: Future[Any] | None = self._pool.submit(worker.ready)

    @property
    def idle(self) -> bool:
        """Whether it is ready for a job."""
        return self.future is None

    def begin(self, number: int, job: Job, tries: int) -> None:
        """Begins a job."""
        self.job = (number, job, tries)
        self._began = time.perf_counter()
        self._verdict = None
        try:
            self.future = self._pool.submit(worker.work, job)
        except BrokenProcessPool as error:
            self.future = Future()
            self.future.set_exception(error)

    def look(self) -> tuple[int, Job, int, Finished] | None:
        """The job that ended, if one did; ends one that is out of bounds."""
        if self.future is None:
            return None
        if not self.future.done():
            self._mind_bounds()
            return None
        future, self.future = self.future, None
        if self.job is None:
            self._made_ready(future)
            return None
        (number, job, tries), self.job = self.job, None
        seconds = time.perf_counter() - self._began
        error = future.exception()
        if error is None:
            self._jobs += 1
            if self._jobs >= _JOBS:
                self._again()
            return number, job, tries, Finished(
                number=number, packed=future.result(), seconds=seconds, tries=tries
            )  # fmt: skip
        if isinstance(error, BrokenProcessPool):
            status, reason = self._verdict or (
                Status.WORKER_DIED,
                "the worker died over it (did the machine run out of memory?)",
            )
            self._again()
        else:
            status, reason = Status.FAILED, f"{type(error).__name__}: {error}"
        return number, job, tries, Finished(
            number=number, status=status, reason=reason, seconds=seconds, tries=tries
        )  # fmt: skip

    def _made_ready(self, future: Future[Any]) -> None:
        error = future.exception()
        if error is None:
            self._pid, self._fell = future.result(), 0
            return
        self._fell += 1
        if self._fell > 2:
            raise SeamwrightError.of(
                "batch.no-worker",
                f"worker processes do not come up: {error}",
                hint="try --executor here, or fewer --workers",
            )
        self._again()

    def _mind_bounds(self) -> None:
        if self.job is None or self._verdict is not None:
            return
        timeout, memory = self._bounds.timeout, self._bounds.memory
        if timeout is not None and time.perf_counter() - self._began > timeout:
            self._stop(Status.TIMED_OUT, f"it took longer than {timeout:g} s")
        elif memory is not None and (machine.resident(self._pid) or 0) > memory + machine.SHARE:
            self._stop(Status.OUT_OF_MEMORY, "it needs more memory than a job may take")

    def _stop(self, status: Status, reason: str) -> None:
        self._verdict = (status, reason)
        with suppress(ProcessLookupError):
            os.kill(self._pid, signal.SIGKILL)

    def _again(self) -> None:
        """A fresh worker in the old one's place."""
        self._pool.shutdown(wait=False, cancel_futures=True)
        self._start()

    def end(self) -> None:
        """Ends the worker at once, whatever it is at."""
        # One that is not up yet has told us no number.
        pids = [self._pid] if self._pid else list(self._pool._processes or {})
        for pid in pids:
            with suppress(ProcessLookupError):
                os.kill(pid, signal.SIGKILL)
        self._pool.shutdown(wait=False, cancel_futures=True)


@contextmanager
def _set_up() -> Iterator[None]:
    """The surroundings in which a worker starts: one thread for numpy, and deaf to ^C, which a
    terminal sends to all of us at once."""
    before = {name: os.environ.get(name) for name in worker.THREADS}
    main = threading.current_thread() is threading.main_thread()
    handler = signal.signal(signal.SIGINT, signal.SIG_IGN) if main else None
    os.environ.update(dict.fromkeys(worker.THREADS, "1"))
    try:
        yield
    finally:
        for name, value in before.items():
            if value is None:
                os.environ.pop(name, None)
            else:
                os.environ[name] = value
        if main:
            signal.signal(signal.SIGINT, handler)
