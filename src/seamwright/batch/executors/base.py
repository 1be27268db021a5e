"""What an executor is asked for, and what it gives back."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Protocol

from ..job import Job, Task
from ..rows import Status


@dataclass(frozen=True, slots=True, kw_only=True)
class Finished:
    """A job that ended.

    packed   head, compressed result, digest of the file as it was read; None when the job ended
             without a result: then status and reason say how
    tries    how often it was begun; seconds: how long the last try took
    """

    number: int
    packed: tuple[bytes, bytes, str] | None = None
    status: Status = Status.DONE
    reason: str = ""
    seconds: float = 0.0
    tries: int = 1


@dataclass(frozen=True, slots=True, kw_only=True)
class Bounds:
    """What a job may take. timeout: seconds; memory: bytes; None: as much as it wants."""

    timeout: float | None = None
    memory: int | None = None


Tell = Callable[[str, int, str], None]
"""(event, number of the job, detail): "retry" when a job is begun again."""


class Executor(Protocol):
    """Does jobs. `jobs` is drawn from as there is room, so nothing piles up."""

    name: str

    def run(
        self,
        task: Task,
        jobs: Iterator[tuple[int, Job]],
        finished: Callable[[Finished], None],
        tell: Tell,
    ) -> None:
        """Does all jobs and tells of each as it ends, in whatever order. Whatever `finished`
        raises ends the run; what is under way then is given up at once."""
