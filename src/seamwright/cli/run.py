"""`seamwright run PIPELINE IN... --out DIR`: a pipeline over one file or several."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

import click

from seamwright.findings import Finding, SeamwrightError
from seamwright.pipeline import Pipeline, PipelineStopped
from seamwright.pipeline.prepare import Prepared
from seamwright.plugins.context import Limits
from seamwright.plugins.filenames import same_name
from seamwright.units import format_length

from .batch_options import BatchOptions, batch_options, is_batch
from .common import (
    as_findings,
    judging_options,
    limit_option,
    number,
    output_options,
    print_json,
    status,
    the_registry,
)
from .flags import FormatCommand, given
from .inputs import Opened, open_all, stem
from .load_pipeline import load_pipeline
from .progress import track
from .run_document import Outcome, document, standing
from .say import say
from .tables import Table, show
from .watch import watching


@click.command(name="run", cls=FormatCommand)
@click.argument("pipeline", metavar="PIPELINE", required=False)
@click.argument("files", nargs=-1, metavar="IN...")
@click.option(
    "--out", default=".", show_default=True, metavar="DIR", help="Folder for what is written."
)
@click.option("--plan", metavar="PLAN", help="Seam plan; else the pipeline's, else beside IN.")
@click.option("--format", "format_name", metavar="NAME", help="Format of IN.")
@click.option("--overwrite", is_flag=True, help="Replace outputs that are there already.")
@click.option("--fail-fast", is_flag=True, help="Stop at the first file that cannot be done.")
@batch_options
@output_options
@judging_options
@limit_option
@click.pass_context
@watching
def command(
    ctx: click.Context,
    pipeline: str | None,
    files: tuple[str, ...],
    out: str,
    plan: str | None,
    format_name: str | None,
    overwrite: bool,
    fail_fast: bool,
    as_json: bool,
    units: str,
    fail_on: str,
    strict_plugins: bool,
    limits: Limits,
    batch: BatchOptions,
) -> int:
    """Run a pipeline over each IN and put what it writes into DIR.

    PIPELINE is a file, or the name of one that ships: `seamwright pipelines` lists them. It may
    be left out where a manifest names one for each style.

    IN is a file, a folder (all pattern files below it), or a quoted pattern of names
    ("spring/**/*.dxf"). A folder, a pattern of names, a list, a manifest or more than a few files
    make a batch: done on all cores, resumed where it was stopped. The tree of the inputs is
    mirrored in DIR, and DIR/seamwright-outputs.json says which file is whose.

    A file that cannot be done does not stop the others. A check that a pipeline runs again at its
    end counts by its last run: what an alteration has put right is not an error any more.
    """
    listed = batch.manifest is not None or batch.listed is not None
    if pipeline is None and batch.manifest is None:
        raise click.MissingParameter(ctx=ctx, param_hint="'PIPELINE'", param_type="argument")
    if not files and not listed:
        raise click.MissingParameter(ctx=ctx, param_hint="'IN...'", param_type="argument")
    registry, notes = the_registry(strict_plugins)
    if pipeline is None or is_batch(files, batch):
        from .run_batch import run_over_batch  # noqa: PLC0415 - hundreds of styles only

        default = ctx.get_parameter_source("units") is click.core.ParameterSource.DEFAULT
        return run_over_batch(
            ctx,
            pipeline,
            files,
            batch,
            registry=registry,
            notes=notes,
            plan=plan,
            format_name=format_name,
            out=out,
            overwrite=overwrite,
            as_json=as_json,
            units=None if default else units,
            fail_on=fail_on,
            limits=limits,
            fail_fast=fail_fast,
        )
    outcomes: list[Outcome] = []
    failed = False
    told: Any = units
    try:
        loaded = load_pipeline(pipeline, limits)
        told = _units(ctx, loaded)
        prepared = loaded.prepare(
            registry=registry,
            units=told,
            several=len(files) > 1,
            overwrite=True if overwrite else None,
            limits=limits,
        )
        _stems_apart(files)
        opened = open_all(
            files,
            options=given(ctx, "reader"),
            registry=registry,
            units=told,
            limits=limits,
            format=format_name,
            # The plan that counts is laid on while a file is opened.
            plan=plan if plan is not None else prepared.plan_name,
        )
        prepared = replace(prepared, plan=None)
        for one in track(opened, len(files), "running"):
            outcomes.append(_one(one, prepared, Path(out), files))
            if fail_fast and not outcomes[-1].done:
                break
    except SeamwrightError as error:
        notes += as_findings(error)
        failed = True
    findings = [*notes, *(f for o in outcomes for f in standing(o))]
    if as_json:
        print_json(document(outcomes, findings))
    else:
        say(notes)
        for outcome in outcomes:
            _show(outcome, told)
            say(standing(outcome))
        _summary(outcomes, len(files))
    failed = failed or not all(o.done for o in outcomes) or len(outcomes) < len(files)
    return status(findings, fail_on, failed=failed, previews=registry.previews)


def _units(ctx: click.Context, pipeline: Pipeline) -> Any:
    """--units where it was said, else the pipeline's own."""
    source = ctx.get_parameter_source("units")
    return pipeline.units if source is click.core.ParameterSource.DEFAULT else ctx.params["units"]


