"""A pipeline's TOML text taken apart: every key checked, every fault with its line."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Final

from seamwright.findings import Finding, SeamwrightError, did_you_mean
from seamwright.plugins.building import Where
from seamwright.plugins.toml_lines import lines_of
from seamwright.units import UNITS

from .use import Except, Use

VERSION: Final = 1
_TOP: Final = ("seamwright", "units", "plan", "note", "step")
_OWN: Final = ("use", "note", "pieces", "sizes", "except")
_AT_LINE: Final = re.compile(r"\s*\(at line (\d+), column (\d+)\)")


@dataclass(frozen=True, slots=True, kw_only=True)
class Parsed:
    """What a text says, and where each step stands in it."""

    units: str
    plan: str | None
    note: str
    uses: tuple[Use, ...]
    places: tuple[Where, ...]


def parse(text: str, name: str | None = None) -> Parsed:
    """The pipeline in a TOML text; `name` is the display name of its file. Raises SeamwrightError
    (pipeline.syntax, pipeline.version, pipeline.key, pipeline.value) with every fault."""
    data = _toml(text.removeprefix("\ufeff"), name)
    lines = lines_of(text)
    top = Where(what="", file=name, lines=lines)
    faults: list[Finding] = []
    for key in data:
        if key not in _TOP:
            hint = did_you_mean(key, _TOP)
            faults.append(top.finding("pipeline.key", f'there is no key "{key}"', (key,), hint))
    _version(data, top, faults)
    units = data.get("units", "mm")
    if units not in UNITS:
        hint = did_you_mean(str(units), UNITS)
        faults.append(
            top.finding("pipeline.value", f'units is "{units}", not a unit', ("units",), hint)
        )
    for key in ("plan", "note"):
        if not isinstance(data.get(key, ""), str):
            faults.append(top.finding("pipeline.value", f'"{key}" is not a text', (key,)))
    uses, places = [], []
    steps = data.get("step", [])
    if not isinstance(steps, list) or not all(isinstance(s, dict) for s in steps):
        hint = "write each step under a line [[step]]"
        faults.append(top.finding("pipeline.value", '"step" is not a list', ("step",), hint))
        steps = []
    elif not steps and not faults:
        hint = 'a step is a line [[step]] and under it use = "..."'
        faults.append(top.finding("pipeline.value", "there is no step", (), hint))
    for i, table in enumerate(steps):
        called = table.get("use")
        what = f"step {i + 1}" + (f" ({called})" if isinstance(called, str) else "")
        where = Where(what=what, file=name, lines=lines, prefix=("step", i))
        use = _use(table, where, faults)
        if use is not None:
            uses.append(use)
            places.append(where)
    if faults:
        raise SeamwrightError(faults[0], others=faults[1:])
    return Parsed(
        units=units,
        plan=data.get("plan"),
        note=data.get("note", ""),
        uses=tuple(uses),
        places=tuple(places),
    )


def _toml(text: str, name: str | None) -> dict[str, Any]:
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        found = _AT_LINE.search(str(error))
        line = int(found[1]) if found else text.count("\n") + 1
        raise SeamwrightError.of(
            "pipeline.syntax",
            f"not good TOML: {_AT_LINE.sub('', str(error))}",
            file=name,
            line=line,
            hint="a text stands in quotes, a table under [name], each key on a line of its own",
        ) from None
    except RecursionError:
        raise SeamwrightError.of(
            "pipeline.syntax",
            "the text is nested too deeply",
            file=name,
            hint="a pipeline needs three levels at most",
        ) from None


def _version(data: Mapping[str, Any], top: Where, faults: list[Finding]) -> None:
    said = data.get("seamwright")
    if said is None:
        hint = f"write seamwright = {VERSION} in the first line"
        faults.append(top.finding("pipeline.version", '"seamwright" is missing', (), hint))
    elif said != VERSION or isinstance(said, bool):
        faults.append(
            top.finding(
                "pipeline.version",
                f"made for version {said} of pipelines",
                ("seamwright",),
                f"this program knows version {VERSION}",
            )
        )


def _use(table: Mapping[str, Any], where: Where, faults: list[Finding]) -> Use | None:
    before = len(faults)
    name = table.get("use")
    if not isinstance(name, str):
        hint = 'write use = "walk", or another step; `seamwright plugins` lists them'
        faults.append(where.finding("pipeline.value", '"use" is missing', ("use",), hint))
    note = table.get("note", "")
    if not isinstance(note, str):
        faults.append(where.finding("pipeline.value", '"note" is not a text', ("note",)))
    pieces = _list(table, "pieces", (), where, faults)
    sizes = _list(table, "sizes", (), where, faults)
    leave = _except(table.get("except"), where, faults)
    if len(faults) > before or not isinstance(name, str):
        return None
    options = {key: value for key, value in table.items() if key not in _OWN}
    try:
        return Use(name, options, pieces=pieces, sizes=sizes, except_=leave, note=note)
    except TypeError as error:
        faults.append(where.finding("pipeline.value", str(error)))
        return None


def _list(
    table: Mapping[str, Any],
    key: str,
    path: tuple[str, ...],
    where: Where,
    faults: list[Finding],
) -> tuple[str, ...] | None:
    value = table.get(key)
    if value is None:
        return None
    if isinstance(value, list) and value and all(isinstance(one, str) for one in value):
        return tuple(value)
    shown = ".".join((*path, key))
    hint = f'write {key} = ["..."], with at least one name'
    if isinstance(value, str):
        hint = f'write {key} = ["{value}"]'
    elif isinstance(value, list) and value:
        hint = f"names stand in quotes: {key} = [" + ", ".join(f'"{v}"' for v in value) + "]"
    faults.append(
        where.finding("pipeline.value", f'"{shown}" is not a list of names', (*path, key), hint)
    )
    return None


def _except(value: Any, where: Where, faults: list[Finding]) -> Except | None:
    if value is None:
        return None
    if not isinstance(value, dict):
        hint = 'write except = { pieces = ["..."] } or except = { sizes = ["..."] }'
        faults.append(where.finding("pipeline.value", '"except" is not a table', ("except",), hint))
        return None
    for key in value:
        if key not in ("pieces", "sizes"):
            hint = did_you_mean(key, ("pieces", "sizes"))
            faults.append(
                where.finding(
                    "pipeline.key", f'there is no key "except.{key}"', ("except", key), hint
                )
            )
    return Except(
        pieces=_list(value, "pieces", ("except",), where, faults) or (),
        sizes=_list(value, "sizes", ("except",), where, faults) or (),
    )
