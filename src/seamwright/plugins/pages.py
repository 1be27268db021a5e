"""The page of a format, step or report, with its table of options put in.

A page is Markdown in the plugin's folder `pages`; the line `<!-- options -->` stands where the
table comes (of a format, one for reading and one for writing), `<!-- findings -->` for the
finding codes that the plugin declares.
"""

from __future__ import annotations

from importlib.resources import files
from typing import Any, Final

from .names import Entry
from .option_table import option_table

MARK: Final = "<!-- options -->"
CODES: Final = "<!-- findings -->"


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
    text = text.replace(MARK, options_text(entry.thing, units=units).rstrip("\n"))
    return text.replace(CODES, codes_text(entry.thing))


def options_text(thing: Any, *, units: str = "mm") -> str:
    """The options of a format, step or report as Markdown."""
    if not hasattr(thing, "reader"):
        return option_table(thing.options, units=units)
    out = []
    for title, side in (("Reading", thing.reader), ("Writing", thing.writer)):
        if side is not None:
            out.append(f"{title}:\n\n{option_table(side.options, units=units)}")
    return "\n".join(out)


def codes_text(thing: Any) -> str:
    """The declared finding codes as a Markdown table."""
    rows = ["| code | severity | what it means | what to do |", "|---|---|---|---|"]
    rows += [
        f"| `{c.code}` | {c.severity.value} | {_cell(c.title)}: {_cell(c.why)} "
        f"| {_cell(c.remedy)} |"
        for c in getattr(thing, "codes", ())
    ]
    return "\n".join(rows)


def _cell(text: str) -> str:
    return text.replace("|", "\\|")
