"""A Dask cluster: the scheduler at an address, or a cluster of this machine's own.

Dask does the work of spreading, and of beginning again what a lost worker was at. Every worker has
to see the files under the same paths, and to have the same versions of Seamwright and its plugins.
"""

from __future__ import annotations

import logging
import time
import uuid
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager
from typing import Any, Final

from seamwright.findings import SeamwrightError

from .. import machine
from ..job import Job, Task
from ..rows import Status
from .base import Bounds, Finished, Tell

LOCAL: Final = "local"
_BEAT: Final = 0.5  # s


class Cluster:
    """Does jobs on the cluster of a scheduler ("tcp://host:8786"), or on one of this machine's own
    ("local") with `workers` workers."""

    name = "dask"

    def __init__(
        self, address: str = LOCAL, *, workers: int | None = None, bounds: Bounds | None = None
    ) -> None:
        self.address, self.workers = address, workers or machine.workers()
        self._bounds = bounds or Bounds()

    def run(
        self,
        task: Task,
        jobs: Iterator[tuple[int, Job]],
        finished: Callable[[Finished], None],
        tell: Tell,
    ) -> None:
        """See `Executor`."""
        first = next(jobs, None)
        if first is None:
            return  # nothing to do needs no cluster
        try:
            import distributed  # noqa: PLC0415 - an extra
        except ImportError as error:
            raise SeamwrightError.of(
                "batch.no-cluster",
                "a cluster needs Dask, which is not installed",
                hint="pip install 'seamwright[cluster]'",
            ) from error
        with ExitStack() as stack:
            client = self._client(distributed, stack)
            _Run(client, task, self._bounds, finished, tell).all(first, jobs)

    def _client(self, distributed: Any, stack: ExitStack) -> Any:
        import dask  # noqa: PLC0415

        stack.enter_context(
            dask.config.set(
                {
                    "distributed.scheduler.allowed-failures": 1,  # tried once more
                    "distributed.scheduler.worker-saturation": 1.0,
                    "distributed.scheduler.work-stealing": False,
                    "distributed.admin.tick.limit": "60s",
                }
            )
        )
        stack.enter_context(_quiet())
        try:
            if self.address == LOCAL:
                cluster = stack.enter_context(
                    distributed.LocalCluster(
                        n_workers=self.workers,
                        threads_per_worker=1,
                        processes=True,
                        host="127.0.0.1",
                        dashboard_address=None,
                        silence_logs=logging.CRITICAL,
                        memory_limit=0 if self._bounds.memory is None
                        else self._bounds.memory + machine.SHARE,
                    )
                )  # fmt: skip
                client = stack.enter_context(distributed.Client(cluster))
                client.wait_for_workers(self.workers, timeout=60)
            else:
                client = stack.enter_context(distributed.Client(self.address, timeout=8))
                client.wait_for_workers(1, timeout=60)
        except (OSError, TimeoutError, ValueError) as error:
            raise SeamwrightError.of(
                "batch.no-cluster",
                f"the cluster at {self.address} cannot be used: {error}",
                hint="see whether its scheduler and workers are up",
            ) from error
        _alike(client)
        return client


