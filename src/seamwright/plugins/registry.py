"""What is installed: every plugin with what became of it, and every format, step and report.

A registry is a value that is passed down. `default()` makes one at first use, from the entry
points of the group "seamwright.plugins"; tests make their own with `Registry(of=[...])`.
SEAMWRIGHT_PLUGINS=a,b loads those only (empty: none); SEAMWRIGHT_DEBUG=1 raises what a plugin
raises while it is loaded.
"""

from __future__ import annotations

import os
from collections.abc import Iterable
from dataclasses import replace
from functools import cache
from importlib.metadata import EntryPoint, entry_points
from typing import Any, Final

from seamwright.findings import Finding, Severity, did_you_mean

from .descriptors import Format, Report, Step
from .loading import PluginRow, Thing, load
from .names import Entry, Shelf

GROUP: Final = "seamwright.plugins"
_OURS: Final = "seamwright"


class Registry:
    """Formats, steps and reports by name, and a row for every plugin that was found.

    of  plugin modules (or anything with the hooks and `API`), or pairs (name, module); they count
        as strangers unless `bundled`
    """

    def __init__(self, of: Iterable[Any] = (), *, bundled: bool = False) -> None:
        rows: list[tuple[PluginRow, tuple[Thing, ...]]] = []
        for one in of:
            name, module = one if isinstance(one, tuple) else (_name_of(one), one)
            row = PluginRow(name=name, module=_module_name(module), bundled=bundled)
            rows.append(load(row, lambda module=module: module))  # type: ignore[misc]
        self._fill(rows, [])

    @classmethod
    def discover(cls, *, only: Iterable[str] | None = None) -> Registry:
        """The registry of everything that is installed.

        only  names of plugins to load; None takes SEAMWRIGHT_PLUGINS, and all where that is unset
        """
        points = sorted(entry_points(group=GROUP), key=_order)
        wanted = _wanted() if only is None else list(only)
        found: list[tuple[PluginRow, tuple[Thing, ...]]] = []
        notes: list[Finding] = []
        for point in points:
            row = _row(point)
            if wanted is not None and point.name not in wanted:
                found.append((replace(row, status="blocked", reason="not asked for"), ()))
            else:
                found.append(load(row, point.load))
        for name in wanted or ():
            if name not in {p.name for p in points}:
                notes.append(_not_installed(name, [p.name for p in points]))
        registry = cls()
        registry._fill(found, notes)
        return registry

    def _fill(self, found: list[tuple[PluginRow, tuple[Thing, ...]]], notes: list[Finding]) -> None:
        rows: list[PluginRow] = []
        shelves: dict[type[Any], list[Entry[Any]]] = {Format: [], Step: [], Report: []}
        taken: dict[str, PluginRow] = {}
        for row, things in found:
            if row.status == "loaded" and row.name in taken:
                reason = f'the name "{row.name}" is taken by {taken[row.name].origin}'
                row = replace(
                    row, status="refused", reason=reason, formats=(), steps=(), reports=()
                )
            elif row.status == "loaded":
                taken[row.name] = row
                for thing in things:
                    kind = next(k for k in shelves if isinstance(thing, k))
                    shelves[kind].append(Entry(thing.name, thing, row))
            rows.append(row)
        self.rows = tuple(rows)
        self.formats: Shelf[Format] = Shelf("format", shelves[Format], self._trouble)
        self.steps: Shelf[Step[Any]] = Shelf("step", shelves[Step], self._trouble)
        self.reports: Shelf[Report[Any]] = Shelf("report", shelves[Report], self._trouble)
        self.findings = (
            *notes,
            *(_lost(row) for row in rows if row.status in ("refused", "broken")),
            *self.formats.clashes(),
            *self.steps.clashes(),
            *self.reports.clashes(),
        )

    @property
    def previews(self) -> frozenset[str]:
        """Codes in preview: reported, without effect on the exit status."""
        declared = (
            code
            for shelf in (self.formats, self.steps)
            for entry in shelf
            for code in entry.thing.codes
        )
        return frozenset(code.code for code in declared if code.preview)

    @property
    def versions(self) -> dict[str, str]:
        """Distribution -> version of every plugin that was loaded."""
        return {
            row.distribution: row.version
            for row in self.rows
            if row.status == "loaded" and row.distribution
        }

    def _trouble(self, name: str) -> str:
        """Which plugins could not be loaded, those first whose name is like the one wanted."""
        first = name.split("/")[0]
        lost = [r for r in self.rows if r.status != "loaded"]
        lost.sort(key=lambda r: r.name != first and r.name.replace("_", "-") != first)
        if not lost:
            return ""
        told = ", ".join(f"{r.name} ({r.status}: {r.reason})" for r in lost[:3])
        more = f" and {len(lost) - 3} more" if len(lost) > 3 else ""
        return f"not loaded: {told}{more}"


@cache
def default() -> Registry:
    """The registry of what is installed, made at first use."""
    return Registry.discover()


def _row(point: EntryPoint) -> PluginRow:
    dist = point.dist
    name = dist.name if dist is not None else ""
    return PluginRow(
        name=point.name,
        module=point.value,
        distribution=name,
        version=dist.version if dist is not None else "",
        bundled=name == _OURS,
    )


def _order(point: EntryPoint) -> tuple[bool, str, str]:
    name = point.dist.name if point.dist is not None else ""
    return (name != _OURS, point.name, name)


def _wanted() -> list[str] | None:
    asked = os.environ.get("SEAMWRIGHT_PLUGINS")
    if asked is None:
        return None
    return [name.strip() for name in asked.split(",") if name.strip()]


def _name_of(module: Any) -> str:
    """ "seamwright_cap_ease.plugin" is called cap_ease."""
    return _module_name(module).split(".")[0].removeprefix("seamwright_")


def _module_name(module: Any) -> str:
    return str(getattr(module, "__name__", type(module).__name__))


def _not_installed(name: str, names: list[str]) -> Finding:
    return Finding(
        code="plugin.unknown",
        severity=Severity.WARNING,
        message=f'SEAMWRIGHT_PLUGINS names "{name}", which is not installed',
        hint=did_you_mean(name, names),
    )


def _lost(row: PluginRow) -> Finding:
    fault = "could not be loaded" if row.status == "broken" else "was not taken in"
    return Finding(
        code=f"plugin.{row.status}",
        severity=Severity.WARNING,
        message=f'the plugin "{row.name}" of {row.origin} {fault}: {row.reason}',
        hint="`seamwright plugins` shows the traceback; everything else works without it"
        if row.status == "broken"
        else "everything else works without it; ask for a version made for this one",
        plugin=row.name,
    )
