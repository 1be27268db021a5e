"""Where to fold, as the step that eased the cap says it in its figures.

Reports know no other plugin; they read figures by their names, and a step that folds caps gives

    figures["sleeves"][piece]["sizes"][size] = {
        "manner": "tuck" or "slash", "depth": mm,
        "tucks": [{"side": "back" or "front", "from_shoulder": mm, "width": mm}, ...],
        "strain_in_words": "..."}
    figures["sleeves"][piece]["cloth"] = {"name": "...", "source": "..."} or None

Whatever is not so is passed over: it still stands among the step's figures.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from math import isfinite
from typing import Any

from seamwright.plugins.api import Record


@dataclass(frozen=True, slots=True, kw_only=True)
class Fold:
    """One tuck or cut: mm from the shoulder point along the edge, and mm wide at the edge."""

    half: str
    at: float
    width: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Folded:
    """What was folded in one sleeve and size."""

    folds: tuple[Fold, ...]
    manner: str = "tuck"
    depth: float | None = None
    strain: str = ""

    def of(self, half: str) -> tuple[Fold, ...]:
        """The folds of one half, from the shoulder point down."""
        return tuple(f for f in self.folds if f.half == half)


NOTHING = Folded(folds=())


@dataclass(frozen=True, slots=True, kw_only=True)
class Folds:
    """All folds of a run: sleeve -> size -> what was folded; and the cloth they were made for."""

    by_sleeve: Mapping[str, Mapping[str, Folded]] = field(default_factory=dict)
    cloth: str = ""

    def __bool__(self) -> bool:
        return bool(self.by_sleeve)

    def of(self, sleeve: str, size: str) -> Folded:
        """What was folded there; nothing, perhaps."""
        return self.by_sleeve.get(sleeve, {}).get(size, NOTHING)

    @property
    def all(self) -> list[Folded]:
        """Every sleeve in every size."""
        return [folded for sizes in self.by_sleeve.values() for folded in sizes.values()]

    @property
    def manner(self) -> str:
        """ "tuck" or "slash", as in the first."""
        return self.all[0].manner if self.all else "tuck"


def folds_of(record: Record) -> Folds:
    """The folds of all steps of a run; of two steps that fold the same cap the later counts."""
    by_sleeve: dict[str, dict[str, Folded]] = {}
    cloth = ""
    for step in record.steps:
        for sleeve, figures in _mapping(step.figures.get("sleeves")).items():
            name = _mapping(_mapping(figures).get("cloth")).get("name")
            cloth = str(name) if name else cloth
            for size, row in _mapping(_mapping(figures).get("sizes")).items():
                folds = tuple(_read(_mapping(row).get("tucks")))
                if folds:
                    by_sleeve.setdefault(str(sleeve), {})[str(size)] = Folded(
                        folds=tuple(sorted(folds, key=lambda f: (f.half, f.at))),
                        manner="slash" if row.get("manner") == "slash" else "tuck",
                        depth=_number(row.get("depth")),
                        strain=str(row.get("strain_in_words") or ""),
                    )
    return Folds(by_sleeve=by_sleeve, cloth=cloth)


def _mapping(value: Any) -> Mapping[Any, Any]:
    return value if isinstance(value, Mapping) else {}


def _read(rows: Any) -> Iterator[Fold]:
    for row in rows if isinstance(rows, (list, tuple)) else ():
        own = _mapping(row)
        half, at, width = (
            own.get("side"),
            _number(own.get("from_shoulder")),
            _number(own.get("width")),
        )
        if half in ("back", "front") and at is not None and width is not None and width > 0:
            yield Fold(half=half, at=at, width=width)


def _number(value: Any) -> float | None:
    if isinstance(value, bool) or not isinstance(value, (int, float)):
        return None
    return float(value) if isfinite(value) else None
