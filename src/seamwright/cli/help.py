"""`seamwright help [TOPIC]`: a page about every command, format, step, report and pipeline."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from .common import output_options, print_json
from .tables import Table, show

if TYPE_CHECKING:
    from seamwright.manual import Topic

_TITLES = {
    "guide": "Guides",
    "format": "Formats",
    "step": "Steps",
    "report": "Reports",
    "pipeline": "Pipelines that ship",
    "python": "From Python",
}


@click.command(name="help")
@click.argument("topic", nargs=-1)
@click.option(
    "--html",
    "folder",
    type=click.Path(path_type=Path, file_okay=False),
    metavar="DIR",
    help="Write the whole manual into this new folder, with pictures of what each step does.",
)
@output_options
@click.pass_context
def command(
    ctx: click.Context, topic: tuple[str, ...], folder: Path | None, as_json: bool, units: str
) -> int:
    """Show the page about TOPIC; without one, list what there are pages about.

    A word that is no topic is looked up in all pages.
    """
    from seamwright.manual import find, topics  # noqa: PLC0415 - plugins are asked here

    known = topics(units=units)
    if folder is not None:
        return _site(folder, known, as_json)
    name = " ".join(topic)
    if not name:
        return _list(known, as_json)
    parent = ctx.parent
    group = parent.command if parent is not None else None
    found = [t for t in known if t.name == name]
    if not found and parent is not None and isinstance(group, click.Group):
        own = group.get_command(parent, name)
        if own is not None:
            with click.Context(own, info_name=name, parent=parent) as inner:
                click.echo(own.get_help(inner))
            return 0
    pages = find(name, known)
    if as_json:
        told = [{**_row(t), "text": t.text()} for t in pages]
        print_json({"topic": name, "pages": told})
        return 0
    for page in pages:
        _print(page.text())
    return 0


def _list(known: list[Topic], as_json: bool) -> int:
    if as_json:
        print_json({"topics": [_row(t) for t in known]})
        return 0
    for kind, title in _TITLES.items():
        table = Table([title.casefold(), "what it is about"])
        for topic in known:
            if topic.kind == kind:
                table.add(topic.name, topic.help)
        if table.rows:
            show(table)
            click.echo()
    click.echo("seamwright help TOPIC shows a page; seamwright COMMAND --help the options.")
    return 0


def _site(folder: Path, known: list[Topic], as_json: bool) -> int:
    from seamwright.manual import write_manual  # noqa: PLC0415 - draws pictures

    made = write_manual(folder, known)
    if as_json:
        print_json({"folder": str(folder), "files": [p.name for p in made]})
    else:
        click.echo(f"{len(made)} files; open {folder / 'index.html'}")
    return 0


def _row(topic: Topic) -> dict[str, Any]:
    return {"name": topic.name, "kind": topic.kind, "help": topic.help}


def _print(text: str) -> None:
    """As Markdown into a pipe, set on a terminal."""
    if not sys.stdout.isatty():
        click.echo(text.rstrip())
        return
    from rich.console import Console  # noqa: PLC0415 - terminals only
    from rich.markdown import Markdown  # noqa: PLC0415

    console = Console()
    with console.pager(styles=True) if len(text.splitlines()) > console.height else _nothing():
        console.print(Markdown(text))


def _nothing() -> Any:
    from contextlib import nullcontext  # noqa: PLC0415

    return nullcontext()
