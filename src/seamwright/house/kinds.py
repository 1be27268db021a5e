"""What house rules hold. Plain frozen data: it is sent to workers and hashed into cache keys."""

from __future__ import annotations

from typing import Any

import msgspec


class Rule(msgspec.Struct, frozen=True, kw_only=True):
    """A rule's value (a number, a text, a list of texts) and where it stands. line 0: not known."""

    value: Any
    file: str
    line: int = 0
    what: str = ""

    def __str__(self) -> str:
        place = f"{self.file}, line {self.line}" if self.line else self.file
        return f"{self.what} ({place})" if self.what else place


class EaseRule(msgspec.Struct, frozen=True, kw_only=True):
    """The ease that seams of a name may have.

    seam      pattern of seam names ("sleeve*", capitals or not)
    cap       only this half of a sleeve cap ("front", "back"); "" any seam
    cloth     only when the style is of this cloth; "" any
    at_least, at_most   mm
    stands    the rule in words, and where it stands
    """

    seam: str
    cap: str = ""
    cloth: str = ""
    at_least: float
    at_most: float
    stands: str = ""


class NotchRule(msgspec.Struct, frozen=True, kw_only=True):
    """Notches that must be there: at_least pairs that meet on each seam of a name, or on each
    piece of a name so many notches, or notches of those names. stands: as in `EaseRule`."""

    seam: str = ""
    piece: str = ""
    at_least: int = 0
    names: tuple[str, ...] = ()
    stands: str = ""


class House(msgspec.Struct, frozen=True, kw_only=True):
    """Rules of one layer, or of several laid over one another.

    tolerances   "seam", "notch-warning", "notch-error" -> mm
    names        "style", "piece", "size", "seam" -> regular expression for the whole name
    required, allowed, base   sizes; allowed may hold patterns ("*")
    ease, notches             in order: a later rule beats an earlier one
    cloth        cloth of the style; cloths: rows of the house's own cloth table, as TOML
    """

    files: tuple[str, ...] = ()
    tolerances: dict[str, Rule] = {}
    names: dict[str, Rule] = {}
    required: Rule | None = None
    allowed: Rule | None = None
    base: Rule | None = None
    cloth: Rule | None = None
    cloths: tuple[Rule, ...] = ()
    ease: tuple[EaseRule, ...] = ()
    notches: tuple[NotchRule, ...] = ()
