"""Which lines of a drawing make pieces: strokes and texts in, a pattern out.

Every reader of drawings (files that say where lines run and little about what they are for) brings
its lines to mm, y up, and hands them over as a `Drawing` with the names of the layers around them;
from there on all of them follow the same rules. Nothing here knows a file format.
"""

from __future__ import annotations

from .items import Drawing, Group, Lettering, Looks, Named, Place, Spot, Stroke
from .matrices import IDENTITY, Matrix
from .notes import Notes, count, listed
from .run import Recognised, recognise
from .shapes.assembling import Stated
from .wishes import Wishes
from .words.labels import NOTHING, Words, read_label
from .words.roles import Role

__all__ = [
    "Drawing", "Group", "IDENTITY", "Lettering", "Looks", "Matrix", "NOTHING", "Named", "Notes",
    "Place", "Recognised", "Role", "Spot", "Stated", "Stroke", "Wishes", "Words", "count",
    "listed", "read_label", "recognise",
]  # fmt: skip
