"""A group of commands that imports a command only when it is called, and none for its help."""

from __future__ import annotations

from collections.abc import Mapping
from importlib import import_module
from typing import Any

import click

from seamwright.findings import did_you_mean


class LazyGroup(click.Group):
    """table: command -> (module that has it as `command`, its one line of help)."""

    def __init__(self, *args: Any, table: Mapping[str, tuple[str, str]], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.table = table

    def list_commands(self, ctx: click.Context) -> list[str]:
        """In the order of the table, which is the order of the work."""
        return list(self.table)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """Imports the command's module."""
        if cmd_name not in self.table:
            return None
        command: click.Command = import_module(self.table[cmd_name][0]).command
        return command

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """From the table, without an import."""
        with formatter.section("Commands"):
            formatter.write_dl([(name, text) for name, (_, text) in self.table.items()])

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        """An unknown command gets the nearest."""
        if args and args[0] not in self.table and not args[0].startswith("-"):
            hint = did_you_mean(args[0], self.table)
            raise click.UsageError(f'there is no command "{args[0]}"; {hint}', ctx)
        return super().resolve_command(ctx, args)
