"""`seamwright run` over hundreds of styles."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any, Final

import click

from seamwright.batch.engine import Batch
from seamwright.batch.job import Task
from seamwright.batch.sources import Style, places
from seamwright.findings import Finding, SeamwrightError, in_order
from seamwright.pipeline import Pipeline
from seamwright.plugins.context import Limits
from seamwright.plugins.filenames import folded
from seamwright.plugins.registry import Registry
from seamwright.plugins.sink import put

from .batch import do_batch, jobs_of, plans_of, say_progress, status_of, styles_of
from .batch_documents import counts, output_document, print_run
from .batch_exports import export, prepare_exports
from .batch_options import BatchOptions
from .batch_say import say_counts, say_failures, show_run
from .common import as_findings, counted, print_json
from .flags import check_known, given
from .load_pipeline import load_pipeline
from .say import say

OUTPUTS: Final = "seamwright-outputs.json"


def run_over_batch(
    ctx: click.Context,
    pipeline: str | None,
    files: tuple[str, ...],
    options: BatchOptions,
    *,
    registry: Registry,
    notes: list[Finding],
    plan: str | None,
    format_name: str | None,
    out: str,
    overwrite: bool,
    as_json: bool,
    units: Any,
    fail_on: str,
    limits: Limits,
    fail_fast: bool,
) -> int:
    """Runs each style's pipeline; the exit status."""
    folder = Path(out)
    try:
        reader = given(ctx, "reader")
        check_known(reader, registry, "reader")
        common = None if pipeline is None else load_pipeline(pipeline, limits)
        found = styles_of(files, options, registry, out=folder)
        notes += found.findings
        styles = found.styles
        named: dict[str, Pipeline] = {}
        pipelines = [_pipeline_of(style, common, named, limits) for style in styles]
        for one in {id(p): p for p in pipelines}.values():
            one.prepare(registry=registry, units=units, several=len(styles) > 1, limits=limits)
        where = places(styles)
        _apart(styles, pipelines, where)
        jobs = jobs_of(
            styles,
            plans_of(styles, plan=plan, folder=options.plans),
            pipeline=lambda i: pipelines[i].to_toml(),
            pipeline_name=lambda i: _name(pipelines[i], pipeline),
            pipeline_file=lambda i: _file(pipelines[i]),
            folder=lambda i: where[i][0],
            stem=lambda i: where[i][1],
            shown=lambda i: str(folder / where[i][0]),
        )
        prepare_exports(options, [s.path for s in styles], overwrite=overwrite)
        task = Task(kind="run", units=units, limits=limits, format=format_name, reader=reader)
        done = do_batch(
            task,
            jobs,
            options,
            what="running",
            registry=registry,
            few=options.manifest is None and options.listed is None and len(files) > 1,
            out=folder,
            overwrite=overwrite,
            fail_fast=fail_fast,
        )
        write_outputs(done.batch, folder)
        export(done.batch, options, units=units or "mm", fail_on=fail_on, out=folder)
    except SeamwrightError as error:
        notes += as_findings(error)
        if as_json:
            print_json(_nothing(notes))
        else:
            say(notes)
        return 2
    done.findings = [*notes, *done.findings]
    if as_json:
        print_run(done.batch, done.findings)
    else:
        say_failures(done.batch, done.findings)
        show_run(done.batch)
        say_counts(counts(done.batch, done.findings))
    say_progress(done)
    return status_of(done, fail_on, looked=False, previews=registry.previews)


def write_outputs(batch: Batch, folder: Path) -> None:
    """Writes which file in the output folder is whose, in the order of the batch."""
    rows = []
    for job, head in zip(batch.jobs, batch.heads, strict=True):
        if head is None or not head.done:
            continue
        below = f"{job.folder}/" if job.folder else ""
        files = [output_document(o) for o in head.outputs]
        rows.append(
            {
                "style": job.style,
                "input": job.file,
                "outputs": [{**row, "file": below + row["file"]} for row in files],
            }
        )
    text = json.dumps({"styles": rows}, ensure_ascii=False, indent=1) + "\n"
    put({folder / OUTPUTS: text.encode("utf-8", "backslashreplace")}, overwrite=True)


def _pipeline_of(
    style: Style, common: Pipeline | None, named: dict[str, Pipeline], limits: Limits
) -> Pipeline:
    if style.pipeline is not None:
        name = str(style.pipeline)
        if name not in named:
            named[name] = load_pipeline(name, limits)
        return named[name]
    if common is None:
        raise SeamwrightError.of(
            "batch.manifest",
            f'there is no pipeline for "{style.name}"',
            file=style.file,
            hint="name one in the manifest, for the style or for all, or on the command line",
        )
    return common


def _name(pipeline: Pipeline, given: str | None) -> str:
    return str(pipeline.file) if pipeline.file is not None else given or "pipeline"


def _file(pipeline: Pipeline) -> str | None:
    return None if pipeline.file is None else str(pipeline.file.absolute())


def _apart(
    styles: tuple[Style, ...], pipelines: list[Pipeline], where: list[tuple[str, str]]
) -> None:
    """Outputs that are known by name beforehand must not meet. Raises SeamwrightError
    (output.twice)."""
    taken: dict[str, Style] = {}
    for style, pipeline, (folder, stem) in zip(styles, pipelines, where, strict=True):
        for use in pipeline.uses:
            to = use.options.get("to")
            if use.name not in ("write", "report") or not isinstance(to, str):
                continue
            if "{" in to.replace("{stem}", ""):
                continue  # known only when the style has been read
            target = folded(f"{folder}/{to.replace('{stem}', stem)}")
            if taken.setdefault(target, style) is not style:
                raise SeamwrightError.of(
                    "output.twice",
                    f'"{taken[target].file}" and "{style.file}" would be written to the same file',
                    hint="give the outputs other names, or run the two apart",
                )


def _nothing(findings: list[Finding]) -> dict[str, Any]:
    return {
        "runs": [],
        "findings": [f.to_json() for f in in_order(findings)],
        "summary": {"files": 0, "done": 0, "outputs": 0, **counted(findings)},
    }
