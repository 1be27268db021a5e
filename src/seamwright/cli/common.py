"""What all commands share: --json, --units, --fail-on, the registry, the exit status."""

from __future__ import annotations

import json
from collections.abc import Callable, Collection, Iterable
from dataclasses import replace
from math import isfinite
from typing import TYPE_CHECKING, Any, TypeVar

import click

from seamwright.findings import Finding, SeamwrightError, Severity
from seamwright.plugins.context import Limits

if TYPE_CHECKING:
    from seamwright.plugins.registry import Registry

F = TypeVar("F", bound=Callable[..., Any])

UNITS = click.Choice(["mm", "cm", "in"])
_OF_PLUGINS = ("plugin.broken", "plugin.refused", "plugin.name-clash", "plugin.unknown")


def output_options(command: F) -> F:
    """--json and --units."""
    command = click.option(
        "--units",
        type=UNITS,
        default="mm",
        show_default=True,
        help="Unit of bare numbers and of what is printed. JSON is always in mm.",
    )(command)
    return click.option(
        "--json", "as_json", is_flag=True, help="One JSON document on stdout, lengths in mm."
    )(command)


def judging_options(command: F) -> F:
    """--fail-on and --strict-plugins."""
    command = click.option(
        "--strict-plugins", is_flag=True, help="A plugin that cannot be loaded is an error."
    )(command)
    return click.option(
        "--fail-on",
        type=click.Choice([s.value for s in Severity]),
        default="error",
        show_default=True,
        help="Exit with 1 from this severity on.",
    )(command)


def limit_option(command: F) -> F:
    """--limit NAME=N."""
    return click.option(
        "--limit",
        "limits",
        multiple=True,
        metavar="NAME=N",
        callback=_limits,
        help="Raise a bound on what a file may ask for: bytes, elements, depth, instances, "
        "points, text, toml, seconds.",
    )(command)


def _limits(_: click.Context, __: click.Parameter, given: tuple[str, ...]) -> Limits:
    bounds = Limits()
    names = [name for name in Limits.__slots__ if isinstance(getattr(bounds, name), int)]
    for one in given:
        name, _eq, number = one.partition("=")
        if name not in names or not number.strip().isdecimal():
            raise click.BadParameter(f'"{one}"; write one of {", ".join(names)}, "=" and a number')
        bounds = replace(bounds, **{name: int(number)})
    return bounds


def the_registry(strict: bool = False) -> tuple[Registry, list[Finding]]:
    """What is installed, and what is to be said of it. With `strict` a plugin that could not be
    loaded is an error."""
    from seamwright.plugins import registry  # noqa: PLC0415 - discovery only when needed

    found = registry.default()
    findings = list(found.findings)
    if strict:
        lost = [f for f in findings if f.code in ("plugin.broken", "plugin.refused")]
        if lost:
            first = lost[0].but(severity=Severity.ERROR)
            raise SeamwrightError(first, others=lost[1:])
    return found, findings


def status(
    findings: Iterable[Finding],
    fail_on: str,
    *,
    failed: bool = False,
    previews: Collection[str] = (),
) -> int:
    """0 nothing at or above `fail_on`, 1 something, 2 the work could not be done. Codes in
    preview count for nothing, nor does a plugin that was lost and not needed."""
    if failed:
        return 2
    limit = Severity(fail_on)
    uncounted = {*previews, *_OF_PLUGINS}
    return int(any(f.severity.reaches(limit) for f in findings if f.code not in uncounted))


def print_json(document: Any) -> None:
    """The one document on stdout. Figures that are not finite, which JSON cannot hold, are null."""
    try:
        text = json.dumps(document, ensure_ascii=False, indent=2, allow_nan=False)
    except ValueError:
        text = json.dumps(finite(document), ensure_ascii=False, indent=2, allow_nan=False)
    # Lone halves of a pair come from damaged texts in files; no stream takes them.
    click.echo(text.encode("utf-8", "backslashreplace").decode("utf-8"))


def finite(value: Any) -> Any:
    """The value with null for figures that JSON cannot hold."""
    if isinstance(value, float):
        return value if isfinite(value) else None
    if isinstance(value, dict):
        return {key: finite(one) for key, one in value.items()}
    if isinstance(value, list | tuple):
        return [finite(one) for one in value]
    return value


def as_findings(error: SeamwrightError, file: str | None = None) -> list[Finding]:
    """An error as findings, with the file where none is named."""
    found = [error.finding, *error.others]
    return [f.but(file=file) if f.file is None and file is not None else f for f in found]


def counted(findings: Iterable[Finding]) -> dict[str, int]:
    """How many errors, warnings and notes."""
    all_of_them = list(findings)
    return {
        f"{severity.value}s": sum(f.severity is severity for f in all_of_them)
        for severity in Severity
    }


def number(count: int, noun: str) -> str:
    """ "1 shape", "2 shapes"."""
    return f"{count} {noun}" if count == 1 else f"{count} {noun}s"
