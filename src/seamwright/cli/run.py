"""`seamwright run PIPELINE IN... --out DIR`: a pipeline over one file or several."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

import click

from seamwright.findings import Finding, SeamwrightError
from seamwright.pipeline import Pipeline, PipelineStopped
from seamwright.pipeline.prepare import Prepared
from seamwright.pipelines import shipped, text_of
from seamwright.plugins.context import Limits
from seamwright.plugins.filenames import same_name
from seamwright.units import format_length

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
from .progress import track
from .run_document import Outcome, document, standing
from .say import say
from .tables import Table, show


@click.command(name="run", cls=FormatCommand)
@click.argument("pipeline", metavar="PIPELINE")
@click.argument("files", nargs=-1, required=True, metavar="IN...")
@click.option(
    "--out", default=".", show_default=True, metavar="DIR", help="Folder for what is written."
)
@click.option("--plan", metavar="PLAN", help="Seam plan; else the pipeline's, else beside IN.")
@click.option("--format", "format_name", metavar="NAME", help="Format of IN.")
@click.option("--overwrite", is_flag=True, help="Replace outputs that are there already.")
@click.option("--fail-fast", is_flag=True, help="Stop at the first file that cannot be done.")
@output_options
@judging_options
@limit_option
@click.pass_context
def command(
    ctx: click.Context,
    pipeline: str,
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
) -> int:
    """Run a pipeline over each IN and put what it writes into DIR.

    PIPELINE is a file, or the name of one that ships: `seamwright pipelines` lists them.

    A file that cannot be done does not stop the others. A check that a pipeline runs again at its
    end counts by its last run: what an alteration has put right is not an error any more.
    """
    registry, notes = the_registry(strict_plugins)
    outcomes: list[Outcome] = []
    failed = False
    told: Any = units
    try:
        loaded = _loaded(pipeline)
        told = _units(ctx, loaded)
        prepared = loaded.prepare(
            registry=registry,
            units=told,
            several=len(files) > 1,
            overwrite=True if overwrite else None,
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


def _loaded(pipeline: str) -> Pipeline:
    """The pipeline in a file, or a shipped one by its name."""
    if not Path(pipeline).exists() and pipeline in shipped():
        return Pipeline.loads(text_of(pipeline), name=pipeline)
    return Pipeline.load(Path(pipeline))


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
