"""What may be left at a seam's end, from the data file."""

from __future__ import annotations

import tomllib
from functools import cache
from importlib.resources import files
from typing import Any


@cache
def tolerances() -> dict[str, Any]:
    """The tables of data/tolerances.toml; mm and degrees."""
    text = (files(__package__) / "data" / "tolerances.toml").read_text(encoding="utf-8")
    return tomllib.loads(text)
