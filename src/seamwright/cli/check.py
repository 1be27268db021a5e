"""`seamwright check FILE...`: walks every seam in every size."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from seamwright.findings import Finding, SeamwrightError, in_order
from seamwright.house import House, house_of, judged, style_rules
from seamwright.pipeline.checking import WALK, Checked, graver
from seamwright.pipeline.plans import PROPOSED
from seamwright.plugins.context import Limits
from seamwright.plugins.inputs import stem_of
from seamwright.plugins.registry import Registry
from seamwright.units import format_length

from .batch_options import BatchOptions, batch_options, is_batch
from .common import (
    as_findings,
    counted,
    judging_options,
    limit_option,
    number,
    output_options,
    print_json,
    status,
    the_registry,
)
from .flags import FormatCommand, given
from .inputs import Opened, open_all
from .printable import printable
from .progress import track
from .say import say
from .tables import Table, show
from .watch import watching

_MOST = 40  # rows of the list of seams; the matrix holds them all
_COLUMNS = 8  # sizes side by side
_STYLES = {"over": "red", "under": "red", "ok": ""}


class _Result:
    """One file and what its walk gave."""

    def __init__(
        self,
        opened: Opened,
        registry: Registry,
        units: Any,
        options: dict[str, Any],
        house: House | None,
    ) -> None:
        self.opened = opened
        self.checked: Checked | None = None
        self.findings = [graver(f) for f in opened.findings]
        if opened.pattern is None:
            return
        try:
            path = Path(opened.name)
            self.checked = judged(
                opened.pattern,
                options,
                house=style_rules(house, path, stem=stem_of(path)),
                units=units,
                registry=registry,
                file=opened.name,
                words=True,
            )
            self.findings += self.checked.findings
        except SeamwrightError as error:
            self.findings += as_findings(error, opened.name)

    @property
    def done(self) -> bool:
        """Whether something was looked at: an empty list is no clean bill."""
        return self.checked is not None and self.checked.looked_at > 0


@click.command(name="check", cls=FormatCommand, step=WALK)
@click.argument("files", nargs=-1, metavar="FILE...")
@click.option(
    "--plan",
    metavar="PLAN",
    help="Seam plan; else FILE's name with .plan.toml beside it, else the one inside the file. "
    '"auto": the sure seams of a plan proposed from the shapes.',
)
@click.option("--format", "format_name", metavar="NAME", help="Format, where bytes do not tell.")
@click.option(
    "--house",
    "houses",
    multiple=True,
    metavar="RULES",
    help="House rules in TOML; several are layers, a later one beats an earlier (house, customer). "
    "A style's own layer lies beside its file as NAME.house.toml. See: seamwright help house.",
)
@click.option("--all", "show_all", is_flag=True, help="List what is well, too.")
@click.option("--fail-fast", is_flag=True, help="End at the first file that cannot be done.")
@click.option(
    "--overwrite", is_flag=True, help="Replace tables and pages of results that are there already."
)
@batch_options
@output_options
@judging_options
@limit_option
@click.pass_context
@watching
def command(
    ctx: click.Context,
    files: tuple[str, ...],
    plan: str | None,
    format_name: str | None,
    houses: tuple[str, ...],
    show_all: bool,
    as_json: bool,
    units: Any,
    fail_on: str,
    strict_plugins: bool,
    limits: Limits,
    fail_fast: bool,
    overwrite: bool,
    batch: BatchOptions,
) -> int:
    """Walk every seam of the plan in every size: lengths, ease, notches that must meet.

    FILE is a file, a folder (all pattern files below it), or a quoted pattern of names
    ("spring/**/*.dxf"). A folder, a pattern of names, a list, a manifest or more than a few files
    make a batch: done on all cores, resumed where it was stopped, told as one table.

    A file without a plan was not checked, and the exit status is 2.
    """
    if not files and batch.manifest is None and batch.listed is None:
        raise click.MissingParameter(ctx=ctx, param_hint="'FILE...'", param_type="argument")
    registry, notes = the_registry(strict_plugins)
    house = house_of(houses)
    if is_batch(files, batch):
        from .check_batch import check_batch  # noqa: PLC0415 - hundreds of styles only

        return check_batch(
            ctx,
            files,
            batch,
            registry=registry,
            notes=notes,
            plan=plan,
            house=house,
            format_name=format_name,
            show_all=show_all,
            as_json=as_json,
            units=units,
            fail_on=fail_on,
            limits=limits,
            fail_fast=fail_fast,
            overwrite=overwrite,
        )
    opened = open_all(
        files,
        options=given(ctx, "reader"),
        registry=registry,
        units=units,
        limits=limits,
        format=format_name,
        plan=plan,
    )
    results: list[_Result] = []
    failed = False
    try:
        for one in track(opened, len(files), "walking"):
            results.append(_Result(one, registry, units, given(ctx, "step"), house))
            if fail_fast and not results[-1].done:
                break
    except SeamwrightError as error:
        notes += as_findings(error)
        failed = True
    findings = [*notes, *(f for r in results for f in r.findings)]
    if as_json:
        print_json(document(results, findings))
    else:
        say(notes)
        for result in results:
            _show(result, units, show_all)
            say(result.findings, with_file=len(files) > 1)
        _summary(results, findings)
    failed = failed or not all(r.done for r in results) or len(results) < len(files)
    return status(findings, fail_on, failed=failed, previews=registry.previews)


def document(results: list[_Result], findings: list[Finding]) -> dict[str, Any]:
    """The JSON document. With several files each seam's row names its own."""
    several = len(results) > 1
    seams = []
    for result in results:
        rows = result.checked.seams if result.checked is not None else ()
        seams += [{**row, "file": result.opened.name} if several else dict(row) for row in rows]
    return {
        "seams": seams,
        "findings": [f.to_json() for f in in_order(findings)],
        "summary": {
            "files": len(results),
            **_totals(results),
            "seams": len(seams),
            **counted(findings),
        },
    }


