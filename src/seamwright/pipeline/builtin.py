"""The two steps that the core brings itself: `write` and `report`."""

from __future__ import annotations

from typing import Annotated, Any, Final, Literal

import msgspec

from seamwright.plugins.options import Options, flag, text

Builtin = Literal["write", "report"]
NAMES: Final = ("write", "report")


class WriteOptions(Options, frozen=True):
    """Options of `write`. All others go to the format that is written."""

    to: Annotated[
        str,
        text(
            "Name of the file, below the output folder. {stem} is the input's name, {name} the "
            "pattern's; with {size} or {piece} there is one file for each."
        ),
    ]
    format: Annotated[str | None, text("Format, where the suffix does not say it.")] = None
    overwrite: Annotated[bool, flag("Replace a file that is there already.")] = False
    strict: Annotated[bool, flag("Refuse to write when anything is dropped or simplified.")] = False
    accept_loss: Annotated[
        dict[str, str] | list[str],
        text("Features whose loss is accepted, by name, each with the reason."),
    ] = msgspec.field(default_factory=dict)
    read_back: Annotated[bool, flag("Read the file again and compare.")] = True


class ReportOptions(Options, frozen=True):
    """Options of `report`. All others go to the report that is made."""

    to: Annotated[
        str,
        text("Name of the file, below the output folder; {stem} and {name} as in `write`."),
    ]
    format: Annotated[str | None, text("Kind of report, where the suffix does not say it.")] = None
    overwrite: Annotated[bool, flag("Replace a file that is there already.")] = False


CLASSES: Final[dict[str, type[Any]]] = {"write": WriteOptions, "report": ReportOptions}
HELP: Final = {
    "write": "Write the pattern as it stands, in any format.",
    "report": "Make a document of the run so far: findings, measures before and after.",
}
