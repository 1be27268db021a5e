"""Findings as lines on stderr: place, severity, headline, code; and what to do about it."""

from __future__ import annotations

from collections.abc import Iterable

import click

from seamwright.findings import Finding, SeamwrightError, Severity, in_order

from .printable import printable

_MOST_NOTES = 12  # lines
_MOST = 60


def line_of(finding: Finding, *, with_file: bool = True) -> str:
    """One finding as text, with its remedy on a line of its own."""
    place = ""
    if with_file and finding.file:
        place = f"{finding.file}:{finding.line}: " if finding.line else f"{finding.file}: "
    elif finding.line:
        place = f"line {finding.line}: "
    who = [finding.piece] if finding.piece and finding.piece not in finding.message else []
    if finding.seam and finding.seam not in finding.message:
        who.append(finding.seam)
    if finding.size and f"size {finding.size}" not in finding.message:
        who.append(f"size {finding.size}")
    whose = f" ({', '.join(who)})" if who else ""
    text = f"{place}{finding.severity.value}: {finding.message}{whose} [{finding.code}]"
    return printable(text) + (f"\n    {printable(finding.hint)}" if finding.hint else "")


def say(findings: Iterable[Finding], *, with_file: bool = True) -> None:
    """Prints findings on stderr, worst first. The same fault in several sizes is one line, that
    of the worst size; a flood is cut short, and it is said."""
    groups = _by_size(in_order(findings))
    loud = [g for g in groups if g[0].severity is not Severity.NOTE]
    quiet = [g for g in groups if g[0].severity is Severity.NOTE]
    shown = loud[:_MOST] + quiet[:_MOST_NOTES]
    for group in shown:
        finding, others = _worst_first(group)
        text = _coloured(finding, line_of(finding, with_file=with_file))
        if others:
            text += "\n    also in size " + printable(", ".join(others))
        click.echo(text, err=True)
    left = sum(map(len, groups)) - sum(map(len, shown))
    if left:
        click.echo(f"... and {left} more; --json has them all", err=True)


def _by_size(findings: Iterable[Finding]) -> list[list[Finding]]:
    """Findings that differ by their size only, together."""
    groups: dict[tuple[object, ...], list[Finding]] = {}
    for i, f in enumerate(findings):
        key: tuple[object, ...] = (f.code, f.severity, f.file, f.piece, f.seam, f.edge)
        groups.setdefault(key if f.size is not None else (i,), []).append(f)
    return list(groups.values())


def _worst_first(group: list[Finding]) -> tuple[Finding, list[str]]:
    """The finding that is farthest beyond its limit, and the other sizes in order."""

    def beyond(finding: Finding) -> float:
        if finding.measured is None:
            return 0.0
        return abs(finding.measured - (finding.limit or 0.0))

    worst = max(group, key=beyond)
    return worst, list(dict.fromkeys(f.size for f in group if f.size and f.size != worst.size))


def say_error(error: SeamwrightError) -> None:
    """An error with everything that was found before it."""
    say([error.finding, *error.others])


def _coloured(finding: Finding, text: str) -> str:
    colours = {Severity.ERROR: "red", Severity.WARNING: "yellow"}
    word = f"{finding.severity.value}:"
    if finding.severity not in colours:
        return text
    styled = click.style(word, fg=colours[finding.severity], bold=True)
    return text.replace(word, styled, 1)
