"""`seamwright pipelines [NAME]`: the pipelines that ship, and the text of one."""

from __future__ import annotations

import click

from seamwright.findings import SeamwrightError, did_you_mean
from seamwright.pipelines import shipped, text_of

from .tables import Table, show


@click.command(name="pipelines")
@click.argument("name", metavar="[NAME]", default="", required=False)
def command(name: str) -> int:
    """List the pipelines that ship, or print the one called NAME.

    `seamwright run NAME IN...` runs one. To change one, print it into a file of your own:
    seamwright pipelines ease-a-sleeve > mine.toml
    """
    known = shipped()
    if name and name not in known:
        raise SeamwrightError.of(
            "pipeline.no-file",
            f'there is no pipeline called "{name}"',
            hint=did_you_mean(name, known),
        )
    if name:
        click.echo(text_of(name).rstrip())
    else:
        table = Table(("pipeline", "what it does"))
        for own, does in known.items():
            table.add(own, does)
        show(table)
    return 0
