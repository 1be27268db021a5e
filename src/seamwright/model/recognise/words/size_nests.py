"""Sizes inside pieces by what they hold: each piece a nest of outlines, under the same labels.

"Collar" with "2 years", "3 years" inside, and "Cuff" with the same: the labels alone could as well
mean layers "Collar" and "Cuff" with pieces "2 years" in each. The shapes decide: sizes of one
piece are more alike than different pieces in one size.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from typing import Final

import numpy as np

from seamwright.geometry import FloatArray

from ..items import Drawing, Named, Stroke
from .labels import normal

_LARGE: Final = 30.0  # mm; a closed line smaller than this is no piece
_OF_SIZES: Final = 1.5  # outlines that differ by less, in each way, may be sizes of one piece


def sizes_in_pieces(drawing: Drawing, no_sizes: frozenset[str]) -> dict[Named, str]:
    """Elements inside pieces that are sizes, with their labels; empty where nothing is plain.

    no_sizes  words that say that a layer is something else
    """
    boxes: dict[Named, dict[Named, list[FloatArray]]] = defaultdict(lambda: defaultdict(list))
    for stroke in drawing.strokes:
        if not stroke.curve.closed or not is_large(stroke):
            continue
        labelled = [n for n in _outward(stroke) if _label(n)]
        if len(labelled) < 2:
            return {}
        inner, outer = labelled[:2]
        boxes[outer][inner].append(stroke.curve.bbox)
    if len(boxes) < 2:
        return {}
    tables: list[dict[str, FloatArray]] = []
    for held in boxes.values():
        table = {normal(_label(n)): span_of(b) for n, b in held.items()}
        if len(table) < max(2, len(held)):
            return {}  # two of one name
        tables.append(table)
    labels = set(tables[0])
    if any(set(t) != labels for t in tables) or any(_says_else(x, no_sizes) for x in labels):
        return {}
    within = max(variation(t.values()) for t in tables)
    across = max(variation(t[x] for t in tables) for x in labels)
    if within >= min(across, _OF_SIZES):
        return {}
    return {n: _label(n) for held in boxes.values() for n in held}


def _outward(stroke: Stroke) -> Iterable[Named]:
    yield stroke.named
    for group in stroke.group.up() if stroke.group else ():
        if group.named is not stroke.named:
            yield group.named


def _label(named: Named) -> str:
    """What people call an element, "" where only a program or its role names it."""
    for words in named.names:
        if words.tokens and not words.made_up and words.role is None:
            return words.text
    return ""


def _says_else(label: str, no_sizes: frozenset[str]) -> bool:
    said = label.split()
    return len(said) > 2 or any(word in no_sizes for word in said)


def is_large(stroke: Stroke) -> bool:
    """Whether a line is large enough to bound a piece."""
    x0, y0, x1, y1 = stroke.curve.bbox
    return bool((x1 - x0) ** 2 + (y1 - y0) ** 2 >= _LARGE**2)


def span_of(boxes: list[FloatArray]) -> FloatArray:
    """Width and height (2,) of what boxes cover."""
    covered = np.array(boxes)
    low, high = covered[:, :2].min(axis=0), covered[:, 2:].max(axis=0)
    span: FloatArray = np.maximum(high - low, 1e-9)
    return span


def variation(spans: Iterable[FloatArray]) -> float:
    """How much the largest is larger than the smallest, in the direction where it shows most."""
    both = np.array(list(spans))
    return float(np.max(both.max(axis=0) / both.min(axis=0)))


def differ_more(across: float, within: float) -> bool:
    """Whether things that should be one piece in several sizes differ more than pieces do."""
    return across >= _OF_SIZES and across > within
