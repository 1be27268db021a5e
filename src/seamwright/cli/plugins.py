"""`seamwright plugins [NAME]`: what is installed, where it comes from, what it can do; and
`seamwright plugins new NAME`, a package to start from."""

from __future__ import annotations

import subprocess
import sys
from typing import Any

import click

from seamwright.findings import Finding, Severity, did_you_mean
from seamwright.plugins.registry import Registry

from .common import output_options, print_json, the_registry
from .plugins_document import document, thing_document
from .plugins_new import new
from .say import say
from .tables import Table, show


class _Plugins(click.Group):
    """`plugins new ...` is a command of its own; everything else is a look at what is there."""

    def parse_args(self, ctx: click.Context, args: list[str]) -> list[str]:
        if not args or args[0] not in self.commands:
            args.insert(0, _look.name or "")
        return super().parse_args(ctx, args)

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        """The look has no name of its own, so that help shows what is typed."""
        name, found, rest = super().resolve_command(ctx, args)
        return ("" if found is _look else name), found, rest


@click.command(
    name="look", epilog="`seamwright plugins new NAME` writes a plugin package to start from."
)
@click.argument("name", required=False)
@click.option("--page", is_flag=True, help="With NAME: print its page, in Markdown.")
@click.option("--strict-plugins", is_flag=True, help="Exit with 2 when one cannot be loaded.")
@click.option(
    "--try-each",
    type=float,
    metavar="SECONDS",
    help="Load each plugin in a process of its own, with a limit, to find one that hangs.",
)
@output_options
def _look(
    name: str | None,
    page: bool,
    strict_plugins: bool,
    try_each: float | None,
    as_json: bool,
    units: str,
) -> int:
    """The formats, steps and reports that are installed, and the plugins that could not be
    loaded; with NAME, all about one format, step or report."""
    if try_each is not None:
        return _try_each(try_each, as_json)
    registry, findings = the_registry()
    if name is not None:
        return _one(name, registry, as_json, units, page)
    if as_json:
        print_json(document(registry, findings))
    else:
        _show(registry)
        say([f for f in findings if f.code not in ("plugin.broken", "plugin.refused")])
    lost = [r for r in registry.rows if r.status in ("broken", "refused")]
    return 2 if lost and strict_plugins else 0


command = _Plugins(name="plugins", commands={"look": _look, "new": new})


def _show(registry: Registry) -> None:
    formats = Table(["format", "reads", "writes", "suffixes", "what it is"])
    for entry in registry.formats:
        thing = entry.thing
        formats.add(
            registry.formats.shortest(entry),
            "yes" if thing.reader else "",
            "yes" if thing.writer else "",
            " ".join(thing.suffixes),
            thing.help,
        )
    show(formats)
    click.echo()
    steps = Table(["step", "kind", "what it does"])
    for step in registry.steps:
        steps.add(registry.steps.shortest(step), step.thing.kind, step.thing.help)
    steps.add("write", "built in", "Write the pattern as it stands, in any format.")
    steps.add("report", "built in", "Make a document of the run so far.")
    show(steps)
    click.echo()
    reports = Table(["report", "suffixes", "what it shows"])
    for report in registry.reports:
        suffixes = " ".join(report.thing.suffixes)
        reports.add(registry.reports.shortest(report), suffixes, report.thing.help)
    show(reports)
    click.echo()
    plugins = Table(["plugin", "of", "state", ">ms", "why"])
    for row in registry.rows:
        style = "red" if row.status in ("broken", "refused") else ""
        plugins.add(
            row.name, row.origin, row.status, f"{row.seconds * 1000:.0f}", row.reason, style=style
        )
    show(plugins)
    for row in registry.rows:
        if row.traceback:
            click.echo(f"\n{row.name} of {row.origin}:\n{row.traceback.rstrip()}")


def _one(name: str, registry: Registry, as_json: bool, units: str, page: bool) -> int:
    shelves = (registry.steps, registry.formats, registry.reports)
    found = [(shelf, shelf.find(name)) for shelf in shelves if name in shelf]
    if not found:
        hint = did_you_mean(name, [n for shelf in shelves for n in shelf.names])
        raise click.UsageError(f'nothing here is called "{name}"; {hint}')
    if as_json:
        print_json({"found": [thing_document(shelf, entry) for shelf, entry in found]})
        return 0
    from seamwright.plugins.option_table import option_rows  # noqa: PLC0415 - one thing only
    from seamwright.plugins.pages import page_text  # noqa: PLC0415

    if page:
        for _, entry in found:
            text = page_text(entry, units=units)
            click.echo(text if text is not None else f"{entry.full} has no page")
        return 0
    for shelf, entry in found:
        told = thing_document(shelf, entry)
        click.echo(f"{entry.full} ({told['what']}, {entry.plugin.origin})\n{entry.thing.help}")
        for label, cls in _options_of(entry.thing):
            table = Table([label, "takes", "default", "what it does"])
            for row in option_rows(cls, units=units):
                default = "(needed)" if row.required else row.default
                table.add(row.name, row.takes, default, row.help)
            if table.rows:
                click.echo()
                show(table)
        for label in ("keeps", "codes", "carries", "drops"):
            if told.get(label):
                words = told[label]
                shown = [w["code"] if isinstance(w, dict) else w for w in words]
                click.echo(f"\n{label}: {', '.join(shown)}")
        if entry.thing.page:
            click.echo(f"\nits page: seamwright plugins {entry.full} --page")
    return 0


def _options_of(thing: Any) -> list[tuple[str, type[Any]]]:
    if hasattr(thing, "reader"):
        sides = (("option for reading", thing.reader), ("option for writing", thing.writer))
        return [(label, side.options) for label, side in sides if side is not None]
    return [("option", thing.options)]


def _try_each(seconds: float, as_json: bool) -> int:
    """Loads every plugin alone in a process, because a hang cannot be caught in one's own."""
    from importlib.metadata import entry_points  # noqa: PLC0415

    from seamwright.plugins.registry import GROUP  # noqa: PLC0415

    table = Table(["plugin", "module", "outcome"])
    findings: list[Finding] = []
    for point in sorted(entry_points(group=GROUP), key=lambda p: p.name):
        outcome = _alone(point.module, seconds)
        table.add(point.name, point.value, outcome, style="" if outcome == "loads" else "red")
        if outcome != "loads":
            findings.append(
                Finding(
                    code="plugin.broken",
                    severity=Severity.WARNING,
                    message=f'the plugin "{point.name}" {outcome}',
                    hint="leave it out: SEAMWRIGHT_PLUGINS names the plugins to load",
                    plugin=point.name,
                )
            )
    if as_json:
        print_json({"findings": [f.to_json() for f in findings]})
    else:
        show(table)
        say(findings)
    return 2 if findings else 0


def _alone(module: str, seconds: float) -> str:
    try:
        done = subprocess.run(
            [sys.executable, "-c", f"import importlib; importlib.import_module({module!r})"],
            timeout=seconds,
            capture_output=True,
            text=True,
            check=False,
        )
    except subprocess.TimeoutExpired:
        return f"did not finish in {seconds:g} s"
    if done.returncode:
        last = done.stderr.strip().splitlines()[-1:] or [f"exit status {done.returncode}"]
        return f"fails: {last[0]}"
    return "loads"
