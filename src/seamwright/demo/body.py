"""The chorus's body table: seven invented sizes, in millimetres."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from functools import lru_cache
from importlib.resources import files


@dataclass(frozen=True, slots=True, kw_only=True)
class Body:
    """One size's body measures in mm, as `data/body.toml` explains them."""

    size: str
    bust: float
    waist: float
    hip: float
    neck: float
    shoulder: float
    back_length: float
    scye_depth: float
    back_width: float
    chest_width: float
    upper_arm: float
    wrist: float
    arm: float


@lru_cache(maxsize=1)
def _table() -> tuple[str, tuple[Body, ...]]:
    text = files("seamwright.demo").joinpath("data/body.toml").read_text(encoding="utf-8")
    table = tomllib.loads(text)
    return table["base"], tuple(Body(size=s, **row) for s, row in table["sizes"].items())


def chorus() -> tuple[Body, ...]:
    """All sizes, smallest first."""
    return _table()[1]


def base_size() -> str:
    """Name of the drafted size."""
    return _table()[0]
