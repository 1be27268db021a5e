"""What runs in a worker process: set up once, then job after job."""

from __future__ import annotations

import os
import signal
import sys
import threading
from multiprocessing import connection, parent_process

from ..job import Job, Task

_task: Task | None = None
THREADS = ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS", "NUMEXPR_NUM_THREADS")
"""One each: the workers share the cores among them already."""


def begin(task: Task, memory: int | None) -> None:
    """Sets the process up. memory: bytes that jobs may take above what it has now."""
    global _task
    _task = task
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # the parent ends us, and tidies
    sys.stdout.flush()
    os.dup2(2, 1)  # stdout is the document of the parent
    _watch_parent()
    warm()
    if memory is not None:
        bound_memory(memory)


def warm() -> None:
    """Imports what every job needs: none is to pay for it with its own time and memory."""
    import seamwright.plan  # noqa: F401, PLC0415
    from seamwright.plugins import registry  # noqa: PLC0415

    from .. import work  # noqa: F401, PLC0415

    registry.default()


def ready() -> int:
    """The number of this process, once it is set up."""
    return os.getpid()


def work(job: Job) -> tuple[bytes, bytes, str]:
    """Does a job."""
    from ..work import do_packed  # noqa: PLC0415 - light before `begin`

    if _task is None:
        raise AssertionError("a worker was not set up")
    return do_packed(_task, job)


def bound_memory(memory: int) -> int | None:
    """Bounds the address space of this process to what it has, the share of a worker, and `memory`
    for the job; gives the bound that stood before. Where the system has no such bound the parent's
    eye is the only one."""
    try:
        import resource  # noqa: PLC0415 - not on every system
    except ImportError:
        return None
    from ..machine import SHARE, address_space  # noqa: PLC0415

    has = address_space()
    if has is None:
        return None
    memory += SHARE  # what is imported only when a file needs it is not the job's
    before, hard = resource.getrlimit(resource.RLIMIT_AS)
    wanted = has + memory if hard == resource.RLIM_INFINITY else min(has + memory, hard)
    resource.setrlimit(resource.RLIMIT_AS, (wanted, hard))
    return before


def _watch_parent() -> None:
    """Ends this process when its parent is gone: nobody would ever read what it makes."""
    parent = parent_process()
    if parent is None:
        return

    def wait() -> None:
        connection.wait([parent.sentinel])
        os._exit(1)

    threading.Thread(target=wait, daemon=True).start()
