"""What cloth takes: a small table of how much ease a sleeve cap may hold, front and back.

The table ships as `cloth.toml` beside this file; every row says where its figures come from.
Light: no numpy, so that the paper-only command starts at once.
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any, Literal

from seamwright.findings import SeamwrightError, did_you_mean
from seamwright.units import parse_length

Side = Literal["front", "back"]
SIDES: tuple[Side, Side] = ("back", "front")  # the order in which a person folds and reads


@dataclass(frozen=True, slots=True, kw_only=True)
class Span:
    """How much ease one half of a cap may hold, mm. at_least None: nothing is asked."""

    at_most: float
    at_least: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Cloth:
    """A row of the table: a cloth or a use, what each half takes, and who says so."""

    name: str
    back: Span
    front: Span
    about: str = ""
    source: str = "given by the user"

    def side(self, side: Side) -> Span:
        """The span of one half."""
        return self.back if side == "back" else self.front


@cache
def cloths() -> tuple[Cloth, ...]:
    """The rows that ship with the package, in the table's order."""
    text = (files("seamwright.paper") / "cloth.toml").read_text(encoding="utf-8")
    return read_cloths(text, name="cloth.toml")


def read_cloths(text: str, *, name: str) -> tuple[Cloth, ...]:
    """Rows of a table in TOML: [[cloth]] with name, back, front, and perhaps about and source.

    back, front  { at-most = "5/8 in" }, perhaps with at-least
    name         display name of the text, for errors
    Raises SeamwrightError for anything else, saying which row and what was expected.
    """
    try:
        data = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise _wrong(name, f"the cloth table is not TOML: {error}") from None
    rows = data.pop("cloth", None)
    if data or not isinstance(rows, list) or not all(isinstance(r, dict) for r in rows):
        stray = f', not "{next(iter(data))}"' if data else ""
        raise _wrong(name, f"a cloth table is made of [[cloth]] rows{stray}")
    return tuple(_row(row, number, name) for number, row in enumerate(rows, start=1))


def find_cloth(name: str, more: Iterable[Cloth] = ()) -> Cloth:
    """The row called `name`, without regard to case; the user's own rows `more` come first.

    Raises SeamwrightError `cloth.unknown` with the nearest names.
    """
    known = [*more, *cloths()]
    wanted = " ".join(name.casefold().split())
    for cloth in known:
        if cloth.name.casefold() == wanted:
            return cloth
    names = list(dict.fromkeys(c.name for c in known))
    raise SeamwrightError.of(
        "cloth.unknown",
        f'no cloth is called "{name}"',
        hint=did_you_mean(name, names) + "; or state the ease wanted as target",
    )


_KEYS = ("name", "back", "front", "about", "source")


def _row(row: Mapping[str, Any], number: int, name: str) -> Cloth:
    called = row.get("name")
    if not isinstance(called, str) or not called.strip():
        raise _wrong(name, f"row {number} of the cloth table has no name")
    where = f'cloth "{called}"'
    for key in row:
        if key not in _KEYS:
            raise _wrong(name, f'{where} has an unknown key "{key}"', did_you_mean(key, _KEYS))
    texts = {k: row[k] for k in ("about", "source") if k in row}
    if not all(isinstance(t, str) for t in texts.values()):
        raise _wrong(name, f"{where}: about and source are texts")
    return Cloth(
        name=" ".join(called.split()),
        back=_span(row.get("back"), f"{where}, back", name),
        front=_span(row.get("front"), f"{where}, front", name),
        **texts,
    )


def _span(given: Any, where: str, name: str) -> Span:
    example = 'expected for instance { at-most = "5/8 in" }'
    if not isinstance(given, dict) or "at-most" not in given:
        raise _wrong(name, f"{where}: no at-most", example)
    for key in given:
        if key not in ("at-most", "at-least"):
            raise _wrong(name, f'{where}: unknown key "{key}"', example)
    most = _length(given["at-most"], f"{where}, at-most", name)
    least = None
    if "at-least" in given:
        least = _length(given["at-least"], f"{where}, at-least", name)
        if least > most:
            raise _wrong(name, f"{where}: at-least is above at-most")
    return Span(at_most=most, at_least=least)


def _length(given: Any, where: str, name: str) -> float:
    if not isinstance(given, str):
        raise _wrong(name, f"{where}: a length is written with its unit", 'for instance "5/8 in"')
    try:
        value = parse_length(given)
    except ValueError as error:
        raise _wrong(name, f"{where}: {error}") from None
    if value < 0.0:
        raise _wrong(name, f"{where}: ease cannot be asked to be below 0")
    return value


def _wrong(name: str, message: str, hint: str | None = None) -> SeamwrightError:
    return SeamwrightError.of("cloth.table", message, file=name, hint=hint)
