"""Optional content: which layers a thing is drawn on (ISO 32000-1, 8.11)."""

from __future__ import annotations

from typing import Any, Final

from .objects import entry, identity

_DEPTH: Final = 8


class Layers:
    """The layers of a document. off: names of those that are off when it is opened."""

    def __init__(self, root: Any) -> None:
        self._names: dict[tuple[int, int], str] = {}
        self.off: list[str] = []
        self.names: list[str] = []
        properties = entry(root, "/OCProperties")
        if not _is_dict(properties):
            return
        groups = _listed(entry(properties, "/OCGs"))
        for group in groups:
            if _is_dict(group):
                name = str(entry(group, "/Name", ""))
                self._names[identity(group)] = name
                self.names.append(name)
        default = entry(properties, "/D")
        if not _is_dict(default):
            return
        base_off = str(entry(default, "/BaseState", "/ON")) == "/OFF"
        on = {identity(g) for g in _listed(entry(default, "/ON")) if _is_dict(g)}
        off = {identity(g) for g in _listed(entry(default, "/OFF")) if _is_dict(g)}
        for group in groups:
            if _is_dict(group):
                hidden = identity(group) in off or (base_off and identity(group) not in on)
                if hidden:
                    self.off.append(str(entry(group, "/Name", "")))

    def of(self, content: Any) -> tuple[str, ...]:
        """The names of the layers that an optional content group or membership dictionary stands
        for, outermost first."""
        return tuple(self._of(content, 0))

    def _of(self, content: Any, depth: int) -> list[str]:
        if not _is_dict(content) or depth > _DEPTH:
            return []
        if str(entry(content, "/Type", "")) == "/OCMD":
            groups = entry(content, "/OCGs")
            many = [groups] if _is_dict(groups) else _listed(groups)
            # A thing that several layers show belongs to the first; the others repeat it.
            for group in many:
                found = self._of(group, depth + 1)
                if found:
                    return found
            return self._first(entry(content, "/VE"), depth + 1)
        name = self._names.get(identity(content))
        if name is None:
            name = str(entry(content, "/Name", ""))
        return [name] if name else []

    def _first(self, expression: Any, depth: int) -> list[str]:
        if depth > _DEPTH:
            return []
        for part in _listed(expression):
            found = self._of(part, depth + 1) if _is_dict(part) else self._first(part, depth + 1)
            if found:
                return found
        return []


def _is_dict(thing: Any) -> bool:
    import pikepdf  # noqa: PLC0415 - heavy

    return isinstance(thing, pikepdf.Dictionary | pikepdf.Stream)


def _listed(thing: Any) -> list[Any]:
    import pikepdf  # noqa: PLC0415 - heavy

    return list(thing) if isinstance(thing, pikepdf.Array) else []
