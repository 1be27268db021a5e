"""The public Python names, from their docstrings and signatures."""

from __future__ import annotations

import inspect
from collections.abc import Iterator
from importlib import import_module
from importlib.util import find_spec
from pathlib import Path
from typing import Any, Final

PYTHON_ROOMS: Final = (
    "seamwright",
    "seamwright.model",
    "seamwright.model.edit",
    "seamwright.geometry",
    "seamwright.plan",
    "seamwright.pipeline",
    "seamwright.plugins.api",
    "seamwright.findings",
    "seamwright.units",
    "seamwright.testing",
)
"""Rooms whose `__all__` (or, without one, names without a leading underscore) are public."""


def room_help(room: str) -> str:
    """The first line of a room's docstring, without importing the room."""
    spec = find_spec(room)
    if spec is None or spec.origin is None:
        return ""
    code = compile(Path(spec.origin).read_text(encoding="utf-8"), room, "exec", dont_inherit=True)
    text = code.co_consts[0] if code.co_consts and isinstance(code.co_consts[0], str) else ""
    return " ".join(text.strip().split("\n\n")[0].split())


def room_text(room: str) -> str:
    """A room's public names as Markdown: signature and docstring of each."""
    module = import_module(room)
    out = [f"# {room}", "", inspect.cleandoc(module.__doc__ or "")]
    for name in public_names(module):
        out += ["", *_entry(name, getattr(module, name))]
    return "\n".join(out) + "\n"


def public_names(module: Any) -> list[str]:
    """In the order in which the module lists them."""
    listed = getattr(module, "__all__", None)
    if listed is not None:
        return [str(n) for n in listed]
    return [
        n
        for n, value in vars(module).items()
        if not n.startswith("_") and getattr(value, "__module__", None) == module.__name__
    ]


def _entry(name: str, value: Any) -> Iterator[str]:
    if inspect.isclass(value):
        yield f"## class {name}"
        yield from _doc(value)
        for own, member in sorted(vars(value).items()):
            target = member.__func__ if isinstance(member, classmethod | staticmethod) else member
            if isinstance(member, property):
                target = member.fget
            if own.startswith("_") or not inspect.isfunction(target):
                continue
            sign = "" if isinstance(member, property) else _signature(target)
            yield from ["", f"### {name}.{own}{sign}"]
            yield from _doc(target)
    elif callable(value):
        yield f"## {name}{_signature(value)}"
        yield from _doc(value)
    else:
        yield f"## {name}"
        yield from ["", f"`{value!r}`"[:200] if not inspect.ismodule(value) else "A room."]


def _doc(value: Any) -> Iterator[str]:
    text = inspect.getdoc(value) if not inspect.isclass(value) else value.__doc__
    if text:
        # Docstrings are set in columns: kept as they stand.
        yield from ["", "```text", inspect.cleandoc(text), "```"]


def _signature(value: Any) -> str:
    try:
        return str(inspect.signature(value)).replace("'", "")
    except (TypeError, ValueError):
        return "()"
