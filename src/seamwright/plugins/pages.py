"""The page of a format, step or report, with its table of options put in.

A page is Markdown in the plugin's folder `pages`; the line `<!-- options -->` stands where the
table comes (of a format, one for reading and one for writing).
"""

from __future__ import annotations

from importlib.resources import files
from typing import Any, Final

from .names import Entry
from .option_table import option_table

MARK: Final = "<!-- options -->"


def page_text(entry: Entry[Any], *, units: str = "mm") -> str | None:
    """The page as Markdown, lengths in the user's units; None where the plugin ships none."""
    if not entry.thing.page:
        return None
    package = entry.plugin.module.split(":")[0].rpartition(".")[0]
    if not package:
        return None
    try:
        text = files(package).joinpath("pages", entry.thing.page).read_text(encoding="utf-8")
    except (FileNotFoundError, ModuleNotFoundError):
        return None
    return text.replace(MARK, options_text(entry.thing, units=units).rstrip("\n"))


def options_text(thing: Any, *, units: str = "mm") -> str:
    """The options of a format, step or report as Markdown."""
    if not hasattr(thing, "reader"):
        return option_table(thing.options, units=units)
    out = []
    for title, side in (("Reading", thing.reader), ("Writing", thing.writer)):
        if side is not None:
            out.append(f"{title}:\n\n{option_table(side.options, units=units)}")
    return "\n".join(out)
