"""`seamwright plugins new NAME`: a working plugin package to start from."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from .common import output_options, print_json


@click.command(name="new")
@click.argument("name")
@click.option(
    "--kind",
    type=click.Choice(["step", "format", "report"]),
    default="step",
    show_default=True,
    help="What the plugin brings.",
)
@click.option(
    "--dir",
    "folder",
    type=click.Path(path_type=Path),
    help="New folder for it.  [default: ./NAME]",
)
@output_options
def new(name: str, kind: Any, folder: Path | None, as_json: bool, units: str) -> int:
    """Write a plugin package that works and passes its tests as it stands.

    The conformance kit that its tests run needs pytest and hypothesis; the package's own
    README.md says how to get them.
    """
    from seamwright.plugins.registry import Registry  # noqa: PLC0415
    from seamwright.testing.scaffold import new_plugin  # noqa: PLC0415

    registry = Registry.discover()
    for shelf in (registry.formats, registry.steps, registry.reports):
        if name in shelf:
            where = shelf.find(name).plugin.origin
            raise click.UsageError(f'there is a "{name}" already, of {where}; choose another name')
    home = folder if folder is not None else Path(name)
    made = new_plugin(name, kind, home)
    if as_json:
        print_json({"folder": str(home), "files": [p.relative_to(home).as_posix() for p in made]})
        return 0
    for path in made:
        click.echo(path)
    click.echo(
        f"\nnext:  cd {home}\n"
        "       python3 -m venv .venv && .venv/bin/pip install -q -e '.[dev]'"
        " && .venv/bin/pytest -q\n"
        f"       .venv/bin/seamwright plugins {name} --page"
    )
    return 0
