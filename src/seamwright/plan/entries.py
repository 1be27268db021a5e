"""What every entry of a plan's file is checked for: its key, its type; and how it is refused."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from seamwright.findings import SeamwrightError, did_you_mean

from .kinds import Place, SeamPlan


class Entries:
    """The entries of a plan's file. lines: where each stands; empty for a plan without text."""

    file: str | None
    lines: Mapping[Place, int]

    def refuse(
        self, code: str, message: str, place: Place, hint: str | None = None, **fields: Any
    ) -> SeamwrightError:
        line = SeamPlan(lines=self.lines).line(*place)
        return SeamwrightError.of(code, message, file=self.file, line=line, hint=hint, **fields)

    def known(
        self, table: Mapping[str, Any], valid: tuple[str, ...], place: Place, what: str
    ) -> None:
        for key in table:
            if key not in valid:
                raise self.refuse(
                    "plan.key",
                    f'"{key}" is no key of {what}',
                    (*place, key),
                    did_you_mean(key, valid),
                )

    def table(self, value: Any, place: Place, what: str) -> dict[str, Any]:
        if not isinstance(value, dict):
            raise self.refuse("plan.type", f'"{what}" is {kind_of(value)}, not a table', place)
        return value

    def texts(self, value: Any, place: Place, what: str) -> tuple[str, ...]:
        if not isinstance(value, list | tuple):
            raise self.refuse(
                "plan.type", f"{what} is {kind_of(value)}, not a list of texts", place
            )
        for i, text in enumerate(value):
            if not isinstance(text, str):
                raise self.refuse(
                    "plan.type", f"{what} holds {kind_of(text)}, not only texts", (*place, i)
                )
        return tuple(value)


def kind_of(value: Any) -> str:
    """A TOML value's kind in plain words."""
    names = {bool: "yes or no", int: "a number", float: "a number", str: "a text"}
    names |= {list: "a list", dict: "a table"}
    return names.get(type(value), "a date or time")
