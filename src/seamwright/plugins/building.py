"""The one builder of options: TOML, flags and Python go through it alike.

Unknown keys are refused with the nearest valid name, and in a TOML text with the line; lengths
and angles are read with their units; bounds and relations are checked; all faults of one table
are told together.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any, TypeVar

from seamwright.findings import Finding, SeamwrightError, Severity, did_you_mean

from .option_kinds import Field, Kind, fields_of
from .options import Angle, Length, Options
from .toml_lines import KeyPath, line_at
from .values import BadValue, Reading, in_words, value_of

T = TypeVar("T")


@dataclass(frozen=True, slots=True, kw_only=True)
class Where:
    """Where a table of options stands.

    what   who is being told, for messages: "step 2 (ease-cap)"
    file   display name of the TOML file, if it came from one
    lines, prefix   of `toml_lines.lines_of`, and the key path of the table in it
    """

    what: str = ""
    file: str | None = None
    lines: Mapping[KeyPath, int] = field(default_factory=dict)
    prefix: KeyPath = ()

    def line(self, path: KeyPath) -> int | None:
        """The line of the key at `path` in this table."""
        return line_at(self.lines, (*self.prefix, *path))

    def finding(self, code: str, message: str, path: KeyPath = (), hint: str = "") -> Finding:
        """An error finding that points at the key at `path`."""
        return Finding(
            code=code,
            severity=Severity.ERROR,
            message=f"{self.what}: {message}" if self.what else message,
            file=self.file,
            line=self.line(path),
            hint=hint or None,
        )


def build(
    cls: type[T],
    mapping: Mapping[str, Any],
    *,
    where: str | Where = "",
    units: str = "mm",
    words: bool = False,
) -> T:
    """An instance of the options class `cls` from names as written outside Python (dashes).

    units  in which bare numbers count where a length is wanted ("mm", "cm", "in")
    words  True for the command line, where every value comes as text

    Raises SeamwrightError (codes option.unknown, option.missing, option.value, option.bounds,
    option.together) with every fault: the first as its finding, the rest as its `others`.
    """
    place = where if isinstance(where, Where) else Where(what=where)
    reading = Reading(units=units, words=words)
    faults: list[Finding] = []
    values = _values(cls, mapping, reading, place, faults)
    if not faults:
        built = cls(**values)
        for sentence in _together(built):
            faults.append(place.finding("option.together", sentence))
        if not faults:
            return built
    raise SeamwrightError(faults[0], others=faults[1:])


def revalidated(options: T, *, where: str | Where = "") -> T:
    """The same options built again: an instance that Python made directly was never checked."""
    return build(type(options), _encoded(options), where=where)


def as_mapping(options: Any) -> dict[str, Any]:
    """Options as plain JSON-able values, defaults included, from which `build` makes them again:
    lengths as text in mm, angles as text in degrees."""
    return {f.name: plain_value(getattr(options, f.attribute)) for f in fields_of(type(options))}


def from_python(keywords: Mapping[str, Any]) -> dict[str, Any]:
    """Keyword arguments as names outside Python: `largest_tuck` is "largest-tuck"."""
    return {name.rstrip("_").replace("_", "-"): value for name, value in keywords.items()}


def struct_of(cls: type[Any], mapping: Mapping[str, Any], reading: Reading) -> Any:
    """A nested table of options. Raises BadValue with the first fault."""
    fields = {f.name: f for f in fields_of(cls)}
    for name in mapping:
        if name not in fields:
            hint = did_you_mean(str(name), fields)
            raise BadValue("is no option", hint, code="option.unknown").under(name)
    values: dict[str, Any] = {}
    for name, option in fields.items():
        if name in mapping:
            try:
                values[option.attribute] = value_of(option.kind, mapping[name], reading)
            except BadValue as bad:
                raise bad.under(name) from None
        elif option.required:
            raise BadValue("is missing", code="option.missing").under(name)
    built = cls(**values)
    for sentence in _together(built):
        raise BadValue(f"cannot be taken: {sentence}", code="option.together")
    return built


def _values(
    cls: type[Any],
    mapping: Mapping[str, Any],
    reading: Reading,
    place: Where,
    faults: list[Finding],
) -> dict[str, Any]:
    fields = {f.name: f for f in fields_of(cls)}
    for name in mapping:
        if name not in fields:
            faults.append(
                place.finding(
                    "option.unknown",
                    f'there is no option "{name}"',
                    (name,),
                    did_you_mean(str(name), fields),
                )
            )
    values: dict[str, Any] = {}
    for name, option in fields.items():
        if name not in mapping or (reading.words and mapping[name] is None):
            if option.required:
                hint = f"give it {in_words(option.kind, reading)}"
                faults.append(place.finding("option.missing", f'"{name}" is missing', (), hint))
            continue
        try:
            values[option.attribute] = value_of(option.kind, mapping[name], reading)
        except BadValue as bad:
            faults.append(_fault(option, bad, place))
    return values


def _fault(option: Field, bad: BadValue, place: Where) -> Finding:
    path = (option.name, *bad.path)
    name = option.name + "".join(
        f", value {key + 1}" if isinstance(key, int) else f".{key}" for key in bad.path
    )
    return place.finding(bad.code, f'"{name}" {bad.sentence}', path, bad.hint)


def _together(built: Any) -> Iterable[str]:
    return built.check() if isinstance(built, Options) else ()


def _encoded(options: Any) -> dict[str, Any]:
    # Plain floats stand for mm in Python, and `units` is mm here, so they come out as they are.
    return {f.name: getattr(options, f.attribute) for f in fields_of(type(options))}


def plain_value(value: Any) -> Any:
    """A value of an option as JSON can hold it and `build` reads it back."""
    if isinstance(value, Length):
        return f"{float(value)!r} mm"
    if isinstance(value, Angle):
        return f"{float(value)!r} deg"
    if isinstance(value, Mapping):
        return {key: plain_value(one) for key, one in value.items()}
    if isinstance(value, list | tuple):
        return [plain_value(one) for one in value]
    if hasattr(type(value), "__struct_fields__"):
        return as_mapping(value)
    return value


__all__ = [
    "Field", "Kind", "Where", "as_mapping", "build", "fields_of", "from_python", "plain_value",
    "revalidated", "struct_of",
]  # fmt: skip
