"""Laying pieces on paper: where each lies, and which way up, so that little paper is needed.

For printers and plotters, not for cloth: nap, plaids and splicing are not looked at.
"""

from __future__ import annotations

from .packing import Order, Ready, place, prepare
from .placement import Layout, Placement
from .sampling import samples

__all__ = ["Layout", "Order", "Placement", "Ready", "place", "prepare", "samples"]
