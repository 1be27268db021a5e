"""Pressing a sheet flat after wedges were folded or cut out of its edge.

`equal_sided_wedge` and `slash_wedge` say where; `press_cap` closes the wedges and presses the
sheet, `bend_rod` and `bend_rods` do without a sheet; `edge_to_curves` makes the new edge a Curve
again. Refusals are `PressError`s with a `reason`.
"""

from __future__ import annotations

from .cap import PressedEdge, PressedSheet, StrainLeft, press_cap
from .depth import deepest
from .kinds import PressError
from .refit import SmoothEdge, edge_to_curves, joints_for
from .rod import bend_rod, bend_rods
from .taken import Taken
from .wedge import Wedge, equal_sided_wedge, inward_side, slash_wedge

__all__ = [
    "PressError",
    "PressedEdge",
    "PressedSheet",
    "SmoothEdge",
    "StrainLeft",
    "Taken",
    "Wedge",
    "bend_rod",
    "bend_rods",
    "deepest",
    "edge_to_curves",
    "equal_sided_wedge",
    "inward_side",
    "joints_for",
    "press_cap",
    "slash_wedge",
]
