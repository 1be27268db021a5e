"""Pressing a sheet flat after wedges were folded or cut out of its edge."""

from __future__ import annotations

from .cap import PressedEdge, PressedSheet, StrainLeft, press_cap
from .kinds import PressError
from .taken import Taken
from .wedge import Wedge, equal_sided_wedge, inward_side, slash_wedge

__all__ = [
    "PressError",
    "PressedEdge",
    "PressedSheet",
    "StrainLeft",
    "Taken",
    "Wedge",
    "equal_sided_wedge",
    "inward_side",
    "press_cap",
    "slash_wedge",
]
