"""Option types: what a step, reader, writer or report may be told.

An options class is a frozen msgspec Struct; every field is `Annotated` with one of the helpers
below, whose text is the help of the command line, the TOML reference and the page at once:

    class EaseCap(Options, frozen=True):
        largest_tuck: Annotated[Length, length("Widest tuck.", at_most=8)] = Length(4.8)

Names are written with dashes outside Python ("largest-tuck"). Lengths and angles are types of
their own, so no number has a unit in its name: `Length` is a float in mm, `Angle` in degrees.
`seamwright.plugins.building.build` makes instances from TOML, flags and Python alike.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

import msgspec


class Length(float):
    """A length in millimetres. Outside Python it is written with its unit: "5/8 in", "16 mm"."""

    __slots__ = ()


class Angle(float):
    """An angle in degrees, anticlockwise."""

    __slots__ = ()


class Options(
    msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True, rename="kebab"
):
    """Base of all options classes."""

    def check(self) -> Iterable[str]:
        """Relations between fields that do not hold, one sentence each."""
        return ()


def _bounds(at_least: float | None, at_most: float | None) -> dict[str, Any]:
    return {"at_least": at_least, "at_most": at_most}


def length(
    help: str, *, at_least: float | None = None, at_most: float | None = None
) -> msgspec.Meta:
    """A length option; bounds in mm."""
    return msgspec.Meta(description=help, extra={"kind": "length", **_bounds(at_least, at_most)})


def angle(
    help: str, *, at_least: float | None = None, at_most: float | None = None
) -> msgspec.Meta:
    """An angle option; bounds in degrees."""
    return msgspec.Meta(description=help, extra={"kind": "angle", **_bounds(at_least, at_most)})


def number(
    help: str, *, at_least: float | None = None, at_most: float | None = None
) -> msgspec.Meta:
    """A plain number (a count, a factor, a share)."""
    return msgspec.Meta(description=help, ge=at_least, le=at_most, extra=_bounds(at_least, at_most))


def text(help: str) -> msgspec.Meta:
    """A text, a name, or a list or table of them."""
    return msgspec.Meta(description=help, extra={"kind": "text"})


def choice(help: str) -> msgspec.Meta:
    """One of several words: the field's type is a Literal that lists them."""
    return msgspec.Meta(description=help, extra={"kind": "choice"})


def flag(help: str) -> msgspec.Meta:
    """Yes or no."""
    return msgspec.Meta(description=help, extra={"kind": "flag"})
