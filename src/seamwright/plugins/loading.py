"""Loading one plugin, with whatever it does wrong kept inside a row that says so.

Plugins are loaded and asked one by one, each in its own try that catches SystemExit too: the
stock loader of pluggy stops at the first that raises, and a hook call loses all earlier answers.
"""

from __future__ import annotations

import os
import re
import time
import traceback
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Any, Final, Literal

import pluggy

from .descriptors import Format, Report, Step
from .hooks import API, PROJECT, Hooks
from .patience import TookTooLong, at_most, patience

Status = Literal["loaded", "refused", "broken", "blocked"]
Thing = Format | Step[Any] | Report[Any]

_NAME: Final = re.compile(r"[a-z0-9][a-z0-9-]*")
_ASKED: Final[tuple[tuple[str, type[Any]], ...]] = (
    ("seamwright_formats", Format),
    ("seamwright_steps", Step),
    ("seamwright_reports", Report),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class PluginRow:
    """What became of one plugin.

    name      the entry point's name, which is also the first half of full names
    module    what the entry point names
    bundled   True for the plugins that come with the core
    status    loaded; refused (made for another API, misspelt hook, name taken); broken (raised;
              `traceback` kept); blocked (left out by SEAMWRIGHT_PLUGINS)
    seconds   time that importing and asking took
    things    names of what it offers
    """

    name: str
    module: str = ""
    distribution: str = ""
    version: str = ""
    bundled: bool = False
    status: Status = "loaded"
    reason: str = ""
    traceback: str = ""
    seconds: float = 0.0
    formats: tuple[str, ...] = ()
    steps: tuple[str, ...] = ()
    reports: tuple[str, ...] = ()

    @property
    def origin(self) -> str:
        """Distribution and version, for messages: "seamwright 0.1.0"."""
        return f"{self.distribution} {self.version}".strip() or self.module


class Refused(Exception):
    """A plugin that cannot be taken in; the text says why."""


def debugging() -> bool:
    """Whether SEAMWRIGHT_DEBUG asks for errors to be raised as they are."""
    return os.environ.get("SEAMWRIGHT_DEBUG", "") not in ("", "0")


def load(row: PluginRow, source: Callable[[], Any]) -> tuple[PluginRow, tuple[Thing, ...]]:
    """The finished row of one plugin and what it offers. `source` imports its module."""
    start = time.perf_counter()
    things: tuple[Thing, ...] = ()
    try:
        with at_most(patience()):
            things = _ask(row.name, source())
        row = replace(row, **_names(things))
    except TookTooLong as error:
        things = ()
        row = replace(row, status="broken", reason=str(error), traceback=traceback.format_exc())
    except Refused as error:
        row = replace(row, status="refused", reason=str(error))
    except (Exception, SystemExit) as error:
        if debugging():
            if isinstance(error, SystemExit):  # which would end the program without a word
                raise RuntimeError(f"the plugin {row.name} asked to exit: {error}") from error
            raise
        row = replace(
            row,
            status="broken",
            reason=f"{type(error).__name__}: {error}",
            traceback=traceback.format_exc(),
        )
    return replace(row, seconds=time.perf_counter() - start), things


def _ask(name: str, module: Any) -> tuple[Thing, ...]:
    made_for = getattr(module, "API", None)
    if made_for != API:
        found = "says no API number" if made_for is None else f"was made for API {made_for}"
        raise Refused(f"it {found}; this is API {API}")
    # A manager of its own, so that nothing is left half registered when a plugin is refused.
    manager = pluggy.PluginManager(PROJECT)
    specification: Any = Hooks()  # an instance; pluggy's annotation knows classes only
    manager.add_hookspecs(specification)
    try:
        manager.register(module, name=name)
        manager.check_pending()
    except pluggy.PluginValidationError as error:
        raise Refused(str(error).replace("\n", " ")) from None
    things: list[Thing] = []
    for hook, kind in _ASKED:
        for implementation in getattr(manager.hook, hook).get_hookimpls():
            things += _checked(hook, kind, implementation.function())
    return tuple(things)


def _checked(hook: str, kind: type[Any], answer: Any) -> Sequence[Any]:
    if not isinstance(answer, list | tuple):
        raise TypeError(f"{hook} gave {type(answer).__name__}, not a list of {kind.__name__}")
    for thing in answer:
        if not isinstance(thing, kind):
            raise TypeError(f"{hook} gave {type(thing).__name__}, not {kind.__name__}")
        if _NAME.fullmatch(thing.name) is None:
            raise ValueError(f'{hook}: "{thing.name}" is not a name (a-z, 0-9 and dashes)')
    names = [thing.name for thing in answer]
    if len(set(names)) < len(names):
        raise ValueError(f"{hook} gives a name twice: {', '.join(sorted(names))}")
    return answer


def _names(things: Sequence[Thing]) -> dict[str, Any]:
    return {
        "formats": tuple(t.name for t in things if isinstance(t, Format)),
        "steps": tuple(t.name for t in things if isinstance(t, Step)),
        "reports": tuple(t.name for t in things if isinstance(t, Report)),
    }
