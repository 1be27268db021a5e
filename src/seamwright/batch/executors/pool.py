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
from dataclasses import dataclass, replace
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
_DEPTH: Final = 2  # jobs that a worker has: the one that it is at, and the next


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
        ahead: deque[_Given] = deque()
        lanes: list[_Lane] = []
        drained = False
        try:
            while True:
                if not ahead and not drained:
                    drained = not _draw(jobs, ahead, 1)
                unused = sum(not lane.given for lane in lanes)
                if len(ahead) > unused and len(lanes) < self.workers:
                    lanes.append(_Lane(task, self._bounds))
                _hand_out(lanes, ahead)
                if not drained and len(ahead) < 2 * self.workers:  # the next, while all work
                    drained = not _draw(jobs, ahead, 2 * self.workers - len(ahead))
                if drained and not ahead and not any(lane.given for lane in lanes):
                    return
                awaited = [lane.awaited for lane in lanes if lane.awaited is not None]
                wait(awaited, _BEAT, FIRST_COMPLETED)
                for lane in lanes:
                    end = lane.look()
                    ahead.extendleft(reversed(lane.given_back()))
                    if end is None:
                        continue
                    given, done = end
                    if done.status is Status.WORKER_DIED and given.tries < _TRIES:
                        tell("retry", given.number, done.reason)
                        ahead.appendleft(replace(given, tries=given.tries + 1))
                        continue
                    _hand_out([lane], ahead)  # first work for the worker, then the books
                    finished(done)
        finally:
            for lane in lanes:
                lane.end()


@dataclass(frozen=True, slots=True)
class _Given:
    """A job that is handed to a worker for the first or the second time."""

    number: int
    job: Job
    tries: int = 1


def _hand_out(lanes: list[_Lane], ahead: deque[_Given]) -> None:
    """Hands out jobs: one to each worker that has none first, then the next to each, so that no
    worker waits for us between two jobs. What died once before goes to a worker by itself."""
    for depth in range(_DEPTH):
        for lane in lanes:
            if not ahead or not lane.ready or len(lane.given) != depth:
                continue
            if not depth or max(ahead[0].tries, lane.given[0].tries) == 1:
                lane.begin(ahead.popleft())


def _draw(jobs: Iterator[tuple[int, Job]], ahead: deque[_Given], most: int) -> bool:
    """Puts up to `most` jobs ahead; False when there are no more."""
    for _ in range(most):
        found = next(jobs, None)
        if found is None:
            return False
        ahead.append(_Given(*found))
    return True


class _Lane:
    """One worker process, the job that it is at, and the next one."""

    def __init__(self, task: Task, bounds: Bounds) -> None:
        self._task, self._bounds = task, bounds
        self.given: deque[_Given] = deque()
        self._futures: deque[Future[Any]] = deque()
        self._back: list[_Given] = []
        self._fell = 0  # workers that died before they were ready, in a row
        self._start()

    def _start(self) -> None:
        self._pid = self._jobs = 0
        self._began = 0.0
        self._verdict: tuple[Status, str] | None = None
        with _set_up():
            self._pool = ProcessPoolExecutor(
                1,
                mp_context=multiprocessing.get_context("spawn"),
                initializer=worker.begin,
                initargs=(self._task, self._bounds.memory),
            )
            self._coming: Future[Any] | None = self._pool.submit(worker.ready)

    @property
    def ready(self) -> bool:
        """Whether the worker is up, and not on its way out."""
        return self._coming is None and self._jobs + len(self.given) < _JOBS

    @property
    def awaited(self) -> Future[Any] | None:
        """What ends next here."""
        return self._coming or (self._futures[0] if self._futures else None)

    def begin(self, given: _Given) -> None:
        """Hands a job to the worker."""
        if not self.given:
            self._began = time.perf_counter()
        self.given.append(given)
        try:
            self._futures.append(self._pool.submit(worker.work, given.job))
        except BrokenProcessPool as error:
            broken: Future[Any] = Future()
            broken.set_exception(error)
            self._futures.append(broken)

    def given_back(self) -> list[_Given]:
        """Jobs that were handed to a worker which never came to them."""
        back, self._back = self._back, []
        return back

    def look(self) -> tuple[_Given, Finished] | None:
        """The job that ended, if one did; ends one that is out of bounds."""
        if self._coming is not None:
            if self._coming.done():
                self._made_ready(self._coming)
            return None
        if not self.given:
            return None
        if not self._futures[0].done():
            self._mind_bounds()
            return None
        future, given = self._futures.popleft(), self.given.popleft()
        now = time.perf_counter()
        seconds, self._began = now - self._began, now
        error = future.exception()
        if error is None:
            self._jobs += 1
            # It may have ended in the moment in which it was to be ended.
            if self._jobs >= _JOBS or self._verdict is not None:
                self._again()
            return given, Finished(
                number=given.number, packed=future.result(), seconds=seconds, tries=given.tries
            )
        if isinstance(error, BrokenProcessPool):
            status, reason = self._verdict or (
                Status.WORKER_DIED,
                "the worker died over it (did the machine run out of memory?)",
            )
            self._again()
        else:
            status, reason = Status.FAILED, f"{type(error).__name__}: {error}"
        return given, Finished(
            number=given.number, status=status, reason=reason, seconds=seconds, tries=given.tries
        )

    def _made_ready(self, coming: Future[Any]) -> None:
        error = coming.exception()
        if error is None:
            self._pid, self._fell, self._coming = coming.result(), 0, None
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
        if self._verdict is not None:
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
        """A fresh worker in the old one's place; what it was not at yet is given back."""
        self._back += self.given
        self.given.clear()
        self._futures.clear()
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
