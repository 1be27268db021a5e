"""One value of an option: from TOML, a flag or Python to what the options class holds."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import isfinite
from typing import Any

from seamwright.findings import did_you_mean
from seamwright.units import format_length, parse_angle, parse_length

from .option_kinds import Kind, fields_of
from .options import Angle, Length

_YES = ("yes", "true", "on", "1")
_NO = ("no", "false", "off", "0")
# Of several kinds the narrowest is tried first: any text is a text, only "tuck" is a "tuck".
_ORDER = (
    "nothing", "choice", "flag", "count", "number", "angle", "length", "tuple", "list", "options",
    "table", "text", "anything",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Reading:
    """How values are read: bare numbers count in `units`; `words` means that all come as text
    (from the command line), so numbers, lists and tables are read out of it; `rough` that bounds
    in inches are told as the nearest 1/16 alone."""

    units: str = "mm"
    words: bool = False
    rough: bool = False


class BadValue(Exception):
    """A value that an option cannot take. path: keys from the option down to it."""

    def __init__(self, sentence: str, hint: str = "", *, code: str = "option.value") -> None:
        super().__init__(sentence)
        self.sentence = sentence
        self.hint = hint
        self.code = code
        self.path: tuple[str | int, ...] = ()

    def under(self, key: str | int) -> BadValue:
        """The same, seen from one level up."""
        self.path = (key, *self.path)
        return self


def value_of(kind: Kind, value: Any, reading: Reading) -> Any:
    """`value` as the kind wants it. Raises BadValue."""
    match kind.name:
        case "length":
            return _length(kind, value, reading)
        case "angle":
            return _angle(kind, value)
        case "number" | "count":
            return _number(kind, value, reading)
        case "text":
            if not isinstance(value, str):
                raise _wrong(kind, value, reading)
            return value
        case "flag":
            return _flag(kind, value, reading)
        case "choice":
            return _choice(kind, value)
        case "list" | "tuple":
            return _several(kind, value, reading)
        case "table" | "options":
            return _table(kind, value, reading)
        case "any of":
            return _any_of(kind, value, reading)
        case "nothing":
            if value is not None:
                raise _wrong(kind, value, reading)
            return None
    return value


def in_words(kind: Kind, reading: Reading) -> str:
    """What the kind expects, for messages and tables: "a length from 0 mm to 8 mm"."""
    match kind.name:
        case "length" | "angle" | "number" | "count":
            noun = {"count": "a whole number"}.get(kind.name, f"a {kind.name}")
            return noun.replace("a a", "an a") + _bounds(kind, reading)
        case "text":
            return "a text"
        case "flag":
            return "yes or no" if reading.words else "true or false"
        case "choice":
            return " or ".join(f'"{c}"' for c in kind.choices)
        case "list":
            return "a list, each " + in_words(kind.items[0], reading)
        case "tuple":
            return "[" + ", ".join(in_words(i, reading) for i in kind.items) + "]"
        case "table":
            return "a table, each " + in_words(kind.items[0], reading)
        case "options":
            names = ", ".join(f.name for f in fields_of(kind.options)) if kind.options else ""
            return f"a table with {names}"
        case "any of":
            inner = [in_words(i, reading) for i in kind.items if i.name != "nothing"]
            return ", or ".join(inner)
        case "nothing":
            return "nothing"
    return "a value"


def _length(kind: Kind, value: Any, reading: Reading) -> Length:
    if isinstance(value, Length):
        mm = float(value)
        if not isfinite(mm):
            raise _wrong(kind, value, reading)
    else:
        text = _number_text(kind, value, reading)
        try:
            mm = parse_length(text, default=reading.units)
        except ValueError as error:
            raise BadValue(
                f"is no length: {error}", f"give it {in_words(kind, reading)}, such as 5/8 in"
            ) from None
    _within(kind, mm, reading)
    return Length(mm)


def _angle(kind: Kind, value: Any) -> Angle:
    reading = Reading()
    try:
        degrees = parse_angle(_number_text(kind, value, reading))
    except ValueError as error:
        raise BadValue(f"is no angle: {error}", "give it in degrees, such as 15") from None
    _within(kind, degrees, reading)
    return Angle(degrees)


def _number_text(kind: Kind, value: Any, reading: Reading) -> str:
    if isinstance(value, str):
        return value
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise _wrong(kind, value, reading)
    # Through its shortest digits, so that 2.25 in TOML and "2.25" give the same float in mm.
    return repr(float(value))


def _number(kind: Kind, value: Any, reading: Reading) -> float:
    if isinstance(value, str) and reading.words:
        try:
            value = float(value.strip().replace(",", "."))
        except ValueError:
            raise _wrong(kind, value, reading) from None
    if isinstance(value, bool) or not isinstance(value, int | float) or not isfinite(value):
        raise _wrong(kind, value, reading)
    if kind.name == "count" and value != int(value):
        raise _wrong(kind, value, reading)
    number = int(value) if kind.name == "count" else float(value)
    _within(kind, number, reading)
    return number


def _flag(kind: Kind, value: Any, reading: Reading) -> bool:
    if isinstance(value, str) and reading.words and value.lower() in (*_YES, *_NO):
        return value.lower() in _YES
    if not isinstance(value, bool):
        raise _wrong(kind, value, reading)
    return value


def _choice(kind: Kind, value: Any) -> Any:
    for choice in kind.choices:
        if type(choice) is type(value) and choice == value:
            return choice
        if isinstance(value, str) and str(choice) == value:
            return choice
    raise BadValue(
        f"is {_shown(value)}, which is not among its choices",
        did_you_mean(str(value), [str(c) for c in kind.choices]),
    )


def _several(kind: Kind, value: Any, reading: Reading) -> list[Any] | tuple[Any, ...]:
    if isinstance(value, str) and reading.words:
        value = [part.strip() for part in value.split(";" if ";" in value else ",")]
    if isinstance(value, str) or not isinstance(value, list | tuple):
        hint = f"write it in brackets: [{_shown(value)}]" if isinstance(value, str) else ""
        raise _wrong(kind, value, reading, hint)
    if kind.name == "tuple" and len(value) != len(kind.items):
        raise BadValue(f"has {len(value)} values, {len(kind.items)} are needed")
    kinds = kind.items if kind.name == "tuple" else kind.items * len(value)
    out = []
    for i, (item, one) in enumerate(zip(kinds, value, strict=True)):
        try:
            out.append(value_of(item, one, reading))
        except BadValue as bad:
            raise bad.under(i) from None
    return tuple(out) if kind.name == "tuple" or kind.as_tuple else out


def _table(kind: Kind, value: Any, reading: Reading) -> Any:
    if kind.options is not None and isinstance(value, kind.options):
        value = {f.name: getattr(value, f.attribute) for f in fields_of(kind.options)}
    if isinstance(value, str) and reading.words:
        value = _pairs(value)
    if not isinstance(value, Mapping):
        raise _wrong(kind, value, reading)
    if kind.options is not None:
        from .building import struct_of  # noqa: PLC0415 - tables of options nest

        return struct_of(kind.options, value, reading)
    out = {}
    for key, one in value.items():
        if not isinstance(key, str):
            raise BadValue(f"has the key {key!r}; keys are texts")
        try:
            out[key] = value_of(kind.items[0], one, reading)
        except BadValue as bad:
            raise bad.under(key) from None
    return out


def _pairs(text: str) -> dict[str, str]:
    pairs = {}
    for part in text.split(";" if ";" in text else ","):
        key, equals, one = part.partition("=")
        if not equals:
            raise BadValue(f'is "{text}"', 'write it as "back=1/2 in; front=3/8 in"')
        pairs[key.strip()] = one.strip()
    return pairs


def _any_of(kind: Kind, value: Any, reading: Reading) -> Any:
    bad: list[BadValue] = []
    for item in sorted(kind.items, key=lambda k: _ORDER.index(k.name)):
        try:
            return value_of(item, value, reading)
        except BadValue as error:
            if item.name != "nothing":
                bad.append(error)
    # The alternative that came farthest says best what is wrong.
    near = [b for b in bad if b.path or b.code != "option.value"]
    if near or len(bad) == 1:
        raise (near or bad)[0]
    raise _wrong(kind, value, reading, next((b.hint for b in bad if b.hint), ""))


def _within(kind: Kind, value: float, reading: Reading) -> None:
    low, high = kind.at_least, kind.at_most
    if (low is not None and value < low) or (high is not None and value > high):
        raise BadValue(
            f"is {_amount(kind, value, reading)}",
            f"it must be {_bounds(kind, reading).strip()}",
            code="option.bounds",
        )


def _bounds(kind: Kind, reading: Reading) -> str:
    low, high = kind.at_least, kind.at_most
    if low is not None and high is not None:
        return f" from {_amount(kind, low, reading)} to {_amount(kind, high, reading)}"
    if low is not None:
        return f" of at least {_amount(kind, low, reading)}"
    if high is not None:
        return f" of at most {_amount(kind, high, reading)}"
    return ""


def _amount(kind: Kind, value: float, reading: Reading) -> str:
    if kind.name == "length":
        return format_length(value, reading.units, rough=reading.rough and reading.units == "in")
    return f"{value:g}" + (" degrees" if kind.name == "angle" else "")


def _wrong(kind: Kind, value: Any, reading: Reading, hint: str = "") -> BadValue:
    expected = in_words(kind, reading)
    return BadValue(f"is {_shown(value)}; expected {expected}", hint or f"give it {expected}")


def _shown(value: Any) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        return f'"{value[:60]}"'
    return repr(value)[:60] if value is not None else "nothing"
