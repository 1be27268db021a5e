"""The neutral piece model: what every reader makes and every writer takes.

Millimetres, y up, angles in degrees anticlockwise, float64. Every object is immutable; a change
makes a new object and shares what it did not touch, so "what changed" is a question of identity.

The seam line of a `Shape` runs anticlockwise and starts at corner 1 (see `model.build`): the
inside of the piece is on the left of travel everywhere.
"""

from __future__ import annotations

from .build import align_sizes, build_shape, name_marks
from .foreign import Foreign
from .grading import GradeRules
from .marking import Dart, DrillHole, GrainLine, InternalKind, InternalLine, Text, TextRole
from .marks import Corner, GradePoint, LineRole, Notch, NotchType
from .pattern import Pattern, Piece
from .seam import Ease, Run, RunPart, Seam
from .shape import Edge, SeamLineSource, Shape

__all__ = [
    "Corner", "Dart", "DrillHole", "Ease", "Edge", "Foreign", "GradePoint", "GradeRules",
    "GrainLine", "InternalKind", "InternalLine", "LineRole", "Notch", "NotchType", "Pattern",
    "Piece", "Run", "RunPart", "Seam", "SeamLineSource", "Shape", "Text", "TextRole",
    "align_sizes", "build_shape", "name_marks",
]  # fmt: skip
