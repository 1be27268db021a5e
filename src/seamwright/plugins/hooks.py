"""The three hooks. They describe; behaviour lives in the descriptors that they return."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any, Final

import pluggy

if TYPE_CHECKING:
    from .descriptors import Format, Report, Step

PROJECT: Final = "seamwright"
API: Final = 1

hookspec = pluggy.HookspecMarker(PROJECT)
hookimpl = pluggy.HookimplMarker(PROJECT)


class Hooks:
    """What a plugin may implement; each is optional."""

    @hookspec
    def seamwright_formats(self) -> Sequence[Format]:
        """File formats that the plugin reads or writes."""
        raise AssertionError("a specification is never called")

    @hookspec
    def seamwright_steps(self) -> Sequence[Step[Any]]:
        """Checks and alterations."""
        raise AssertionError("a specification is never called")

    @hookspec
    def seamwright_reports(self) -> Sequence[Report[Any]]:
        """Documents made from a run's record."""
        raise AssertionError("a specification is never called")
