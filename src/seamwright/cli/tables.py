"""Tables on stdout: drawn by rich on a terminal, plain aligned text otherwise."""

from __future__ import annotations

import os
import sys
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

import click

from .printable import printable


@dataclass(slots=True)
class Table:
    """columns: headings, with ">" in front where figures stand to the right; styles: of a row,
    for rich only ("red", "")."""

    columns: Sequence[str]
    title: str = ""
    rows: list[tuple[str, ...]] = field(default_factory=list)
    styles: list[str] = field(default_factory=list)

    def add(self, *cells: object, style: str = "") -> None:
        """Adds a row."""
        self.rows.append(tuple(printable(str(cell)) for cell in cells))
        self.styles.append(style)


def show(table: Table) -> None:
    """Prints the table on stdout."""
    if on_terminal():
        _rich(table)
    else:
        click.echo(plain(table))


def on_terminal() -> bool:
    """Whether a person looks at stdout."""
    return sys.stdout.isatty() and os.environ.get("TERM", "") != "dumb" and not os.environ.get("CI")


def plain(table: Table) -> str:
    """The table as aligned text."""
    right = [name.startswith(">") for name in table.columns]
    heads = tuple(name.lstrip(">") for name in table.columns)
    lines = [heads, *table.rows]
    widths = [max(len(line[i]) for line in lines) for i in range(len(heads))]
    out = [printable(table.title)] if table.title else []
    out += [_aligned(line, widths, right) for line in lines]
    rule = "  ".join("-" * width for width in widths)
    out.insert(1 + bool(table.title), rule)
    return "\n".join(out)


def _aligned(cells: Iterable[str], widths: Sequence[int], right: Sequence[bool]) -> str:
    parts = [
        cell.rjust(width) if to_right else cell.ljust(width)
        for cell, width, to_right in zip(cells, widths, right, strict=True)
    ]
    return "  ".join(parts).rstrip()


def _rich(table: Table) -> None:
    from rich import box  # noqa: PLC0415 - only a terminal needs it
    from rich.console import Console  # noqa: PLC0415
    from rich.table import Table as RichTable  # noqa: PLC0415
    from rich.text import Text  # noqa: PLC0415

    drawn = RichTable(
        title=Text(printable(table.title)) if table.title else None,
        box=box.SIMPLE_HEAD,
        title_justify="left",
    )
    for name in table.columns:
        drawn.add_column(name.lstrip(">"), justify="right" if name.startswith(">") else "left")
    for cells, style in zip(table.rows, table.styles, strict=True):
        drawn.add_row(*(Text(cell) for cell in cells), style=style or None)
    Console().print(drawn)
