"""Lines as HP-GL commands: absolute coordinates, each rounded by itself, short commands."""

from __future__ import annotations

import math
import unicodedata
from collections.abc import Iterable, Iterator

import numpy as np

from seamwright.geometry import LINE, FloatArray, IntArray
from seamwright.numbers import fixed

from .job import Label, Stroke

_SPELLED = {"ß": "ss", "æ": "ae", "Æ": "AE", "ø": "o", "Ø": "O", "œ": "oe", "Œ": "OE", "ł": "l",
            "Ł": "L", "½": "1/2", "¼": "1/4", "¾": "3/4", "–": "-", "—": "-", "’": "'", "“": '"',
            "”": '"', "×": "x", "°": " deg"}  # fmt: skip


class Plotter:
    """Collects commands. unit in mm; shift in mm is added to every coordinate.

    low, high  the smallest and largest coordinates used, (2,) each, in units
    lost       characters that ASCII has no letters for
    lifted     how far the pen moved lifted, in units
    """

    def __init__(self, unit: float, shift: FloatArray, *, pairs: int, chord: float, bezier: bool):
        self._unit = unit
        self._shift = shift
        self._pairs = pairs
        self._chord = chord
        self._bezier = bezier
        self._pen = 0
        self._at: tuple[int, int] | None = None
        self.lines: list[str] = []
        self.low = np.full(2, np.iinfo(np.int64).max)
        self.high = np.full(2, np.iinfo(np.int64).min)
        self.lost: list[str] = []
        self.lifted = 0.0

    def draw(self, strokes: Iterable[Stroke]) -> None:
        """Draws lines in the order given; where one starts where the last ended the pen stays
        down."""
        for stroke in strokes:
            self._take(stroke.pen)
            if self._bezier and (stroke.curve.kinds != LINE).any():
                self._draw_curves(stroke)
                continue
            points = stroke.curve.flatten(self._chord)
            if stroke.curve.closed:
                points = np.concatenate((points, points[:1]))
            units = self._units(points)
            keep = np.ones(len(units), dtype=bool)
            keep[1:] = (units[1:] != units[:-1]).any(axis=1)
            units = units[keep]
            if len(units) < 2:  # smaller than a unit: a dot
                units = np.repeat(units, 2, axis=0)
            self._start(units[0])
            for i in range(1, len(units), self._pairs):
                self._down(units[i : i + self._pairs])

    def label(self, label: Label) -> None:
        """Writes a text."""
        text = self._ascii(label.text)
        if not text.strip():
            return
        self._take(label.pen)
        (at,) = self._units(np.array([label.at]))
        self._start(at)
        turn = math.radians(label.turn)
        # SI takes centimetres: width and height of a capital.
        self.lines.append(f"SI{fixed(0.06 * label.height, 4)},{fixed(0.1 * label.height, 4)};")
        self.lines.append(f"DI{fixed(math.cos(turn), 6)},{fixed(math.sin(turn), 6)};")
        self.lines.append(f"LB{text}\x03")
        self._at = None  # a text leaves the pen where its last letter ends

    def _draw_curves(self, stroke: Stroke) -> None:
        curve = stroke.curve
        units = self._units(curve.segments.reshape(-1, 2)).reshape(-1, 4, 2)
        self._start(units[0, 0])
        for segment, kind in zip(units, curve.kinds, strict=True):
            if kind == LINE:
                self._down(segment[3:])
            elif (segment != segment[0]).any():
                if self.lines[-1].startswith("PU"):
                    self.lines.append("PD;")
                self.lines.append(f"BZ{_pairs(segment[1:])};")
                self._at = (int(segment[3, 0]), int(segment[3, 1]))

    def _units(self, points: FloatArray) -> IntArray:
        """Plotter units, each coordinate rounded by itself: nothing adds up."""
        units: IntArray = np.floor((points + self._shift) / self._unit + 0.5).astype(np.int64)
        self.low = np.minimum(self.low, units.min(axis=0))
        self.high = np.maximum(self.high, units.max(axis=0))
        return units

    def _take(self, pen: int) -> None:
        if pen != self._pen:
            self.lines.append(f"SP{pen};")
            self._pen = pen
            self._at = None

    def _start(self, point: IntArray) -> None:
        x, y = int(point[0]), int(point[1])
        if self._at == (x, y):
            return
        if self._at is not None:
            self.lifted += math.hypot(x - self._at[0], y - self._at[1])
        self.lines.append(f"PU{x},{y};")
        self._at = (x, y)

    def _down(self, points: IntArray) -> None:
        self.lines.append(f"PD{_pairs(points)};")
        self._at = (int(points[-1, 0]), int(points[-1, 1]))

    def _ascii(self, text: str) -> str:
        return "".join(self._letters(text))

    def _letters(self, text: str) -> Iterator[str]:
        for letter in unicodedata.normalize("NFC", text):
            spelled = _SPELLED.get(letter, letter)
            if not spelled.isascii():
                spelled = unicodedata.normalize("NFKD", spelled).encode("ascii", "ignore").decode()
            if letter.isspace() or not letter.isprintable():
                yield " "
            elif spelled:
                yield spelled
            else:
                self.lost.append(letter)
                yield "?"


def _pairs(points: IntArray) -> str:
    return ",".join(map(str, points.ravel().tolist()))
