"""What a page's content draws, before anybody asks what it is for."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from seamwright.geometry import FloatArray


@dataclass(frozen=True, slots=True)
class Tag:
    """A marked-content tag of our own writer with its properties."""

    name: str
    facts: Mapping[str, Any]


@dataclass(slots=True, eq=False)
class PathItem:
    """One subpath in mm of its page. segments (K, 4, 2), straight (K,) bool.

    layers   names of the layers around it, outermost first
    tags     marked content around it, outermost first
    clipped  whether a clip other than the page's own is in force; dashed, stroked, filled as drawn
    paint    counts painting operators: subpaths of one share it
    """

    segments: FloatArray
    straight: FloatArray
    closed: bool
    layers: tuple[str, ...]
    tags: tuple[Tag, ...]
    dashed: bool
    clipped: bool
    stroked: bool
    filled: bool
    paint: int


@dataclass(slots=True, eq=False)
class TextItem:
    """A stretch of text in mm of its page: where its baseline starts and ends, its height (font
    size), its direction in degrees."""

    text: str
    at: tuple[float, float]
    end: tuple[float, float]
    height: float
    turn: float
    layers: tuple[str, ...]
    tags: tuple[Tag, ...]


@dataclass(slots=True)
class Content:
    """Everything that a page draws, and counts of what is not read."""

    paths: list[PathItem] = field(default_factory=list)
    texts: list[TextItem] = field(default_factory=list)
    tags: list[tuple[tuple[Tag, ...], tuple[str, ...]]] = field(default_factory=list)
    images: int = 0
    shadings: int = 0
    unreadable_texts: int = 0
