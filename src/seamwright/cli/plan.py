"""`seamwright plan FILE`: a seam plan to fill in, and a picture with every name in it."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from seamwright.findings import Finding, SeamwrightError, in_order
from seamwright.plugins.context import Limits
from seamwright.plugins.inputs import stem_of
from seamwright.plugins.sink import check_target, put

from .common import (
    as_findings,
    judging_options,
    limit_option,
    output_options,
    print_json,
    status,
    the_registry,
)
from .flags import FormatCommand, given
from .inputs import Opened, open_all
from .say import say

if TYPE_CHECKING:
    from seamwright.model import Pattern


@click.command(name="plan", cls=FormatCommand)
@click.argument("file", metavar="FILE")
@click.option(
    "--out", metavar="PLAN", help="Plan to write.  [default: FILE's name with .plan.toml]"
)
@click.option(
    "--picture", metavar="SVG", help="Picture to write.  [default: PLAN's name with .svg]"
)
@click.option("--format", "format_name", metavar="NAME", help="Format, where bytes do not tell.")
@click.option("--overwrite", is_flag=True, help="Replace what is there already.")
@output_options
@judging_options
@limit_option
@click.pass_context
def command(
    ctx: click.Context,
    file: str,
    out: str | None,
    picture: str | None,
    format_name: str | None,
    overwrite: bool,
    as_json: bool,
    units: Any,
    fail_on: str,
    strict_plugins: bool,
    limits: Limits,
) -> int:
    """Write a seam plan to fill in, and a picture with every piece, corner and notch named, so
    that nobody has to count corners.

    Corners and notches are named where the file names them or the shape is plain; which edges are
    sewn together is for you to write. A plan that lies beside the pattern as `<name>.plan.toml`
    is found by every command; with --overwrite this one keeps the names and seams in it.
    """
    registry, findings = the_registry(strict_plugins)
    plan_path = Path(out) if out else _beside(Path(file))
    picture_path = Path(picture) if picture else _pictured(plan_path)
    opened: Opened | None = None
    written = False
    try:
        for path in (plan_path, picture_path):
            check_target(path, overwrite=overwrite, inputs=[Path(file)])
        (opened,) = open_all(
            [file],
            options=given(ctx, "reader"),
            registry=registry,
            units=units,
            limits=limits,
            format=format_name,
            # A plan that is there already keeps its names and seams; if it does not fit, it is
            # not written over.
            plan=str(plan_path) if plan_path.is_file() else None,
            plan_needed=plan_path.is_file(),
        )
        findings += opened.findings
        if opened.pattern is not None:
            put(
                _files(opened.pattern, plan_path, picture_path, units),
                overwrite=overwrite,
                inputs=[Path(file)],
            )
            written = True
    except SeamwrightError as error:
        findings += as_findings(error)
    pattern = opened.pattern if opened is not None and written else None
    if as_json:
        print_json(_document(file, plan_path, picture_path, pattern, findings))
    else:
        say(findings)
        if pattern is not None:
            _tell(file, plan_path, picture_path)
    return status(findings, fail_on, failed=not written, previews=registry.previews)


def _beside(file: Path) -> Path:
    return file.with_name(stem_of(file) + ".plan.toml")


def _pictured(plan: Path) -> Path:
    return plan.with_name(plan.name.removesuffix(".toml") + ".svg")


def _files(pattern: Pattern, plan: Path, picture: Path, units: str) -> dict[Path, bytes]:
    from seamwright.plan import plan_picture, propose  # noqa: PLC0415 - numpy comes with it

    return {
        plan: propose(pattern, units=units, picture=picture.name).encode("utf-8"),
        picture: plan_picture(pattern, units=units).encode("utf-8"),
    }


def _document(
    file: str, plan: Path, picture: Path, pattern: Pattern | None, findings: list[Finding]
) -> dict[str, Any]:
    pieces: list[dict[str, Any]] = []
    if pattern is not None:
        from seamwright.plan import proposed  # noqa: PLC0415

        for name, names in proposed(pattern).items():
            pieces.append(
                {
                    "name": name,
                    "corners": list(names.corners or ()),
                    "notches": list(names.notches or ()),
                }
            )
    return {
        "input": file,
        "plan": str(plan) if pattern is not None else None,
        "picture": str(picture) if pattern is not None else None,
        "pieces": pieces,
        "findings": [f.to_json() for f in in_order(findings)],
    }


def _tell(file: str, plan: Path, picture: Path) -> None:
    click.echo(f"wrote {plan}")
    click.echo(f"wrote {picture}")
    click.echo(
        "\nNext:\n"
        f"1. Open {picture} in a browser: every corner and notch has its number there.\n"
        f"2. In {plan} give names to those that you need, and write a [[seam]] for every two "
        "edges\n   that are sewn together. The examples at its end show how.\n"
        f"3. seamwright check {file} --plan {plan}"
    )