def _totals(results: list[_Result]) -> dict[str, int]:
    patterns = [r.opened.pattern for r in results if r.opened.pattern is not None]
    return {
        "pieces": sum(len(p.pieces) for p in patterns),
        "sizes": sum(len(p.sizes) for p in patterns),
    }


def _show(result: _Result, units: str, show_all: bool) -> None:
    if result.checked is None or not result.checked.looked_at:
        return
    rows = sorted(result.checked.seams, key=_badness)
    bad = [r for r in rows if r["verdict"] != "ok"]
    shown = rows if show_all else bad
    title = f"{result.opened.name}: {len(rows)} seams walked, {len(bad)} out of range"
    if result.opened.plan == PROPOSED:
        title += " (proposed, sure ones only)"
    if not shown:
        click.echo(printable(title))
        return
    table = Table(
        ["seam", "size", ">sew", ">to", ">ease", ">at least", ">at most", "verdict"], title=title
    )
    for row in shown[:_MOST]:
        figures = [
            format_length(row[key], units)
            for key in ("sew_length", "to_length", "ease", "at_least", "at_most")
        ]
        table.add(row["name"], row["size"], *figures, row["verdict"], style=_STYLES[row["verdict"]])
    show(table)
    if len(shown) > _MOST:
        click.echo(f"and {len(shown) - _MOST} more; --json lists them all")
    click.echo()
    _show_matrix(result, rows, units)


def _show_matrix(result: _Result, rows: list[Any], units: str) -> None:
    """Ease of every seam in every size, the seam with the worst cell first."""
    sizes = list(dict.fromkeys(row["size"] for row in rows))
    ordered = (
        [s for s in result.opened.pattern.sizes if s in sizes] if result.opened.pattern else sizes
    )
    if len(ordered) < 2:
        return
    cells = {(row["name"], row["size"]): row for row in rows}
    seams = dict.fromkeys(row["name"] for row in rows)
    for at in range(0, len(ordered), _COLUMNS):
        part = ordered[at : at + _COLUMNS]
        table = Table(["ease", *(f">{size}" for size in part)], title="! out of range")
        for seam in seams:
            found = [cells.get((seam, size)) for size in part]
            table.add(
                seam,
                *("" if row is None else _cell(row, units) for row in found),
                style="",
            )
        show(table)
        click.echo()


def _cell(row: Any, units: str) -> str:
    # Hundredths are finer than any tape; a millionth in a table is noise.
    mark = "" if row["verdict"] == "ok" else " !"
    return f"{format_length(round(float(row['ease']), 2), units)}{mark}"


def _badness(row: Any) -> float:
    """Worst first: how far out of range, negative."""
    ease = float(row["ease"])
    return -max(float(row["at_least"]) - ease, ease - float(row["at_most"]))


def _summary(results: list[_Result], findings: list[Finding]) -> None:
    for result in results:
        if not result.done:
            why = result.checked.skipped if result.checked is not None else "see above"
            click.echo(f"{result.opened.name}: NOT CHECKED: {why}", err=True)
    counts = counted(findings)
    words = [number(n, name.removesuffix("s")) for name, n in counts.items() if n]
    if words:
        click.echo(", ".join(words), err=True)
    if results and not counts["errors"] and all(r.done for r in results):
        told = "All seams that were walked go together"
        if any(r.opened.plan == PROPOSED for r in results):
            told += "; they were proposed from the shapes, and nobody confirmed them"
        click.echo(f"{told}.")
