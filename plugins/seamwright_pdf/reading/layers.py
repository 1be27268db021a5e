"""Optional content: which layers a thing is drawn on (ISO 32000-1, 8.11)."""

from __future__ import annotations

from typing import Any, Final

_DEPTH: Final = 8


class Layers:
    """The layers of a document. off: names of those that are off when it is opened."""

    def __init__(self, root: Any) -> None:
        self._names: dict[tuple[int, int], str] = {}
        self.off: list[str] = []
        self.names: list[str] = []
        properties = root.get("/OCProperties")
        if not _is_dict(properties):
            return
        groups = _listed(properties.get("/OCGs"))
        for group in groups:
            if _is_dict(group):
                name = str(group.get("/Name", ""))
                self._names[group.objgen] = name
                self.names.append(name)
        default = properties.get("/D")
        if not _is_dict(default):
            return
        base_off = str(default.get("/BaseState", "/ON")) == "/OFF"
        on = {g.objgen for g in _listed(default.get("/ON")) if _is_dict(g)}
        off = {g.objgen for g in _listed(default.get("/OFF")) if _is_dict(g)}
        for group in groups:
            if _is_dict(group):
                hidden = group.objgen in off or (base_off and group.objgen not in on)
                if hidden:
                    self.off.append(str(group.get("/Name", "")))

    def of(self, content: Any) -> tuple[str, ...]:
        """The names of the layers that an optional content group or membership dictionary stands
        for, outermost first."""
        return tuple(self._of(content, 0))

    def _of(self, content: Any, depth: int) -> list[str]:
        if not _is_dict(content) or depth > _DEPTH:
            return []
        if str(content.get("/Type", "")) == "/OCMD":
            groups = content.get("/OCGs")
            many = [groups] if _is_dict(groups) else _listed(groups)
            # A thing that several layers show belongs to the first; the others repeat it.
            for group in many:
                found = self._of(group, depth + 1)
                if found:
                    return found
            return self._first(content.get("/VE"), depth + 1)
        name = self._names.get(content.objgen)
        if name is None:
            name = str(content.get("/Name", ""))
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
