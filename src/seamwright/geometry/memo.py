"""What a curve remembers once it has been asked."""

from __future__ import annotations

from dataclasses import dataclass, field

from .kinds import FloatArray
from .locate import LengthTable
from .single import Four, Squares


@dataclass(slots=True)
class Memo:
    """Measures of one curve, made when first asked for; never part of its value."""

    lengths: FloatArray | None = None
    cumulative: FloatArray | None = None
    bbox: FloatArray | None = None
    table: LengthTable | None = None
    #: cumulative lengths as plain numbers, and segments as `single` takes them
    joints: list[float] | None = None
    singles: dict[int, tuple[Four, Squares | None]] = field(default_factory=dict)
