"""One step of a pipeline as it is written: a name, options, and what it is to act on."""

from __future__ import annotations

import numbers
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from os import PathLike
from typing import Any

from seamwright.plugins.building import from_python, plain_value


@dataclass(frozen=True, slots=True, kw_only=True)
class Except:
    """What a step leaves alone: pieces and sizes by name."""

    pieces: tuple[str, ...] = ()
    sizes: tuple[str, ...] = ()


@dataclass(frozen=True, init=False, slots=True)
class Use:
    """A step to be used.

    name     of the step ("ease-cap", "cap_ease/ease-cap"), or "write" or "report"
    options  by their names outside Python (dashes), as TOML could hold them
    pieces, sizes, leave   the selection; None: all. What is not selected passes untouched
    note     a remark of the author, kept
    """

    name: str
    options: Mapping[str, Any] = field(default_factory=dict)
    pieces: tuple[str, ...] | None = None
    sizes: tuple[str, ...] | None = None
    leave: Except | None = None
    note: str = ""

    def __init__(
        self,
        name: str,
        options: Any = None,
        /,
        *,
        pieces: Iterable[str] | None = None,
        sizes: Iterable[str] | None = None,
        except_: Except | Mapping[str, Iterable[str]] | None = None,
        note: str = "",
        **keywords: Any,
    ) -> None:
        """`options` is an instance of the step's options class, or a mapping by names with
        dashes; keywords are the same by their Python names (from_shoulder=...). An option that is
        None counts as not given."""
        given = dict(plain_value(options)) if options is not None else {}
        given.update(from_python(keywords))
        put = object.__setattr__
        put(self, "name", name)
        put(self, "options", {k: _toml(v) for k, v in given.items() if v is not None})
        put(self, "pieces", _names(pieces))
        put(self, "sizes", _names(sizes))
        put(self, "leave", _except(except_))
        put(self, "note", note)

    def to_toml(self) -> dict[str, Any]:
        """The step as a table of a TOML file."""
        table: dict[str, Any] = {"use": self.name}
        if self.note:
            table["note"] = self.note
        if self.pieces is not None:
            table["pieces"] = list(self.pieces)
        if self.sizes is not None:
            table["sizes"] = list(self.sizes)
        if self.leave is not None:
            table["except"] = {
                k: list(v)
                for k, v in (("pieces", self.leave.pieces), ("sizes", self.leave.sizes))
                if v
            }
        table.update(self.options)
        return table


def _names(names: Iterable[str] | None) -> tuple[str, ...] | None:
    if names is None:
        return None
    return (names,) if isinstance(names, str) else tuple(names)


def _except(leave: Except | Mapping[str, Iterable[str]] | None) -> Except | None:
    if leave is None or isinstance(leave, Except):
        return leave
    return Except(
        pieces=_names(leave.get("pieces", ())) or (), sizes=_names(leave.get("sizes", ())) or ()
    )


def _toml(value: Any) -> Any:
    """A value as a TOML file can hold it."""
    plain = plain_value(value)
    if isinstance(plain, Mapping):
        return {str(key): _toml(one) for key, one in plain.items() if one is not None}
    if isinstance(plain, list | tuple | set | frozenset):
        return [_toml(one) for one in plain]
    if isinstance(plain, PathLike):
        return str(plain)
    if isinstance(plain, bool | str | int):
        return plain
    if isinstance(plain, numbers.Integral):
        return int(plain)
    if isinstance(plain, numbers.Real):
        return float(plain)
    raise TypeError(f"{value!r} is not a value that an option can have")
