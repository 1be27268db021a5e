"""Findings as lines on stderr: place, severity, headline, code; and what to do about it."""

from __future__ import annotations

from collections.abc import Iterable

import click

from seamwright.findings import Finding, SeamwrightError, Severity, in_order

_MOST_NOTES = 12
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
    return f"{text}\n    {finding.hint}" if finding.hint else text


def say(findings: Iterable[Finding], *, with_file: bool = True) -> None:
    """Prints findings on stderr, worst first; a flood of them is cut short, and it is said."""
    ordered = in_order(findings)
    shown = [f for f in ordered if f.severity is not Severity.NOTE][:_MOST]
    shown += [f for f in ordered if f.severity is Severity.NOTE][:_MOST_NOTES]
    for finding in shown:
        click.echo(_coloured(finding, line_of(finding, with_file=with_file)), err=True)
    if len(ordered) > len(shown):
        left = len(ordered) - len(shown)
        click.echo(f"... and {left} more; --json has them all", err=True)


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
