"""`seamwright check` over hundreds of styles."""

from __future__ import annotations

from typing import Any

import click

from seamwright.batch.job import Task
from seamwright.findings import Finding, SeamwrightError
from seamwright.house import House
from seamwright.plugins.context import Limits
from seamwright.plugins.registry import Registry

from .batch import do_batch, jobs_of, plans_of, say_progress, status_of, styles_of
from .batch_documents import counts, print_check
from .batch_exports import export, prepare_exports
from .batch_options import BatchOptions
from .batch_say import say_counts, say_failures, say_unseen, show_checked
from .common import as_findings, counted, print_json
from .flags import check_known, given
from .say import say


def check_batch(
    ctx: click.Context,
    files: tuple[str, ...],
    options: BatchOptions,
    *,
    registry: Registry,
    notes: list[Finding],
    plan: str | None,
    house: House | None,
    format_name: str | None,
    show_all: bool,
    as_json: bool,
    units: Any,
    fail_on: str,
    limits: Limits,
    fail_fast: bool,
    overwrite: bool,
) -> int:
    """Walks every style; the exit status."""
    try:
        reader, step = given(ctx, "reader"), given(ctx, "step")
        check_known(reader, registry, "reader")
        found = styles_of(files, options, registry)
        notes += found.findings
        prepare_exports(options, [s.path for s in found.styles], overwrite=overwrite)
        task = Task(
            kind="check", units=units, limits=limits, format=format_name, reader=reader, step=step,
            house=house,
        )  # fmt: skip
        done = do_batch(
            task,
            jobs_of(found.styles, plans_of(found.styles, plan=plan, folder=options.plans)),
            options,
            what="walking",
            registry=registry,
            few=options.manifest is None and options.listed is None and len(files) > 1,
            fail_fast=fail_fast,
        )
        export(done.batch, options, units=units, fail_on=fail_on)
    except SeamwrightError as error:
        notes += as_findings(error)
        if as_json:
            print_json(_nothing(notes))
        else:
            say(notes)
        return 2
    done.findings = [*notes, *done.findings]
    if as_json:
        print_check(done.batch, done.findings)
    else:
        say_failures(done.batch, done.findings)
        show_checked(done.batch, units, show_all=show_all)
        say_unseen(done.batch.told)
        say_counts(counts(done.batch, done.findings))
    say_progress(done)
    return status_of(done, fail_on, looked=True, previews=registry.previews)


def _nothing(findings: list[Finding]) -> dict[str, Any]:
    return {
        "seams": [],
        "findings": [f.to_json() for f in findings],
        "summary": {"files": 0, "pieces": 0, "sizes": 0, "seams": 0, **counted(findings)},
    }
