"""A batch in words: the styles, worst first."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import click

from seamwright.batch.engine import Batch
from seamwright.batch.rows import Head, Status
from seamwright.findings import Finding, Severity
from seamwright.units import format_length

from .common import number
from .printable import printable
from .say import say
from .tables import Table, show

_MOST = 40  # rows


def say_failures(batch: Batch, findings: Sequence[Finding]) -> None:
    """What is to be said of the batch, and of each style that was not done its reason."""
    say(findings)
    reasons: list[Finding] = []
    for i, head in enumerate(batch.heads):
        if head is None or head.done:
            continue
        errors = [f for f in batch.results.get(i).findings if f.severity is Severity.ERROR]
        reasons += [f.but(file=head.file) for f in errors[:1]]
    say(reasons)


def show_checked(batch: Batch, units: str, *, show_all: bool) -> None:
    """The table of a check: which styles were not looked at, which are out of range, by how
    much."""
    heads = sorted(batch.told, key=lambda head: head.badness)
    shown = [h for h in heads if show_all or not _well(h)]
    out = sum(head.out_of_range > 0 for head in heads)
    title = (
        f"{number(len(heads), 'style')}, {number(sum(h.seams for h in heads), 'seam')} walked "
        f"(each size counted): {number(out, 'style')} out of range"
    )
    if not shown:
        click.echo(printable(title))
        return
    table = Table(
        ["style", "verdict", ">sizes", ">seams", ">out", ">by", ">errors", ">warnings"],
        title=title,
    )
    for head in shown[: None if show_all else _MOST]:
        table.add(
            head.style,
            _verdict(head),
            str(head.sizes or ""),
            str(head.seams or ""),
            str(head.out_of_range or ""),
            format_length(round(head.beyond, 2), units) if head.beyond else "",
            str(head.errors or ""),
            str(head.warnings or ""),
            style="red" if head.errors or not head.done else "",
        )
    show(table)
    _more(shown, show_all)
    click.echo("`seamwright check FILE` shows one style in full")


def show_run(batch: Batch, *, show_all: bool = False) -> None:
    """The table of a run: what was not done, and what still stands."""
    heads = sorted(batch.told, key=lambda head: head.badness)
    shown = [h for h in heads if show_all or not h.done or h.errors or h.out_of_range]
    files = sum(len(h.outputs) for h in heads if h.done)
    title = f"{number(len(heads), 'style')}, {number(files, 'file')} written"
    if not shown:
        click.echo(printable(title))
        return
    table = Table(["style", "result", ">files", ">out", ">errors", ">warnings"], title=title)
    for head in shown[: None if show_all else _MOST]:
        table.add(
            head.style,
            head.status.value,
            str(len(head.outputs) if head.done else ""),
            str(head.out_of_range or ""),
            str(head.errors or ""),
            str(head.warnings or ""),
            style="red" if head.errors or not head.done else "",
        )
    show(table)
    _more(shown, show_all)


def say_counts(counts: dict[str, int]) -> None:
    """How many errors, warnings and notes."""
    words = [number(n, name.removesuffix("s")) for name, n in counts.items() if n]
    if words:
        click.echo(", ".join(words), err=True)


def say_unseen(heads: Iterable[Head]) -> None:
    """Which styles were read and not looked at, and why."""
    unseen = [h for h in heads if h.done and not h.looked_at]
    for head in unseen[:_MOST]:
        click.echo(f"{printable(head.style)}: NOT CHECKED: {head.skipped}", err=True)
    if len(unseen) > _MOST:
        click.echo(f"... and {len(unseen) - _MOST} more not checked", err=True)


def _more(shown: Sequence[Head], show_all: bool) -> None:
    if not show_all and len(shown) > _MOST:
        click.echo(f"and {len(shown) - _MOST} more; --json lists them all")


def _well(head: Head) -> bool:
    return bool(head.done and head.looked_at and not head.errors and not head.out_of_range)


def _verdict(head: Head) -> str:
    if head.status is not Status.DONE:
        return head.status.value
    if not head.looked_at:
        return "not checked"
    return "out of range" if head.out_of_range else "errors" if head.errors else "ok"
