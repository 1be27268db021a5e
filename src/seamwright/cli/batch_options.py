"""The options by which `check` and `run` take hundreds of styles, and when they make a batch."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, Final, TypeVar

import click

from seamwright.batch.sources import is_folder, is_pattern_of_names

F = TypeVar("F", bound=Callable[..., Any])

FEW: Final = 8
"""Up to so many files named one by one are told of in full, and done in this process."""

_MEMORY: Final = re.compile(r"([0-9]+(?:\.[0-9]+)?)\s*([KMGT]?)(?:i?B)?", re.IGNORECASE)


@dataclass(frozen=True, slots=True, kw_only=True)
class BatchOptions:
    """What was said of a batch. asked: whether any of it was said; bounded: whether a bound on
    time or memory was."""

    manifest: str | None = None
    listed: str | None = None
    plans: str | None = None
    workers: int | None = None
    executor: str = "auto"
    cluster: str | None = None
    timeout: float = 300.0
    memory: int = 2 << 30
    cache: str | None = None
    cached: bool = True
    cache_size: int = 1 << 30
    log: str | None = None
    tables: tuple[str, ...] = ()
    junit: str | None = None
    summary: str | None = None
    asked: bool = False
    bounded: bool = False


class Amount(click.ParamType):  # type: ignore[type-arg]  # generic in new versions only
    """An amount of memory: "2GB", "500MB", a bare number in bytes."""

    name = "size"

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> int:
        """Bytes."""
        if isinstance(value, int):
            return value
        match = _MEMORY.fullmatch(value.strip())
        if match is None:
            self.fail(f'"{value}" is no amount of memory; write 2GB or 500MB', param, ctx)
        power = " KMGT".index(match[2].upper() or " ")
        return int(float(match[1]) * 1024**power)


_OPTIONS: Final = (
    click.option(
        "--manifest",
        metavar="FILE",
        help="Styles with their plans, pipelines and names: TOML with [[style]] file, plan, "
        "pipeline, name; or CSV with these columns. Paths are relative to FILE.",
    ),
    click.option(
        "--list", "listed", metavar="FILE", help='Names of files, one a line; "-": from stdin.'
    ),
    click.option(
        "--plans",
        metavar="DIR",
        help="Plans by the style's name: DIR/NAME.plan.toml (or DIR/NAME.toml) for NAME.dxf, "
        "capitals or not. Order: manifest, --plan, --plans, beside the file, inside it.",
    ),
    click.option(
        "--workers",
        type=click.IntRange(1, 1024),
        metavar="N",
        help="Worker processes; else one a core, as memory allows (0.5 GB each).",
    ),
    click.option(
        "--executor",
        type=click.Choice(["auto", "here", "pool", "dask"]),
        default="auto",
        show_default=True,
        help="Where the work is done: in this process, in worker processes, on a Dask cluster. "
        f"auto: the pool, but this process for up to {FEW} files named one by one.",
    ),
    click.option(
        "--cluster",
        metavar="ADDRESS",
        help='Dask scheduler (tcp://host:8786), or "local". Needs seamwright[cluster].',
    ),
    click.option(
        "--timeout",
        type=click.FloatRange(0),
        default=300.0,
        show_default=True,
        metavar="SECONDS",
        help="Longest time for one style; 0: no end. Not kept by --executor here.",
    ),
    click.option(
        "--memory",
        type=Amount(),
        default="2GB",
        show_default=True,
        metavar="SIZE",
        help="Most memory for one style, above the half gigabyte of a worker itself; 0: all there "
        "is. Not kept by --executor here.",
    ),
    click.option(
        "--cache",
        metavar="DIR",
        help="Folder where results are kept, so that a second run does only what changed, and a "
        "run that was stopped goes on. Default: the user's cache folder.",
    ),
    click.option("--no-cache", is_flag=True, help="Do everything, keep nothing."),
    click.option(
        "--cache-size",
        type=Amount(),
        default="1GB",
        show_default=True,
        metavar="SIZE",
        help="Most that is kept; what was not used for longest goes first.",
    ),
    click.option("--log", metavar="FILE", help="Write what happens to FILE, in JSON lines."),
    click.option(
        "--table",
        "tables",
        multiple=True,
        metavar="FILE",
        help="Write all styles x sizes x seams to FILE: .csv, .parquet or .xlsx (the last two need "
        "seamwright[tables]). Lengths in mm.",
    ),
    click.option(
        "--junit",
        metavar="FILE",
        help="Write JUnit XML to FILE: a build server shows each style as a test.",
    ),
    click.option(
        "--summary",
        metavar="DIR",
        help="Write a page with all styles, worst first, and a page for each, into DIR.",
    ),
)
_NAMES: Final = (
    "manifest", "listed", "plans", "workers", "executor", "cluster", "timeout", "memory", "cache",
    "no_cache", "cache_size", "log", "tables", "junit", "summary",
)  # fmt: skip


def batch_options(command: F) -> F:
    """All options of a batch; the function gets them as `batch`, a `BatchOptions`."""

    def with_batch(*args: Any, **kwargs: Any) -> Any:
        ctx = click.get_current_context()
        default = click.core.ParameterSource.DEFAULT
        said = {name for name in _NAMES if ctx.get_parameter_source(name) is not default}
        given = {name: kwargs.pop(name) for name in _NAMES}
        given["cached"] = not given.pop("no_cache")
        return command(
            *args,
            batch=BatchOptions(
                **given, asked=bool(said), bounded=bool(said & {"timeout", "memory"})
            ),
            **kwargs,
        )

    with_batch.__name__, with_batch.__doc__ = command.__name__, command.__doc__
    made: Any = with_batch
    params = getattr(command, "__click_params__", [])
    made.__click_params__ = list(params)
    for option in reversed(_OPTIONS):
        made = option(made)
    return made  # type: ignore[no-any-return]


def is_batch(files: tuple[str, ...], options: BatchOptions) -> bool:
    """Whether the files make a batch: a folder, a pattern of names, a list, a manifest, any
    option of a batch, or more than a few."""
    return (
        options.asked
        or len(files) > FEW
        or any(is_pattern_of_names(name) or is_folder(name) for name in files)
    )
