"""What a file brought that we do not understand: kept, and given back to that format only."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Foreign:
    """A fragment of a file that has no place in the model.

    format  short name of the format that brought it ("svg", "dxf")
    where   the place in the file: an element id, a handle, a layer
    data    the fragment as text
    """

    format: str
    where: str
    data: str
