"""Options told to people and machines: rows of help, a table in Markdown, a JSON Schema.

All three come from the options class, so no help is ever written twice.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from seamwright.units import format_length

from .building import plain_value
from .option_kinds import Field, Kind, fields_of
from .values import Reading, in_words


@dataclass(frozen=True, slots=True, kw_only=True)
class OptionRow:
    """One option as help shows it. default: "" where it is required or there is none."""

    name: str
    takes: str
    default: str
    help: str
    required: bool
    several: bool
    flag: bool


def option_rows(cls: type[Any], *, units: str = "mm") -> tuple[OptionRow, ...]:
    """The options of a class in order, lengths in the user's units."""
    reading = Reading(units=units, rough=True)
    return tuple(
        OptionRow(
            name=f.name,
            takes=in_words(f.kind, reading),
            default=_default(f, units),
            help=f.help,
            required=f.required,
            several=f.kind.name == "list",
            flag=_is_flag(f.kind),
        )
        for f in fields_of(cls)
    )


def option_table(cls: type[Any], *, units: str = "mm") -> str:
    """The options as a table in Markdown; a sentence where there are none."""
    rows = option_rows(cls, units=units)
    if not rows:
        return "There are no options.\n"
    out = ["| option | takes | default | what it does |", "|---|---|---|---|"]
    for row in rows:
        default = "(needed)" if row.required else row.default
        cells = (f"`{row.name}`", row.takes, default, row.help)
        out.append("| " + " | ".join(c.replace("|", "\\|") for c in cells) + " |")
    return "\n".join(out) + "\n"


def options_schema(cls: type[Any]) -> dict[str, Any]:
    """JSON Schema (draft 2020-12) of the options as TOML holds them."""
    fields = fields_of(cls)
    schema: dict[str, Any] = {
        "type": "object",
        "additionalProperties": False,
        "properties": {f.name: _described(f) for f in fields},
    }
    needed = [f.name for f in fields if f.required]
    if needed:
        schema["required"] = needed
    return schema


def _default(option: Field, units: str) -> str:
    if option.required or option.default is None:
        return ""
    return _shown(option.kind, option.default, units)


def _shown(kind: Kind, value: Any, units: str) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    if kind.name == "length" or (kind.name == "any of" and type(value).__name__ == "Length"):
        return format_length(value, units)
    if kind.name == "angle":
        return f"{value:g} deg"
    if isinstance(value, list | tuple):
        inner = kind.items[0] if kind.name == "list" else None
        return ", ".join(
            _shown(inner or kind.items[min(i, len(kind.items) - 1)], v, units)
            for i, v in enumerate(value)
        )
    if isinstance(value, dict):
        return ", ".join(f"{k} = {_shown(kind.items[0], v, units)}" for k, v in value.items())
    if isinstance(value, float):
        return f"{value:g}"
    return str(value)


def _is_flag(kind: Kind) -> bool:
    if kind.name == "any of":
        return {i.name for i in kind.items} == {"flag", "nothing"}
    return kind.name == "flag"


def _described(option: Field) -> dict[str, Any]:
    out = _schema_of(option.kind)
    if option.help:
        out["description"] = option.help
    if not option.required and option.default is not None:
        out["default"] = plain_value(option.default)
    return out


def _schema_of(kind: Kind) -> dict[str, Any]:
    match kind.name:
        case "length" | "angle":
            unit = "in the file's units" if kind.name == "length" else "in degrees"
            return {"type": ["string", "number"], "$comment": f"a bare number counts {unit}"}
        case "number" | "count":
            out: dict[str, Any] = {"type": "number" if kind.name == "number" else "integer"}
            if kind.at_least is not None:
                out["minimum"] = kind.at_least
            if kind.at_most is not None:
                out["maximum"] = kind.at_most
            return out
        case "text":
            return {"type": "string"}
        case "flag":
            return {"type": "boolean"}
        case "choice":
            return {"enum": list(kind.choices)}
        case "list":
            return {"type": "array", "items": _schema_of(kind.items[0])}
        case "tuple":
            n = len(kind.items)
            items = [_schema_of(i) for i in kind.items]
            return {"type": "array", "prefixItems": items, "minItems": n, "maxItems": n}
        case "table":
            return {"type": "object", "additionalProperties": _schema_of(kind.items[0])}
        case "options":
            return options_schema(kind.options) if kind.options else {}
        case "any of":
            real = [_schema_of(i) for i in kind.items if i.name != "nothing"]
            return real[0] if len(real) == 1 else {"anyOf": real}
    return {}
