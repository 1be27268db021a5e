"""The fullness steps held to what every step must hold, on generated styles."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, ClassVar

from seamwright.testing.steps import StepSuite


class TestAddFullness(StepSuite):
    step = "add-fullness"
    options: ClassVar[Mapping[str, Any]] = {
        "hinge": "Front: corner-1 > corner-2",
        "opens": "Front: corner-3 > corner-2",
        "amount": "6 mm",
        "slashes": 2,
        "gathers": True,
    }


class TestFullBust(StepSuite):
    """Along a stated slash, so that nothing hangs on how the piece lies."""

    step = "full-bust"
    options: ClassVar[Mapping[str, Any]] = {
        "point": "Front: corner-1 (40 mm, -40 mm)",
        "slash": "Front: corner-1 > corner-2 @ 40 %",
        "side": "Front: corner-2 > corner-3 @ 30 %",
        "hem": "Front: corner-2 > corner-3 @ 80 %",
        "amount": "2 mm",
    }
    rigid = False  # the point is given by an offset along the drawing's axes
