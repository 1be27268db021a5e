"""What an element inherits from those around it."""

from __future__ import annotations

from dataclasses import dataclass

from seamwright.model.recognise.items import Group, Looks
from seamwright.model.recognise.matrices import Matrix
from seamwright.plugins.api import Limits

from ..measures.scale import Scale
from ..notes import Notes
from ..options import SvgIn
from ..tree.css import Sheet
from ..tree.parse import Node


@dataclass(frozen=True, slots=True)
class State:
    """matrix         user units to mm, y up
    width, height  of the nearest viewport, in user units
    clone          the `use` that put the element here, if one did
    """

    matrix: Matrix
    looks: Looks
    group: Group | None
    width: float
    height: float
    clone: Node | None = None


@dataclass(frozen=True, slots=True)
class Desk:
    """What stays the same while a drawing is walked through."""

    sheet: Sheet
    scale: Scale
    options: SvgIn
    notes: Notes
    limits: Limits
