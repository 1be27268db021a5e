"""What counts as a fault when a damaged file is read, and a guard on what a process touches.

A reader may give a pattern or refuse with one clear error. Anything else is a fault: another
exception, also when the core has wrapped it; a number that is none, or beyond all measure; a file
opened or written outside the folder, a socket, a process.
"""

from __future__ import annotations

import math
import os
import sys
import sysconfig
import traceback
from collections.abc import Callable, Iterator
from dataclasses import dataclass, fields, is_dataclass
from pathlib import Path
from typing import Any, Final

import numpy as np

from seamwright.findings import Finding, SeamwrightError

FAULTS: Final = frozenset(
    {"plugin.raised", "plugin.undeclared-code", "plugin.broke-contract", "loss.unannounced"}
)
"""Codes under which the core reports what no plugin should do."""
FARTHEST: Final = 1e13
"""mm; ten million kilometres: no reader may let a figure beyond it into a pattern."""


@dataclass(frozen=True)
class Verdict:
    """outcome: "read", "refused" or "fault"; code: of the error; detail: of the fault."""

    outcome: str
    code: str = ""
    detail: str = ""

    @property
    def fault(self) -> bool:
        return self.outcome == "fault"


def judged(work: Callable[[bytes], Any], data: bytes) -> Verdict:
    """What came of `work` on a file. It gives findings and objects to look through, or raises."""
    try:
        found = work(data)
        for wrong in faults_in(found):
            return Verdict("fault", "value", wrong)
        return Verdict("read")
    except SeamwrightError as error:
        for finding in (error.finding, *error.others):
            if finding.code in FAULTS:
                cause = error.__cause__
                told = finding.message
                if cause is not None:
                    told += "\n" + "".join(traceback.format_exception(cause))
                return Verdict("fault", finding.code, told)
            for wrong in _unclear(finding):
                return Verdict("fault", finding.code, wrong)
        return Verdict("refused", error.finding.code)
    except Exception:
        return Verdict("fault", "traceback", traceback.format_exc())


def _unclear(finding: Finding) -> Iterator[str]:
    if not finding.message or len(finding.message) > 2000:
        yield f"a message of {len(finding.message)} signs: {finding.message[:200]}"
    if not finding.code or "." not in finding.code:
        yield f"no code: {finding}"


def faults_in(found: Any) -> Iterator[str]:
    """Numbers that are none, and findings that own to a fault, anywhere inside."""
    stack: list[tuple[str, Any]] = [("", found)]
    seen: set[int] = set()
    while stack:
        path, value = stack.pop()
        if isinstance(value, float):
            if not math.isfinite(value) or abs(value) > FARTHEST:
                yield f"{path} is {value}"
        elif isinstance(value, np.ndarray):
            if value.dtype.kind == "f" and value.size and not np.abs(value).max() <= FARTHEST:
                yield f"{path} holds {np.abs(value).max()}"
        elif isinstance(value, Finding):
            if value.code in FAULTS:
                yield f"{value.code}: {value.message}"
            yield from _unclear(value)
        elif isinstance(value, str | bytes | int | None) or id(value) in seen:
            continue
        elif is_dataclass(value) and not isinstance(value, type):
            seen.add(id(value))
            stack += [(f"{path}.{f.name}", getattr(value, f.name, None)) for f in fields(value)]
        elif isinstance(value, dict):
            seen.add(id(value))
            stack += [(f"{path}[{k!r}]", v) for k, v in value.items()]
        elif isinstance(value, list | tuple):
            seen.add(id(value))
            stack += [(f"{path}[{i}]", v) for i, v in enumerate(value)]
        elif type(value).__name__ == "Curve":
            seen.add(id(value))
            stack.append((f"{path}.segments", value.segments))


class Touched(BaseException):
    """Something outside the folder was touched: not an Exception, so that nothing swallows it."""


class Guard:
    """Once on, watches every open, rename, removal, folder, socket and process of this Python.

    Reading is free in the interpreter's and the program's own folders; everything else has to
    stay in `folder`. An audit hook cannot be taken off, only made to rest.
    """

    def __init__(self, folder: Path) -> None:
        self.folder = os.path.realpath(folder)
        self.on = False
        self.touched: list[str] = []
        self._readable = tuple(
            os.path.realpath(p)
            for p in (
                sys.prefix, sys.base_prefix, sysconfig.get_paths()["stdlib"],
                Path(__file__).parents[2], "/proc/self", "/dev/null", "/dev/urandom",
                "/etc/localtime", "/usr/share/zoneinfo",
            )
        )  # fmt: skip
        sys.addaudithook(self._hear)

    def _hear(self, event: str, args: tuple[Any, ...]) -> None:
        if not self.on:
            return
        if event == "open":
            path, mode, flags = args[0], args[1], args[2]
            writing = bool(flags & (os.O_WRONLY | os.O_RDWR | os.O_CREAT)) or any(
                sign in (mode or "") for sign in "wax+"
            )
            self._check(event, path, writing=writing)
        elif event in ("os.remove", "os.mkdir", "os.rmdir", "os.chmod", "os.truncate"):
            self._check(event, args[0], writing=True)
        elif event in ("os.rename", "os.link", "os.symlink"):
            self._check(event, args[0], writing=True)
            self._check(event, args[1], writing=True)
        elif event.startswith(("socket.connect", "socket.bind", "socket.getaddrinfo")) or event in (
            "subprocess.Popen", "os.system", "os.exec", "os.posix_spawn", "os.fork",
        ):  # fmt: skip
            self._say(f"{event} {args!r}")

    def _check(self, event: str, path: Any, *, writing: bool) -> None:
        if isinstance(path, int) or path is None:
            return
        real = os.path.realpath(os.fsdecode(path))
        if real == self.folder or real.startswith(self.folder + os.sep):
            return
        if not writing and real.startswith(self._readable):
            return
        self._say(f"{event} {real} ({'writing' if writing else 'reading'})")

    def _say(self, what: str) -> None:
        self.on = False
        self.touched.append(what)
        raise Touched(what)
