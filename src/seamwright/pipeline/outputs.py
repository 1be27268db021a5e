"""Names of outputs: the template `to`, filled in; never a path out of the folder asked for."""

from __future__ import annotations

import string
from collections.abc import Mapping
from pathlib import Path, PurePosixPath, PureWindowsPath
from typing import Final

from seamwright.findings import SeamwrightError, did_you_mean
from seamwright.plugins.building import Where
from seamwright.plugins.filenames import safe_name

PARTS: Final = ("stem", "size", "piece", "name")
"""stem: of the input's file name; name: the pattern's; size, piece: one file each."""


def fields_of_template(to: str, where: Where, allowed: tuple[str, ...] = PARTS) -> frozenset[str]:
    """The parts that a template uses. Raises SeamwrightError (output.template, output.outside)
    for one that cannot be filled in or that would leave the folder."""
    try:
        parsed = list(string.Formatter().parse(to))
    except ValueError as error:
        raise _bad(where, f'"to" cannot be read: {error}', "write braces as {stem}") from None
    found = set()
    for _, field, spec, conversion in parsed:
        if field is None:
            continue
        if field not in allowed or spec or conversion:
            shown = [f"{{{name}}}" for name in allowed]
            raise _bad(
                where, f'"to" uses {{{field}}}, which is not known', did_you_mean(field, shown)
            )
        found.add(field)
    path = PurePosixPath(to.replace("\\", "/"))
    if path.is_absolute() or PureWindowsPath(to).drive or ".." in path.parts or not path.name:
        raise SeamwrightError(
            where.finding(
                "output.outside",
                f'"to" leads out of the output folder: "{to}"',
                ("to",),
                "give a name or a folder below it, and the folder itself by --out",
            )
        )
    return frozenset(found)


def filled(to: str, values: Mapping[str, str]) -> Path:
    """The template with its parts put in, each made safe as a file name."""
    safe = {key: value if key == "stem" else safe_name(value) for key, value in values.items()}
    return Path(to.format_map(safe))


def _bad(where: Where, message: str, hint: str) -> SeamwrightError:
    return SeamwrightError(where.finding("output.template", message, ("to",), hint))
