"""A batch from the command line: styles gathered, executor and store made, all of it done and told.

What is done with the results stands in `check` and `run`; house rules and exports hang on `Done`.
"""

from __future__ import annotations

import os
import signal
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import click

from seamwright.batch.engine import Batch, Event, run_batch
from seamwright.batch.executors.base import Bounds, Executor
from seamwright.batch.job import Job, Task
from seamwright.batch.log import Log
from seamwright.batch.manifest import read_manifest
from seamwright.batch.outputs import Placing
from seamwright.batch.sources import Gathered, Style, gather, listed, once, whole_path
from seamwright.batch.store import Store, default_folder
from seamwright.batch.work import OF_PLUGINS
from seamwright.findings import Finding, SeamwrightError, Severity, did_you_mean
from seamwright.plugins.inputs import stem_of
from seamwright.plugins.registry import Registry

from .batch_options import FEW, BatchOptions
from .batch_progress import progress


@dataclass(slots=True, kw_only=True)
class Done:
    """A batch that was run: its results, and what there is to say besides."""

    batch: Batch
    findings: list[Finding]
    signal: int = 0


def styles_of(
    files: Sequence[str], options: BatchOptions, registry: Registry, out: Path | None = None
) -> Gathered:
    """The styles that the command line means. Raises SeamwrightError when there are none."""
    found: list[Style] = []
    notes: list[Finding] = []
    if options.manifest is not None:
        some = read_manifest(options.manifest)
        found += some.styles
        notes += some.findings
    names = [*files, *(listed(options.listed) if options.listed is not None else ())]
    if names or not found:
        suffixes = {s for e in registry.formats if e.thing.reader for s in e.thing.suffixes}
        for name in names if out is not None else ():
            if Path(name).is_dir() and out is not None and _same(Path(name), out):
                raise SeamwrightError.of(
                    "output.among-inputs",
                    "what is written would lie among the inputs, and the next run would read it",
                    file=name,
                    hint="give another folder by --out; one inside this one is left out",
                )
        some = gather(names, suffixes=suffixes, leave=out)
        found += some.styles
        notes += some.findings
    styles, more = once(found)
    root = Path(os.path.commonpath([style.root for style in styles]))
    return Gathered(
        styles=tuple(replace(style, root=root) for style in styles), findings=(*notes, *more)
    )


def _same(a: Path, b: Path) -> bool:
    return os.path.realpath(a) == os.path.realpath(b)


def plans_of(
    styles: Sequence[Style], *, plan: str | None, folder: str | None
) -> dict[str, str | None]:
    """Style -> path of its plan, by manifest, --plan, or name in --plans; None: beside the file,
    else inside it. Raises SeamwrightError for a folder of plans that is none."""
    by_name: Mapping[str, Path] = {}
    if folder is not None:
        by_name = _plans_in(Path(folder))
    common = None if plan is None else str(whole_path(Path(plan)))
    found: dict[str, str | None] = {}
    for style in styles:
        if style.plan is not None:
            found[style.name] = str(style.plan)
        elif common is not None:
            found[style.name] = common
        else:
            named = by_name.get(style.name.casefold()) or by_name.get(
                stem_of(style.path).casefold()
            )
            found[style.name] = None if named is None else str(named)
    return found


def _plans_in(folder: Path) -> dict[str, Path]:
    if not folder.is_dir():
        raise SeamwrightError.of(
            "file.missing",
            f'there is no folder of plans "{folder.name}"',
            file=str(folder),
            hint=did_you_mean(folder.name, [p.name for p in folder.absolute().parent.glob("*/")]),
        )
    found: dict[str, Path] = {}
    for path in sorted(folder.glob("*.toml")):
        stem = path.name.removesuffix(".toml").removesuffix(".plan")
        if path.name.endswith(".plan.toml") or stem.casefold() not in found:
            found[stem.casefold()] = whole_path(path)
    return found


def jobs_of(
    styles: Sequence[Style], plans: Mapping[str, str | None], **about: Callable[[int], Any]
) -> list[Job]:
    """A job for each style; `about` gives further fields by number."""
    return [
        Job(
            style=style.name,
            file=style.file,
            path=str(style.path),
            plan=plans[style.name],
            trouble=style.trouble,
            **{name: of(number) for name, of in about.items()},
        )
        for number, style in enumerate(styles)
    ]


