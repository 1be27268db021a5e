"""Reading a seam plan from TOML: every key checked, every refusal with file, line and remedy."""

from __future__ import annotations

import math
import re
import tomllib
from collections.abc import Mapping
from typing import Any

from seamwright.findings import SeamwrightError, did_you_mean
from seamwright.model.seam import CapSide, Ease, Run, RunPart, Seam
from seamwright.units import UNITS, parse_length

from .entries import Entries, kind_of
from .grammar import parse_pair, parse_part
from .kinds import DEFAULT_TOLERANCE, PiecePlan, Place, SeamPlan
from .lines import key_lines

# "seen": where the marks lay when the plan was written; only a later version asks for it.
_TOP = ("seamwright", "units", "pieces", "seam", "seen", "same-as")
_PIECE = ("corners", "notches")
_SEAM = ("name", "sew", "to", "cap", "ease", "meet")
_EASE = ("at-least", "at-most")
_TOML_LINE = re.compile(r"\(at line (\d+), column (\d+)\)")


def load_plan(text: str | bytes, name: str | None = None) -> SeamPlan:
    """The plan that a TOML text states. `name` is the display name of its file.

    Raises SeamwrightError for text that is not TOML, unknown keys, wrong types, unreadable runs
    and lengths; each names the file, the line and what would be right. Names of pieces and marks
    are looked up later, by `apply_plan`.
    """
    return _Loader(name, _decoded(text, name)).plan()


def plan_from_mapping(data: Mapping[str, Any], name: str | None = None) -> SeamPlan:
    """The plan in a mapping with the keys of the TOML file (a plan carried inside another file)."""
    return _Loader(name, None, dict(data)).plan()


def _decoded(text: str | bytes, name: str | None) -> str:
    if isinstance(text, str):
        return text.removeprefix("\ufeff")
    try:
        return text.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise SeamwrightError.of(
            "plan.syntax",
            f"the plan is not UTF-8 text: byte {error.start} cannot be read",
            file=name,
            hint="save it as UTF-8",
        ) from None


