"""In this process, one after the other. What hangs here hangs for good, so bounds are not kept."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator

from seamwright.plugins.registry import Registry

from ..job import Job, Task
from ..work import do_packed
from .base import Finished, Tell


class Here:
    """Does jobs in this process."""

    name = "here"

    def __init__(self, registry: Registry | None = None) -> None:
        self._registry = registry

    def run(
        self,
        task: Task,
        jobs: Iterator[tuple[int, Job]],
        finished: Callable[[Finished], None],
        tell: Tell,
    ) -> None:
        """See `Executor`."""
        for number, job in jobs:
            start = time.perf_counter()
            packed = do_packed(task, job, self._registry)
            finished(Finished(number=number, packed=packed, seconds=time.perf_counter() - start))
