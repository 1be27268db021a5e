"""Each piece through the whole run: its lines as read, and anew after every step that changed it.

States are numbered: 0 as read, k after step k. Without snapshots of the steps (a record made by
hand) the last state is 1.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property
from typing import Any

import numpy as np

from seamwright.model import Pattern, Piece, Shape
from seamwright.plugins.api import Record

from .markup import clean
from .packing import Book, Strokes
from .strokes import Layers, layers_of

Box = tuple[float, float, float, float]  # x0, y0, x1, y1 in mm, y up
BySize = dict[str, Layers]


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Stage:
    """A piece from one state on: its shapes and layers by size; none where it is not there."""

    state: int
    shapes: dict[str, Shape]
    layers: BySize


@dataclass(frozen=True, eq=False, kw_only=True)
class Track:
    """One piece's stages, in order of their states."""

    number: int
    name: str
    stages: list[Stage] = field(default_factory=list)

    def at(self, state: int) -> Stage | None:
        """The piece as it stands in a state; None where it is not there."""
        found = None
        for stage in self.stages:
            if stage.state > state:
                break
            found = stage
        return found if found is not None and found.shapes else None

    def box(self, *states: int) -> Box:
        """Round the piece in all sizes, in those states, mm."""
        boxes = [
            shape.seam_line.bbox if shape.cut_line is None else _both(shape)
            for stage in map(self.at, states)
            if stage is not None
            for shape in stage.shapes.values()
        ]
        every = np.array(boxes)
        low, high = every[:, :2].min(axis=0), every[:, 2:].max(axis=0)
        return float(low[0]), float(low[1]), float(high[0]), float(high[1])


def _both(shape: Shape) -> np.ndarray:
    assert shape.cut_line is not None
    a, b = np.array(shape.seam_line.bbox), np.array(shape.cut_line.bbox)
    return np.concatenate((np.minimum(a[:2], b[:2]), np.maximum(a[2:], b[2:])))


@dataclass(frozen=True, eq=False, kw_only=True)
class Timeline:
    """All pieces of a run, in the order in which they were first there."""

    sizes: tuple[str, ...]
    last: int
    tracks: tuple[Track, ...]

    @cached_property
    def by_name(self) -> dict[str, Track]:
        """Tracks by the piece's name."""
        return {track.name: track for track in self.tracks}

    def changed(self, state: int) -> list[Track]:
        """Pieces that a step left otherwise than it found them, new and gone ones too."""
        return [t for t in self.tracks if state and any(s.state == state for s in t.stages)]

    def to_json(self, book: Book) -> list[dict[str, Any]]:
        """For the page's script; lines go into the book."""
        return [
            {"n": clean(track.name), "t": [[s.state, self._columns(s, book)] for s in track.stages]}
            for track in self.tracks
        ]

    def _columns(self, stage: Stage, book: Book) -> dict[str, int]:
        kinds = dict.fromkeys(k for layers in stage.layers.values() for k in layers)
        out = {}
        for kind in kinds:
            row: list[Strokes | None] = [stage.layers.get(s, {}).get(kind) for s in self.sizes]
            number = book.column(row)
            if number is not None:
                out[kind] = number
        return out


def timeline_of(record: Record, sizes: tuple[str, ...]) -> Timeline:
    """The record's pieces through all its states."""
    states: list[Pattern] = [record.before]
    if record.steps and len(record.snapshots) == len(record.steps):
        states += record.snapshots
    else:
        states.append(record.after)
    tracks: dict[str, Track] = {}
    marks: dict[str, float] = {}
    known: dict[int, Layers] = {}
    for state, pattern in enumerate(states):
        pieces = {piece.name: piece for piece in pattern.pieces}
        for name in dict.fromkeys((*tracks, *pieces)):
            shapes = {s.size: s for s in pieces[name].shapes} if name in pieces else {}
            track = tracks.setdefault(name, Track(number=len(tracks), name=name))
            was = track.stages[-1].shapes if track.stages else {}
            if _same(was, shapes):
                continue
            mark = marks.setdefault(name, _mark(pieces[name])) if name in pieces else 0.0
            layers = {}
            for size, shape in shapes.items():
                if id(shape) not in known:
                    known[id(shape)] = layers_of(shape, mark)
                layers[size] = known[id(shape)]
            track.stages.append(Stage(state=state, shapes=shapes, layers=layers))
    return Timeline(sizes=sizes, last=len(states) - 1, tracks=tuple(tracks.values()))


def _same(a: dict[str, Shape], b: dict[str, Shape]) -> bool:
    return a.keys() == b.keys() and all(a[size] is b[size] for size in a)


def _mark(piece: Piece) -> float:
    """How long a notch's stroke is drawn at least: to be seen in a picture of the whole piece."""
    boxes = np.array([shape.seam_line.bbox for shape in piece.shapes]).reshape(-1, 4)
    if not len(boxes):
        return 5.0
    span = float(max((boxes[:, 2] - boxes[:, 0]).max(), (boxes[:, 3] - boxes[:, 1]).max()))
    return max(0.018 * span, 3.0)
