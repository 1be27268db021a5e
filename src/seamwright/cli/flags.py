"""Options of readers and writers as flags, made from their classes; and --set for all of them.

A file's reader is known only once the file has been looked at, so a command offers the flags of
every reader that is installed and hands each file those that its reader has.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any, Final, Literal

import click

from seamwright.findings import SeamwrightError, did_you_mean
from seamwright.plugins.option_table import OptionRow, option_rows
from seamwright.plugins.registry import Registry

Side = Literal["reader", "writer", "step"]
_MADE: Final = "seamwright.generated"


@dataclass(frozen=True, slots=True)
class _Flag:
    """One option of one or several formats: (format, row) each."""

    rows: tuple[tuple[str, OptionRow], ...]

    @property
    def alike(self) -> bool:
        """Whether the formats mean the same by it."""
        return len({(row.takes, row.help, row.default) for _, row in self.rows}) == 1


class FormatCommand(click.Command):
    """A command that takes the options of readers as flags, of writers too where `writes`, and
    of the step named; `given` collects what was said."""

    def __init__(self, *args: Any, writes: bool = False, step: str = "", **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.sides: tuple[Side, ...] = ("reader", "writer") if writes else ("reader",)
        self.step = step

    def get_params(self, ctx: click.Context) -> list[click.Parameter]:
        """The command's own parameters and the generated ones."""
        own = super().get_params(ctx)
        made = ctx.meta.get(_MADE)
        if made is None:
            made = []
            for side in (*self.sides, *(("step",) if self.step else ())):
                taken = {name for p in (*own, *made) for name in (*p.opts, *p.secondary_opts)}
                made += _generated(side, taken, self.step)
            ctx.meta[_MADE] = made
        help_last = [p for p in own if "--help" in p.opts]
        return [p for p in own if p not in help_last] + made + help_last

    def invoke(self, ctx: click.Context) -> Any:
        """Generated values go to `ctx.meta`, out of the way of the function's arguments."""
        for param in ctx.meta.get(_MADE, ()):
            value = ctx.params.pop(param.name or "", None)
            if value is not None and value != ():
                side, _, name = (param.name or "").partition("__")
                ctx.meta.setdefault(f"seamwright.{side}", {})[name.replace("_", "-")] = value
        return super().invoke(ctx)


def given(ctx: click.Context, side: Side) -> dict[str, Any]:
    """The options of readers or writers that were given, by name, as texts."""
    found: dict[str, Any] = dict(ctx.meta.get(f"seamwright.{side}", {}))
    pairs = found.pop("set", ())
    for pair in pairs:
        name, equals, value = pair.partition("=")
        if not equals:
            raise click.UsageError(f'"{pair}" is no NAME=VALUE', ctx)
        found[name.strip()] = value.strip()
    return found


def check_known(options: Iterable[str], registry: Registry, side: Side) -> None:
    """Raises SeamwrightError for an option that no reader (or writer) has."""
    known = _flags(registry, side, "")
    for name in options:
        if name not in known:
            raise SeamwrightError.of(
                "option.unknown",
                f'no {side} has an option "{name}"',
                hint=did_you_mean(name, known),
            )


_SET: Final[Mapping[Side, str]] = {
    "reader": "--set",
    "writer": "--set-out",
    "step": "--set-step",
}


def _generated(side: Side, taken: set[str], step: str) -> list[click.Parameter]:
    from seamwright.plugins import registry  # noqa: PLC0415 - discovery only when needed

    out: list[click.Parameter] = []
    for name, flag in _flags(registry.default(), side, step).items():
        shown = f"--{name}" if f"--{name}" not in taken else f"--{side}-{name}"
        if shown not in taken:
            out.append(_option(side, name, shown, flag))
    out.append(
        click.Option(
            [_SET[side], f"{side}__set"],
            multiple=True,
            metavar="NAME=VALUE",
            help=f"Any option of the {side}, by name.",
        )
    )
    return out


def _option(side: Side, name: str, shown: str, flag: _Flag) -> click.Option:
    row = flag.rows[0][1]
    if flag.alike:
        text = _told(row, ", ".join(format for format, _ in flag.rows))
    else:
        text = " ".join(_told(one, format) for format, one in flag.rows)
    variable = f"{side}__{name.replace('-', '_')}"
    if all(one.flag for _, one in flag.rows):
        return click.Option([f"{shown}/--no-{shown[2:]}", variable], default=None, help=text)
    return click.Option(
        [shown, variable],
        type=str,
        multiple=all(one.several for _, one in flag.rows),
        metavar=_metavar(row) if flag.alike else "VALUE",
        help=text,
    )


def _told(row: OptionRow, formats: str) -> str:
    default = f"; default: {row.default}" if row.default and not row.flag else ""
    return f"{row.help.rstrip()}  [{formats}{default}]"


def _metavar(row: OptionRow) -> str:
    if row.takes.startswith("a length"):
        return "LENGTH"
    if row.takes.startswith("an angle"):
        return "ANGLE"
    if row.takes.startswith('"') and " or " in row.takes:
        return "[" + row.takes.replace('"', "").replace(" or ", "|") + "]"
    if "number" in row.takes:
        return "N"
    return "TEXT"


def _flags(registry: Registry, side: Side, step: str) -> Mapping[str, _Flag]:
    found: dict[str, _Flag] = {}
    for name, options in _classes(registry, side, step):
        for row in option_rows(options):
            before = found[row.name].rows if row.name in found else ()
            found[row.name] = _Flag((*before, (name, row)))
    return found


def _classes(registry: Registry, side: Side, step: str) -> Iterator[tuple[str, type[Any]]]:
    if side == "step":
        if step in registry.steps:
            yield step, registry.steps.find(step).thing.options
        return
    for entry in registry.formats:
        part = entry.thing.reader if side == "reader" else entry.thing.writer
        if part is not None:
            yield entry.name, part.options