class _Loader(Entries):
    def __init__(
        self, file: str | None, text: str | None, data: dict[str, Any] | None = None
    ) -> None:
        self.file = file
        self.lines: dict[Place, int] = {}
        if text is None:
            self.data: dict[str, Any] = data or {}
        else:
            self.data = self.parsed(text)
            self.lines = key_lines(text)
        self.units = "mm"

    def parsed(self, text: str) -> dict[str, Any]:
        try:
            return tomllib.loads(text)
        except tomllib.TOMLDecodeError as error:
            found = _TOML_LINE.search(str(error))
            line = int(found[1]) if found else max(1, text.count("\n") + 1)
            what = _TOML_LINE.sub("", str(error)).strip().rstrip(".")
            raise SeamwrightError.of(
                "plan.syntax",
                f"the plan is not good TOML: {what}"
                + (f" (column {found[2]})" if found else " (at the end of the file)"),
                file=self.file,
                line=line,
                hint='texts stand in quotes, lists in brackets: corners = ["hem", "underarm"]',
            ) from None
        except RecursionError:
            raise SeamwrightError.of(
                "plan.syntax", "the plan nests brackets too deeply to be read", file=self.file
            ) from None

    # -- the whole ------------------------------------------------------------------------

    def plan(self) -> SeamPlan:
        self.known(self.data, _TOP, (), "a plan")
        version = self.data.get("seamwright", 1)
        if version != 1 or isinstance(version, bool):
            raise self.refuse(
                "plan.version",
                f"the plan says seamwright = {version!r}; this program reads version 1",
                ("seamwright",),
                "write seamwright = 1, or read it with a newer program",
            )
        self.units = self.unit()
        pieces = self.table(self.data.get("pieces", {}), ("pieces",), "pieces")
        seams = self.data.get("seam", [])
        if not isinstance(seams, list):
            raise self.refuse(
                "plan.type", '"seam" is not a list of tables', ("seam",), "write [[seam]]"
            )
        return SeamPlan(
            pieces={name: self.piece(name, table) for name, table in pieces.items()},
            seams=self.seams(seams),
            file=self.file,
            lines=self.lines,
            same_as=self.other(bool(pieces or seams)),
        )

    def other(self, more: bool) -> str | None:
        """The plan beside this one that serves this style too: a plain file name."""
        name = self.data.get("same-as")
        if name is None:
            return None
        if not isinstance(name, str) or not name or re.search(r"[/\\\0]", name) or name[0] == ".":
            raise self.refuse(
                "plan.same-as",
                f'"same-as" is {name!r}, not the name of a plan beside this one',
                ("same-as",),
                'write same-as = "other-style.plan.toml"',
            )
        if more:
            raise self.refuse(
                "plan.same-as",
                'a plan with "same-as" has no pieces and seams of its own',
                ("same-as",),
                "take out one or the other",
            )
        return name

    def unit(self) -> str:
        units = self.data.get("units", "mm")
        if not isinstance(units, str) or units not in UNITS:
            raise self.refuse(
                "plan.units",
                f"the plan's units are {units!r}, which is no unit of length",
                ("units",),
                did_you_mean(str(units), UNITS),
            )
        return units

    def piece(self, name: str, value: Any) -> PiecePlan:
        place: Place = ("pieces", name)
        table = self.table(value, place, f"pieces.{name}")
        self.known(table, _PIECE, place, f'piece "{name}"')
        return PiecePlan(
            corners=self.names(table, "corners", place, name),
            notches=self.names(table, "notches", place, name),
        )

    def names(
        self, table: Mapping[str, Any], key: str, place: Place, piece: str
    ) -> tuple[str, ...] | None:
        if key not in table:
            return None
        names = self.texts(table[key], (*place, key), f'"{key}" of piece "{piece}"')
        for i, name in enumerate(names):
            if name and name in names[:i]:
                raise self.refuse(
                    "plan.twice",
                    f'two {key} of piece "{piece}" are called "{name}"',
                    (*place, key, i),
                    'give each its own name, or "" to leave its number',
                    piece=piece,
                )
        return names

    # -- seams ----------------------------------------------------------------------------

    def seams(self, tables: list[Any]) -> tuple[Seam, ...]:
        out: list[Seam] = []
        for i, value in enumerate(tables):
            seam = self.seam(i, value, [s.name for s in out])
            if any(seam.name == other.name for other in out):
                raise self.refuse(
                    "plan.twice",
                    f'two seams are called "{seam.name}"',
                    ("seam", i, "name"),
                    "give each its own name",
                    seam=seam.name,
                )
            out.append(seam)
        return tuple(out)

    def seam(self, i: int, value: Any, taken: list[str]) -> Seam:
        place: Place = ("seam", i)
        table = self.table(value, place, f"seam {i + 1}")
        self.known(table, _SEAM, place, f"seam {i + 1}")
        for key in ("sew", "to"):
            if key not in table:
                raise self.refuse(
                    "plan.key",
                    f'seam {i + 1} lacks "{key}"',
                    place,
                    f'write {key} = "Piece: mark > mark"',
                )
        sew, to = (self.run(table[key], (*place, key)) for key in ("sew", "to"))
        name = table.get("name", _free_name(sew, to, taken))
        if not isinstance(name, str) or not name:
            raise self.refuse(
                "plan.type", f"the name of seam {i + 1} is not a text", (*place, "name")
            )
        return Seam(
            name=name,
            sew=sew,
            to=to,
            ease=self.ease(table, place),
            meet=self.meet(table, place),
            cap=self.cap(table, place),
        )

    def run(self, value: Any, place: Place) -> Run:
        texts = (value,) if isinstance(value, str) else self.texts(value, place, f'"{place[-1]}"')
        if not texts:
            raise self.refuse("plan.run", f'"{place[-1]}" is an empty list', place, _RUN_HINT)
        parts: list[RunPart] = []
        for i, text in enumerate(texts):
            try:
                parts.append(parse_part(text))
            except ValueError as error:
                raise self.refuse("plan.run", _sentence(error), (*place, i), _RUN_HINT) from None
        return Run(parts=tuple(parts))

    def ease(self, table: Mapping[str, Any], place: Place) -> Ease | None:
        if "ease" not in table:
            return None
        place = (*place, "ease")
        value = table["ease"]
        if not isinstance(value, dict):
            middle = self.length(value, place)
            return Ease(at_least=middle - DEFAULT_TOLERANCE, at_most=middle + DEFAULT_TOLERANCE)
        self.known(value, _EASE, place, "ease")
        for key in _EASE:
            if key not in value:
                raise self.refuse("plan.ease", f'the ease lacks "{key}"', place, _EASE_HINT)
        low, high = (self.length(value[key], (*place, key)) for key in _EASE)
        if low > high:
            raise self.refuse(
                "plan.ease",
                f"the ease is to be at least {value['at-least']} and at most {value['at-most']}",
                place,
                "the smaller length is at-least",
            )
        return Ease(at_least=low, at_most=high)

    def length(self, value: Any, place: Place) -> float:
        number = isinstance(value, int | float) and not isinstance(value, bool)
        if not number and not isinstance(value, str):
            raise self.refuse(
                "plan.ease", f'"{place[-1]}" is {kind_of(value)}, not a length', place, _EASE_HINT
            )
        try:
            mm = parse_length(_plain(value) if number else value, default=self.units)
        except (ValueError, OverflowError) as error:
            raise self.refuse("plan.ease", _sentence(error), place, _EASE_HINT) from None
        if not math.isfinite(mm):
            raise self.refuse("plan.ease", f'"{place[-1]}" is not a finite length', place)
        return mm

    def meet(self, table: Mapping[str, Any], place: Place) -> tuple[tuple[str, str], ...]:
        place = (*place, "meet")
        value = table.get("meet", [])
        texts = (value,) if isinstance(value, str) else self.texts(value, place, '"meet"')
        out = []
        for i, text in enumerate(texts):
            try:
                out.append(parse_pair(text))
            except ValueError as error:
                raise self.refuse(
                    "plan.meet",
                    _sentence(error),
                    (*place, i),
                    'write meet = ["notch of sew = notch of to"]',
                ) from None
        return tuple(out)

    def cap(self, table: Mapping[str, Any], place: Place) -> CapSide | None:
        value = table.get("cap")
        if value is None or value == "front" or value == "back":
            return value
        raise self.refuse(
            "plan.cap",
            f'"cap" is {value!r}; it says which half of a sleeve cap the seam is',
            (*place, "cap"),
            'write cap = "front" or cap = "back"',
        )


_RUN_HINT = 'write "Piece: mark > mark", or a list of such texts'
_EASE_HINT = 'write ease = { at-least = "3/8 in", at-most = "5/8 in" }, or ease = "1/2 in"'


def _free_name(sew: Run, to: Run, taken: list[str]) -> str:
    """A name for a seam without one: "Sleeve to Back"."""
    plain = f"{' and '.join(sew.pieces)} to {' and '.join(to.pieces)}"
    name, n = plain, 2
    while name in taken:
        name, n = f"{plain} ({n})", n + 1
    return name


def _plain(value: float) -> str:
    """A TOML number as a text without an exponent, digits kept."""
    return format(value, "f") if isinstance(value, int) else format(_decimal(value), "f")


def _decimal(value: float) -> Any:
    from decimal import Decimal  # noqa: PLC0415 - only bare numbers need it

    return Decimal(repr(value))


def _sentence(error: Exception) -> str:
    return str(error).removesuffix(".")