def do_batch(
    task: Task,
    jobs: Sequence[Job],
    options: BatchOptions,
    *,
    what: str,
    registry: Registry,
    few: bool = False,
    out: Path | None = None,
    overwrite: bool = False,
    fail_fast: bool = False,
) -> Done:
    """Runs the batch with progress, log, store; ^C and a polite request to end give what was done
    so far. few: the files were named one by one. out: the output folder of a run."""
    store = None
    if options.cached:
        folder = Path(options.cache) if options.cache is not None else default_folder()
        store = Store(folder, cap=options.cache_size)
    log = Log(Path(options.log)) if options.log is not None else None
    placing = None
    if out is not None:
        inputs = [Path(job.path) for job in jobs]
        placing = Placing(out, overwrite=overwrite, inputs=inputs, store=store)
    executor = _executor(options, registry, here=few and len(jobs) <= FEW)
    shown = progress(what, len(jobs))
    done = Done(batch=Batch(jobs=(), heads=[], results=None), findings=[])  # type: ignore[arg-type]

    def tell(event: Event) -> None:
        shown(event)
        if log is not None:
            _log(log, event)

    if log is not None:
        log.write("begin", styles=len(jobs), executor=executor.name, kind=task.kind)
    try:
        with _polite() as asked:
            done.batch = run_batch(
                task,
                jobs,
                executor,
                store=store,
                placing=placing,
                fail_fast=fail_fast,
                tell=tell,
                registry=registry,
            )
        done.signal = asked[0]
    finally:
        shown.stop()
        if store is not None:
            store.close()
            done.findings += store.findings
        if log is not None:
            if done.batch.jobs:
                _log_end(log, done.batch)
            log.close()
    done.findings += done.batch.findings
    return done


def _executor(options: BatchOptions, registry: Registry, *, here: bool) -> Executor:
    bounds = Bounds(timeout=options.timeout or None, memory=options.memory or None)
    name = options.executor
    if name == "dask" or (name == "auto" and options.cluster is not None):
        from seamwright.batch.executors.cluster import LOCAL, Cluster  # noqa: PLC0415 - an extra

        return Cluster(options.cluster or LOCAL, workers=options.workers, bounds=bounds)
    if options.cluster is not None:
        raise SeamwrightError.of(
            "option.value",
            f"--cluster and --executor {name} do not go together",
            hint="leave --executor out",
        )
    if name == "here" or (
        name == "auto" and here and options.workers is None and not options.bounded
    ):
        from seamwright.batch.executors.here import Here  # noqa: PLC0415

        return Here(registry)
    from seamwright.batch.executors.pool import Pool  # noqa: PLC0415

    return Pool(options.workers, bounds)


def _log(log: Log, event: Event) -> None:
    about: dict[str, Any] = {"style": event.style}
    if event.what == "retry":
        about["reason"] = event.reason
    else:
        about["status"] = event.status.value
        if event.reason:
            about["reason"] = event.reason
        if event.what == "done":
            about |= {"seconds": round(event.seconds, 4), "tries": event.tries}
    log.write(event.what, **about, at=event.done, of=event.total)


def _log_end(log: Log, batch: Batch) -> None:
    told = batch.told
    log.write(
        "end",
        styles=len(batch.jobs),
        done=sum(head.done for head in told),
        not_done=sum(not head.done for head in told),
        left=len(batch.jobs) - len(told),
        kept=batch.kept,
        stopped=batch.stopped,
        seconds=round(batch.seconds, 3),
    )


@contextmanager
def _polite() -> Iterator[list[int]]:
    """SIGTERM ends the batch as ^C does. Gives a list that holds the signal that came, or 0."""
    came = [0]

    def stop(number: int, frame: Any) -> None:
        came[0] = number
        raise KeyboardInterrupt

    try:
        before = {s: signal.signal(s, stop) for s in (signal.SIGTERM, signal.SIGINT)}
    except ValueError:  # not in the main thread, where no signal comes
        yield came
        return
    try:
        yield came
    finally:
        for number, handler in before.items():
            signal.signal(number, handler)


def status_of(
    done: Done, fail_on: str, *, looked: bool, previews: Sequence[str] | frozenset[str] = ()
) -> int:
    """0 nothing at or above `fail_on`, 1 something, 2 some style could not be done (or, `looked`,
    was not looked at), 128 and the signal where one ended it."""
    batch = done.batch
    if batch.stopped == "interrupted":
        return 128 + (done.signal or signal.SIGINT)
    if not batch.whole or (looked and not all(head.looked_at for head in batch.told)):
        return 2
    if any(f.code == "batch.folder-closed" for f in done.findings):
        return 2
    limit, uncounted = Severity(fail_on), {*previews, *OF_PLUGINS}
    own = [f.severity for f in done.findings if f.code not in uncounted]
    worst = [Severity(head.worst) for head in batch.told if head.worst is not None]
    return int(any(severity.reaches(limit) for severity in (*own, *worst)))


def say_progress(done: Done) -> None:
    """How many were done, kept and left, on stderr."""
    batch = done.batch
    told = batch.told
    bad = sum(not head.done for head in told)
    words = [f"{len(told) - bad} of {len(batch.jobs)} styles done"]
    if batch.kept:
        words.append(f"{batch.kept} of them as they were done before")
    if bad:
        words.append(f"{bad} NOT DONE")
    left = len(batch.jobs) - len(told)
    if left:
        why = {"interrupted": "stopped", "fail-fast": "stopped at the first that failed"}
        words.append(f"{left} not begun or not finished ({why.get(batch.stopped, 'stopped')})")
    click.echo(", ".join(words), err=True)
    if batch.stopped == "interrupted":
        click.echo("the same command goes on from here", err=True)
