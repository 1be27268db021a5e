"""What a curve remembers once it has been asked."""

from __future__ import annotations

from dataclasses import dataclass

from .kinds import FloatArray
from .locate import LengthTable


@dataclass(slots=True)
class Memo:
    """Measures of one curve, made when first asked for; never part of its value."""

    lengths: FloatArray | None = None
    cumulative: FloatArray | None = None
    bbox: FloatArray | None = None
    table: LengthTable | None = None
