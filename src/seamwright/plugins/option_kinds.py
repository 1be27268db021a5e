"""What kind of value each option takes, read once from the annotations of an options class.

Everything that needs to know (the builder, the flags of the command line, the pages, the JSON
Schema) reads it here, so an option is described in one place only: its own.
"""

from __future__ import annotations

import types
import typing
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Annotated, Any, Final, Literal, get_args, get_origin
from weakref import WeakKeyDictionary

import msgspec

from .options import Angle, Length

KindName = Literal[
    "length", "angle", "number", "count", "text", "flag", "choice", "list", "tuple", "table",
    "options", "any of", "nothing", "anything",
]  # fmt: skip


@dataclass(frozen=True, slots=True)
class Kind:
    """One kind of value.

    choices  the words of a "choice"
    items    what is inside: one kind for a list or a table, one each for a tuple, the
             alternatives of "any of"
    options  the class of "options" (a table of its own with named keys)
    at_least, at_most   bounds, in mm or degrees or plain
    """

    name: KindName
    choices: tuple[Any, ...] = ()
    items: tuple[Kind, ...] = ()
    options: type[Any] | None = None
    at_least: float | None = None
    at_most: float | None = None
    as_tuple: bool = False


@dataclass(frozen=True, slots=True)
class Field:
    """One option: `name` as written outside Python (dashes), `attribute` inside."""

    name: str
    attribute: str
    kind: Kind
    help: str = ""
    required: bool = False
    default: Any = field(default=None, compare=False)


_PLAIN: Final[Mapping[Any, KindName]] = {
    Length: "length",
    Angle: "angle",
    float: "number",
    int: "count",
    str: "text",
    bool: "flag",
    type(None): "nothing",
    Any: "anything",
}


def fields_of(cls: type[Any]) -> tuple[Field, ...]:
    """The options of a class, in the order in which it declares them.

    Raises TypeError for an annotation that no option can have.
    """
    if cls not in _read:
        _read[cls] = _fields_of(cls)
    return _read[cls]


def _fields_of(cls: type[Any]) -> tuple[Field, ...]:
    hints = typing.get_type_hints(cls, include_extras=True)
    out = []
    for info in msgspec.structs.fields(cls):
        meta = _meta_of(hints[info.name])
        out.append(
            Field(
                name=info.encode_name,
                attribute=info.name,
                kind=kind_of(hints[info.name]),
                help=meta.description or "" if meta else "",
                required=info.required,
                default=_default(info),
            )
        )
    return tuple(out)


_read: Final[WeakKeyDictionary[type[Any], tuple[Field, ...]]] = WeakKeyDictionary()


def kind_of(annotation: Any) -> Kind:
    """The kind that an annotation stands for."""
    if get_origin(annotation) is Annotated:
        inner, *metas = get_args(annotation)
        kind = kind_of(inner)
        for meta in metas:
            if isinstance(meta, msgspec.Meta):
                kind = _bounded(kind, meta)
        return kind
    if annotation in _PLAIN:
        return Kind(_PLAIN[annotation])
    origin, args = get_origin(annotation), get_args(annotation)
    if origin is Literal:
        return Kind("choice", choices=args)
    if origin in (typing.Union, types.UnionType):
        return Kind("any of", items=tuple(kind_of(a) for a in args))
    if origin is tuple and len(args) == 2 and args[1] is Ellipsis:
        return Kind("list", items=(kind_of(args[0]),), as_tuple=True)
    if origin is tuple:
        return Kind("tuple", items=tuple(kind_of(a) for a in args))
    if origin in (list, Sequence):
        return Kind("list", items=(kind_of(args[0]),), as_tuple=origin is Sequence)
    if origin in (dict, Mapping) and args[0] is str:
        return Kind("table", items=(kind_of(args[1]),))
    if isinstance(annotation, type) and issubclass(annotation, msgspec.Struct):
        return Kind("options", options=annotation)
    raise TypeError(f"{annotation!r} is not a type that an option can have")


def _bounded(kind: Kind, meta: msgspec.Meta) -> Kind:
    extra = meta.extra or {}
    low = extra.get("at_least", meta.ge)
    high = extra.get("at_most", meta.le)
    if low is None and high is None:
        return kind
    return _with_bounds(kind, low, high)


def _with_bounds(kind: Kind, low: float | None, high: float | None) -> Kind:
    """Bounds given outside a list, a table or a choice hold for the numbers inside."""
    if kind.name in ("length", "angle", "number", "count"):
        return replace(
            kind,
            at_least=low if kind.at_least is None else kind.at_least,
            at_most=high if kind.at_most is None else kind.at_most,
        )
    return replace(kind, items=tuple(_with_bounds(item, low, high) for item in kind.items))


def _meta_of(annotation: Any) -> msgspec.Meta | None:
    if get_origin(annotation) is Annotated:
        for meta in get_args(annotation)[1:]:
            if isinstance(meta, msgspec.Meta) and meta.description:
                return meta
    return None


def _default(info: Any) -> Any:
    if info.default is not msgspec.NODEFAULT:
        return info.default
    if info.default_factory is not msgspec.NODEFAULT:
        return info.default_factory()
    return None