def _stems_apart(files: tuple[str, ...]) -> None:
    seen: list[tuple[str, str]] = []
    for name in files:
        for other, other_stem in seen:
            if same_name(stem(name), other_stem):
                raise SeamwrightError.of(
                    "output.twice",
                    f'"{other}" and "{name}" would be written to the same files',
                    hint="run them one by one, each with its own --out",
                )
        seen.append((name, stem(name)))


def _one(opened: Opened, prepared: Prepared, out: Path, files: tuple[str, ...]) -> Outcome:
    from seamwright.pipeline.running import run  # noqa: PLC0415

    if opened.pattern is None or opened.loaded is None:
        return Outcome(file=opened.name, done=False, findings=opened.findings)
    inputs = {opened.name: opened.loaded.source.digest}
    if opened.plan is not None:
        inputs[opened.plan] = opened.plan_digest
    try:
        _, record = run(
            prepared,
            opened.pattern,
            out=out,
            stem=stem(opened.name),
            read_findings=opened.findings,
            inputs=inputs,
            guarded=[Path(name) for name in files],
            file=opened.name,
        )
    except PipelineStopped as error:
        return Outcome(
            file=opened.name,
            done=False,
            record=error.record,
            findings=tuple(as_findings(error, opened.name)),
        )
    except SeamwrightError as error:
        found: tuple[Finding, ...] = (*opened.findings, *as_findings(error, opened.name))
        return Outcome(file=opened.name, done=False, findings=found)
    return Outcome(file=opened.name, done=True, record=record)


def _show(outcome: Outcome, units: str) -> None:
    if outcome.record is None:
        return
    table = Table(["step", "changed", ">moved", "seams", "wrote"], title=outcome.file)
    for step in outcome.record.steps:
        moved = max(step.moved.values(), default=None)
        errors = sum(f.severity.value == "error" for f in step.findings)
        looked = step.skipped or (f"{step.looked_at} looked at" if step.kind == "check" else "")
        table.add(
            step.use,
            number(len(step.changed), "shape") if step.changed else "",
            "" if moved is None else format_length(moved, units),
            f"{looked}, {errors} out" if errors and looked else looked,
            ", ".join(step.written),
            style="",
        )
    show(table)
    click.echo()


def _summary(outcomes: list[Outcome], total: int) -> None:
    bad = [o for o in outcomes if not o.done]
    if not outcomes:
        click.echo("nothing was run", err=True)
    elif bad:
        for outcome in bad:
            click.echo(f"{outcome.file}: NOT DONE", err=True)
        click.echo(f"{len(outcomes) - len(bad)} of {total} files done", err=True)
    elif total > 1:
        click.echo(f"{total} files done", err=True)