class _Run:
    """One batch on a cluster."""

    def __init__(
        self,
        client: Any,
        task: Task,
        bounds: Bounds,
        finished: Callable[[Finished], None],
        tell: Tell,
    ) -> None:
        self._client, self._task, self._bounds = client, task, bounds
        self._finished, self._tell = finished, tell
        self._name = uuid.uuid4().hex
        self._open: dict[Any, tuple[int, float]] = {}  # future -> number, when handed in
        self._seen: dict[str, tuple[str, float]] = {}  # key -> worker that is at it, since when

    def all(self, first: tuple[int, Job], jobs: Iterator[tuple[int, Job]]) -> None:
        """Does all jobs; never more are handed in than the cluster has room for, and a few."""
        import distributed  # noqa: PLC0415

        wait: Any = distributed.wait

        more: tuple[int, Job] | None = first
        try:
            while more is not None or self._open:
                room = sum(self._client.nthreads().values()) + 2
                while more is not None and len(self._open) < room:
                    self._hand_in(*more)
                    more = next(jobs, None)
                try:
                    done = wait(list(self._open), timeout=_BEAT, return_when="FIRST_COMPLETED").done
                except TimeoutError:
                    done = ()
                for future in done:
                    number, began = self._open.pop(future)
                    self._finished(self._end(future, number, began))
                self._mind_time()
        finally:
            self._client.cancel(list(self._open), force=True)

    def _hand_in(self, number: int, job: Job) -> None:
        future = self._client.submit(
            work,
            self._task,
            job,
            self._bounds.memory,
            key=f"seamwright-{self._name}-{number}",
            pure=False,
        )
        self._open[future] = (number, time.perf_counter())

    def _end(self, future: Any, number: int, began: float) -> Finished:
        seconds = time.perf_counter() - began
        if future.status == "finished":
            return Finished(number=number, packed=future.result(), seconds=seconds)
        error = future.exception() if future.status == "error" else None
        if type(error).__name__ == "KilledWorker":
            return Finished(
                number=number,
                status=Status.WORKER_DIED,
                reason="the worker died over it (did the machine run out of memory?)",
                seconds=seconds,
                tries=2,
            )
        reason = f"{type(error).__name__}: {error}" if error else f"it was {future.status}"
        return Finished(number=number, status=Status.FAILED, reason=reason, seconds=seconds)

    def _mind_time(self) -> None:
        """Ends jobs that take too long: their worker is restarted, which only its keeper can do."""
        limit = self._bounds.timeout
        now = time.perf_counter()
        if limit is None:
            return
        old = {f.key: f for f, (_, since) in self._open.items() if now - since > min(limit, 1.0)}
        if not old:
            return
        # Only what is really being worked at has a stack; what waits on a worker has none.
        at = {
            key: worker
            for worker, stacks in self._client.call_stack(list(old.values())).items()
            for key in stacks
        }
        for key in list(self._seen):
            if key not in old or at.get(key) != self._seen[key][0]:
                del self._seen[key]
        for key, worker in at.items():
            _, since = self._seen.setdefault(key, (worker, now))
            future = old[key]
            if now - since <= limit:
                continue
            number, began = self._open.pop(future)
            self._client.cancel([future], force=True)
            self._restart(worker)
            self._finished(
                Finished(
                    number=number,
                    status=Status.TIMED_OUT,
                    reason=f"it took longer than {limit:g} s",
                    seconds=now - began,
                )
            )

    def _restart(self, worker: str) -> None:
        try:
            self._client.restart_workers([worker], timeout=30, raise_for_error=False)
        except (ValueError, KeyError, TimeoutError):
            # It has no keeper, or has gone: it stays at that job, and others take the rest.
            return


def work(task: Task, job: Job, memory: int | None) -> tuple[bytes, bytes, str]:
    """Does a job in a worker of the cluster, under a bound of memory for as long as it lasts."""
    from ..work import do_packed  # noqa: PLC0415 - in the worker
    from .worker import bound_memory  # noqa: PLC0415

    if memory is None:
        return do_packed(task, job)
    import resource  # noqa: PLC0415

    _, hard = resource.getrlimit(resource.RLIMIT_AS)
    before = bound_memory(memory)
    try:
        return do_packed(task, job)
    finally:
        if before is not None:
            resource.setrlimit(resource.RLIMIT_AS, (before, hard))


def _versions() -> list[tuple[str, str]]:
    """What decides about results, by version."""
    from seamwright import __version__  # noqa: PLC0415
    from seamwright.plugins import registry  # noqa: PLC0415

    from .worker import warm  # noqa: PLC0415

    warm()
    rows = registry.default().rows
    return [("seamwright", __version__), *((r.name, r.version) for r in rows)]


def _alike(client: Any) -> None:
    """Raises SeamwrightError where a worker has other versions than we have."""
    ours = _versions()
    for worker, theirs in client.run(_versions).items():
        if [tuple(one) for one in theirs] != ours:
            odd = sorted({n for n, _ in {*ours} ^ {tuple(one) for one in theirs}})
            raise SeamwrightError.of(
                "batch.versions-differ",
                f"the worker {worker} has another version of: {', '.join(odd)}",
                hint="install the same versions on all machines",
            )


@contextmanager
def _quiet() -> Iterator[None]:
    """Dask's own remarks on lost and restarted workers stay away: we tell of them by row."""
    log = logging.getLogger("distributed")
    before = log.level
    log.setLevel(logging.CRITICAL)
    try:
        yield
    finally:
        log.setLevel(before)
