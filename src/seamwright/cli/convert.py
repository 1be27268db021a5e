"""`seamwright convert IN OUT`: any format to any other, with the loss stated and read back."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path
from typing import Any

import click

from seamwright.findings import Finding, SeamwrightError, Severity, in_order
from seamwright.plugins.building import Where
from seamwright.plugins.context import Limits
from seamwright.plugins.loss import accepted_features
from seamwright.plugins.option_kinds import fields_of
from seamwright.plugins.registry import Registry
from seamwright.plugins.sink import check_target
from seamwright.plugins.writing import Written, made_by, write, writer_for
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
from .flags import FormatCommand, check_known, given
from .inputs import open_all
from .say import say


@click.command(name="convert", cls=FormatCommand, writes=True)
@click.argument("source", metavar="IN")
@click.argument("target", metavar="OUT")
@click.option("--plan", metavar="PLAN", help="Seam plan to lay on; formats that can carry it do.")
@click.option("--from", "from_format", metavar="NAME", help="Format of IN.")
@click.option("--to", "to_format", metavar="NAME", help="Format of OUT, else by its suffix.")
@click.option("--overwrite", is_flag=True, help="Replace OUT if it is there already.")
@click.option("--strict", is_flag=True, help="Write nothing when anything would be lost.")
@click.option(
    "--accept-loss",
    "accept",
    multiple=True,
    metavar="FEATURE",
    help='Feature whose loss is accepted, by name: text, slit-notch. "FEATURE=why" gives a reason.',
)
@click.option(
    "--despite-errors",
    is_flag=True,
    help="Write what could be read although something could not.",
)
@click.option("--no-read-back", is_flag=True, help="Do not read OUT again and compare.")
@output_options
@judging_options
@limit_option
@click.pass_context
def command(
    ctx: click.Context,
    source: str,
    target: str,
    plan: str | None,
    from_format: str | None,
    to_format: str | None,
    overwrite: bool,
    strict: bool,
    accept: tuple[str, ...],
    no_read_back: bool,
    despite_errors: bool,
    as_json: bool,
    units: Any,
    fail_on: str,
    strict_plugins: bool,
    limits: Limits,
) -> int:
    """Convert IN to OUT. What OUT's format drops or simplifies is stated, and OUT is read back and
    compared."""
    registry, findings = the_registry(strict_plugins)
    written: Written | None = None
    try:
        options = _writer_options(ctx, target, to_format, registry)
        check_target(Path(target), overwrite=overwrite, inputs=[Path(source)])
        reasons = dict(_reason(one) for one in accept)
        accepted = accepted_features(reasons, where=Where(what="--accept-loss"))
        for opened in open_all(
            [source],
            options=given(ctx, "reader"),
            registry=registry,
            units=units,
            limits=limits,
            format=from_format,
            plan=plan,
        ):
            findings += opened.findings
            if opened.pattern is not None and not despite_errors:
                _refuse_half_a_pattern(opened.findings, given(ctx, "reader"))
            if opened.pattern is not None:
                written = write(
                    opened.pattern,
                    target,
                    options=options,
                    format=to_format,
                    registry=registry,
                    units=units,
                    overwrite=overwrite,
                    strict=strict,
                    accepted=accepted,
                    read_back=not no_read_back,
                    inputs=[Path(source)],
                    words=True,
                    where=Where(what="the command line"),
                )
                findings += written.findings
    except SeamwrightError as error:
        findings += as_findings(error)
        written = None
    if as_json:
        print_json(_document(source, target, written, findings))
    else:
        say(findings)
        if written is not None:
            _tell(written, units)
    return status(findings, fail_on, failed=written is None, previews=registry.previews)


def _refuse_half_a_pattern(findings: Iterable[Finding], reading: dict[str, Any]) -> None:
    """What could not be read must not be missing in silence from a file that is cut by."""
    faults = [f for f in findings if f.severity is Severity.ERROR]
    if faults and not reading.get("lenient"):
        raise SeamwrightError.of(
            "convert.incomplete",
            f"not all of the file could be read ({number(len(faults), 'error')}), so nothing "
            "was written",
            hint="correct what is named above, or write what could be read with --despite-errors",
        )


def _writer_options(
    ctx: click.Context, target: str, format: str | None, registry: Registry
) -> dict[str, Any]:
    options = given(ctx, "writer")
    entry = writer_for(Path(target), registry, format=format)
    names = {f.name for f in fields_of(made_by(entry).options)}
    check_known(options, registry, "writer")
    for name in options:
        if name not in names:
            raise SeamwrightError.of(
                "option.unknown",
                f'"{name}" is no option for writing {entry.full}',
                hint=f"its options: {', '.join(sorted(names)) or 'none'}",
            )
    return options


def _reason(text: str) -> tuple[str, str]:
    name, _, reason = text.partition("=")
    return name, reason


def _document(
    source: str, target: str, written: Written | None, findings: list[Finding]
) -> dict[str, Any]:
    deviation = next((f.measured for f in findings if f.code == "readback.deviation"), None)
    return {
        "input": source,
        "output": target if written is not None else None,
        "files": [str(p) for p in written.paths] if written is not None else [],
        "format": written.format.full if written is not None and written.format else None,
        "deviation": deviation,
        "findings": [f.to_json() for f in in_order(findings)],
    }


def _tell(written: Written, units: str) -> None:
    for path in written.paths:
        click.echo(f"wrote {path}")
    for finding in written.findings:
        if finding.code == "readback.deviation" and finding.measured is not None:
            far = format_length(finding.measured, units)
            click.echo(f"read back: greatest deviation {far}")
