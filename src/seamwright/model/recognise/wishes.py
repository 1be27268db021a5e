"""What a reader of drawings is told about how to understand them."""

from __future__ import annotations

from typing import Protocol


class Wishes(Protocol):
    """The options that every reader of drawings has, by these names.

    join       widest gap over which strokes of an outline are joined, mm
    corner     an outline has a corner where it turns by more than this, degrees
    allowance  seam allowance of outlines that are cut lines, mm; None where it is not stated
    base_size  the base size; "" for what the file states, else the middle one
    size       name of the size of a drawing that names none
    """

    @property
    def join(self) -> float: ...

    @property
    def corner(self) -> float: ...

    @property
    def allowance(self) -> float | None: ...

    @property
    def base_size(self) -> str: ...

    @property
    def size(self) -> str: ...
