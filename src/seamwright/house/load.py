"""Reading house rules from TOML: every key checked, every refusal with file, line and remedy."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterable, Mapping
from typing import Any, Final

import tomli_w

from seamwright.findings import SeamwrightError, did_you_mean
from seamwright.paper.cloth import read_cloths
from seamwright.plugins.toml_lines import KeyPath, lines_of
from seamwright.units import UNITS, parse_length

from .kinds import EaseRule, House, NotchRule, Rule

_TOP: Final = (
    "seamwright-house", "units", "tolerance", "names", "sizes", "cloth", "ease", "notches",
    "cloth-table",
)  # fmt: skip
_TOLERANCES: Final = ("seam", "notch-warning", "notch-error")
_NAMES: Final = ("style", "piece", "size", "seam")
_SIZES: Final = ("required", "allowed", "base")
_EASE: Final = ("seam", "cap", "cloth", "at-least", "at-most")
_NOTCHES: Final = ("seam", "piece", "at-least", "names")
_LONGEST: Final = 200
"""Characters of a regular expression: enough for names."""


def load_house(text: str | bytes, name: str) -> House:
    """The rules that a TOML text states; name is the display name of its file.

    Raises SeamwrightError `house.*` with file, line and what would be right.
    """
    return _Loader(name, text).house()


class _Loader:
    def __init__(self, name: str, text: str | bytes) -> None:
        self.name = name
        try:
            plain = text.decode("utf-8-sig") if isinstance(text, bytes) else text
            self.data: dict[str, Any] = tomllib.loads(plain)
        except UnicodeDecodeError as error:
            raise self._no("house.syntax", f"byte {error.start} is not UTF-8", ()) from None
        except (tomllib.TOMLDecodeError, RecursionError) as error:
            found = re.search(r"line (\d+)", str(error))
            raise SeamwrightError.of(
                "house.syntax",
                f"the house rules are not good TOML: {error}",
                file=name,
                line=int(found[1]) if found else None,
                hint="mend that line",
            ) from None
        self.lines: Mapping[KeyPath, int] = lines_of(plain)
        self.units = "mm"

    def house(self) -> House:
        self._known(self.data, _TOP, ())
        if self.data.get("seamwright-house") != 1:
            raise self._no(
                "house.version",
                "the file does not say seamwright-house = 1",
                ("seamwright-house",),
                "write it on the first line",
            )
        units = self.data.get("units", "mm")
        if units not in UNITS:
            raise self._no("house.value", f"{units!r} is no unit", ("units",), "mm, cm or in")
        self.units = units
        cloth = self.data.get("cloth")
        return House(
            files=(self.name,),
            tolerances={
                key: self._rule(self._length(value, ("tolerance", key)), "tolerance", key)
                for key, value in self._table("tolerance", _TOLERANCES).items()
            },
            names={
                key: self._rule(self._pattern(value, ("names", key)), "names", key)
                for key, value in self._table("names", _NAMES).items()
            },
            **self._sizes(),
            cloth=None if cloth is None else self._rule(self._text(cloth, ("cloth",)), "cloth"),
            cloths=tuple(self._cloths()),
            ease=tuple(self._ease(i, row) for i, row in self._rows("ease", _EASE)),
            notches=tuple(self._notches(i, row) for i, row in self._rows("notches", _NOTCHES)),
        )

    def _sizes(self) -> dict[str, Rule]:
        out = {}
        for key, value in self._table("sizes", _SIZES).items():
            place = ("sizes", key)
            sizes = self._text(value, place) if key == "base" else self._texts(value, place)
            out[key] = self._rule(sizes, *place)
        return out

    def _cloths(self) -> Iterable[Rule]:
        rows = self.data.get("cloth-table", [])
        if not isinstance(rows, list):
            raise self._no("house.value", "write [[cloth-table]]", ("cloth-table",))
        for i, row in enumerate(rows):
            text = tomli_w.dumps({"cloth": [row]})
            read_cloths(text, name=self.name)
            yield self._rule(text, "cloth-table", i)

    def _ease(self, i: int, row: Mapping[str, Any]) -> EaseRule:
        place: KeyPath = ("ease", i)
        for key in ("seam", "at-least", "at-most"):
            if key not in row:
                raise self._no("house.value", f'the rule lacks "{key}"', place)
        cap = row.get("cap", "")
        if cap not in ("", "front", "back"):
            raise self._no("house.value", f'cap is {cap!r}, not "front" or "back"', (*place, "cap"))
        low, high = (self._length(row[k], (*place, k), negative=True) for k in _EASE[3:])
        if low > high:
            raise self._no("house.value", "at-least is above at-most", place)
        seam = self._text(row["seam"], (*place, "seam"))
        return EaseRule(
            seam=seam,
            cap=cap,
            cloth=self._text(row.get("cloth", ""), (*place, "cloth")),
            at_least=low,
            at_most=high,
            stands=str(self._rule(None, *place, what=f'ease of "{seam}"')),
        )

    def _notches(self, i: int, row: Mapping[str, Any]) -> NotchRule:
        place: KeyPath = ("notches", i)
        if ("seam" in row) == ("piece" in row):
            raise self._no("house.value", 'the rule needs either "seam" or "piece"', place)
        count = row.get("at-least", 0)
        names = self._texts(row.get("names", []), (*place, "names"))
        if not isinstance(count, int) or isinstance(count, bool) or not 0 <= count <= 1000:
            raise self._no("house.value", f"at-least is {count!r}, no count", (*place, "at-least"))
        if not count and not names:
            raise self._no("house.value", 'the rule needs "at-least" or "names"', place)
        if names and "seam" in row:
            raise self._no("house.value", '"names" goes with "piece"', (*place, "names"))
        seam = self._text(row.get("seam", ""), (*place, "seam"))
        piece = self._text(row.get("piece", ""), (*place, "piece"))
        return NotchRule(
            seam=seam,
            piece=piece,
            at_least=count,
            names=names,
            stands=str(self._rule(None, *place, what=f'notches of "{seam or piece}"')),
        )

    # -- what every entry is checked for --------------------------------------------------

    def _rule(self, value: Any, *place: str | int, what: str = "") -> Rule:
        return Rule(
            value=value,
            file=self.name,
            line=self._line(place),
            what=what or " ".join(str(p) for p in place),
        )

    def _line(self, place: KeyPath) -> int:
        for end in range(len(place), 0, -1):
            if place[:end] in self.lines:
                return self.lines[place[:end]]
        return 0

    def _table(self, key: str, valid: tuple[str, ...]) -> dict[str, Any]:
        table = self.data.get(key, {})
        if not isinstance(table, dict):
            raise self._no("house.value", f'"{key}" is not a table', (key,), f"write [{key}]")
        self._known(table, valid, (key,))
        return table

    def _rows(self, key: str, valid: tuple[str, ...]) -> Iterable[tuple[int, dict[str, Any]]]:
        rows = self.data.get(key, [])
        if not isinstance(rows, list) or not all(isinstance(r, dict) for r in rows):
            raise self._no("house.value", f'"{key}" is not a list', (key,), f"write [[{key}]]")
        for i, row in enumerate(rows):
            self._known(row, valid, (key, i))
        return list(enumerate(rows))

    def _known(self, table: Mapping[str, Any], valid: tuple[str, ...], place: KeyPath) -> None:
        for key in table:
            if key not in valid:
                raise self._no(
                    "house.key", f'"{key}" is no key here', (*place, key), did_you_mean(key, valid)
                )

    def _text(self, value: Any, place: KeyPath) -> str:
        if not isinstance(value, str):
            raise self._no("house.value", f'"{place[-1]}" is not a text', place)
        return value

    def _texts(self, value: Any, place: KeyPath) -> tuple[str, ...]:
        if not isinstance(value, list) or not all(isinstance(v, str) for v in value):
            raise self._no("house.value", f'"{place[-1]}" is not a list of texts', place)
        return tuple(value)

    def _length(self, value: Any, place: KeyPath, *, negative: bool = False) -> float:
        try:
            mm = parse_length(str(value), default=self.units)
        except ValueError as error:
            raise self._no("house.value", str(error), place) from None
        if isinstance(value, bool) or (mm < 0 and not negative):
            raise self._no("house.value", f"{value!r} is no length here", place)
        return mm

    def _pattern(self, value: Any, place: KeyPath) -> str:
        text = self._text(value, place)
        try:
            if len(text) > _LONGEST:
                raise ValueError(f"it is longer than {_LONGEST} characters")
            re.compile(text)
        except (re.error, ValueError, RecursionError) as error:
            raise self._no(
                "house.value",
                f'"{place[-1]}" is no regular expression that can be used: {error}',
                place,
                'write one for the whole name: "[A-Z]{2}-[0-9]{4}"',
            ) from None
        return text

    def _no(
        self, code: str, message: str, place: KeyPath, hint: str | None = None
    ) -> SeamwrightError:
        lines = getattr(self, "lines", {})
        line = next(
            (lines[place[:n]] for n in range(len(place), 0, -1) if place[:n] in lines), None
        )
        return SeamwrightError.of(
            code,
            f"house rules: {message}",
            file=self.name,
            line=line,
            hint=hint or "see: seamwright help house",
        )
