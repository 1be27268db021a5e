"""Where pages lie on the whole sheet: what our own pages say, what the user states, or what the
pages show: a line that two of them draw tells how they lie to each other."""

from __future__ import annotations

from collections import Counter, defaultdict
from dataclasses import dataclass
from typing import Final

import numpy as np

from seamwright.geometry import FloatArray
from seamwright.model.recognise import Matrix

from .items import Content
from .pages import Frame

_GAP: Final = 50.0  # mm between pages that are no tiles
_VOTES: Final = 2
_COMMON: Final = 40  # a line that so many pages have says nothing (a page frame)


@dataclass(frozen=True, slots=True)
class Grid:
    """A grid that the user states. order: "rows" (left to right, then down), "columns"; bottom:
    whether the first page is at the bottom; overlap in mm."""

    columns: int
    rows: int
    overlap: float
    order: str
    bottom: bool


def on_grid(frames: list[Frame], grid: Grid) -> list[Matrix]:
    """Where each page goes: all as large as the first."""
    wide, high = frames[0].width - grid.overlap, frames[0].height - grid.overlap
    out: list[Matrix] = []
    for k in range(len(frames)):
        if grid.order == "rows":
            row, column = divmod(k, grid.columns)
        else:
            column, row = divmod(k, grid.rows)
        down = (grid.rows - 1 - row) if grid.bottom else row
        out.append((1.0, 0.0, 0.0, 1.0, column * wide, -down * high))
    return out


def apart(frames: list[Frame]) -> list[Matrix]:
    """Side by side, as separate sheets."""
    x, out = 0.0, []
    for frame in frames:
        out.append((1.0, 0.0, 0.0, 1.0, x, 0.0))
        x += frame.width + _GAP
    return out


def by_shared_lines(contents: list[Content], frames: list[Frame]) -> list[Matrix] | None:
    """Where pages go by the lines that they share: programs that tile a drawing write it whole on
    each page and show a part. None where not all pages hang together so."""
    marks = [_fingerprints(content) for content in contents]
    pages_with: Counter[tuple[int, ...]] = Counter()
    for found in marks:
        pages_with.update(found.keys())
    fixed_in_place = _frames_of_pages(marks)
    votes: dict[tuple[int, int], Counter[tuple[int, int]]] = defaultdict(Counter)
    for a in range(len(marks)):
        for b in range(a + 1, len(marks)):
            for key in marks[a].keys() & marks[b].keys():
                if key in fixed_in_place or len(marks[a][key]) > 4:
                    continue
                for p in marks[a][key]:
                    for q in marks[b][key]:
                        step = np.round((p - q) / 0.1).astype(int)
                        votes[a, b][int(step[0]), int(step[1])] += 1
    place: dict[int, FloatArray] = {0: np.zeros(2)}
    edges = sorted(
        ((count.most_common(1)[0], pair) for pair, count in votes.items()),
        key=lambda e: (-e[0][1], e[1]),
    )
    grown = True
    while grown:
        grown = False
        for (coarse, number), (a, b) in edges:
            if number < _VOTES or ((a in place) == (b in place)):
                continue
            shift = _exact(marks[a], marks[b], np.array(coarse) * 0.1)
            if a in place:
                place[b] = place[a] + shift
            else:
                place[a] = place[b] - shift
            grown = True
    if len(place) < len(frames) or _all_alike(place, frames):
        return None
    return [
        (1.0, 0.0, 0.0, 1.0, float(place[i][0]), float(place[i][1])) for i in range(len(frames))
    ]


def _all_alike(place: dict[int, FloatArray], frames: list[Frame]) -> bool:
    """Whether pages would lie over each other by more than half: then they are no tiles."""
    spots = np.array([place[i] for i in range(len(frames))])
    wide, high = frames[0].width, frames[0].height
    for i in range(len(spots)):
        for k in range(i):
            d = np.abs(spots[i] - spots[k])
            if d[0] < 0.5 * wide and d[1] < 0.5 * high:
                return True
    return False


def _fingerprints(content: Content) -> dict[tuple[int, ...], list[FloatArray]]:
    """Form of each line -> its first points on the page."""
    out: dict[tuple[int, ...], list[FloatArray]] = defaultdict(list)
    for item in content.paths:
        segments = item.segments
        form = np.round((segments - segments[0, 0]) / 0.05).astype(int)
        if np.abs(form).max() < 200:  # lines under 10 mm are too common
            continue
        thin = form[:: max(1, len(form) // 16)].ravel()
        out[len(segments), *thin.tolist()].append(segments[0, 0])
    return out


def _frames_of_pages(marks: list[dict[tuple[int, ...], list[FloatArray]]]) -> set[tuple[int, ...]]:
    """Lines that stand in the same place on several pages: borders and cut marks of the paper."""
    seen: Counter[tuple[tuple[int, ...], int, int]] = Counter()
    for found in marks:
        for key, places in found.items():
            for x, y in {(round(p[0] * 2), round(p[1] * 2)) for p in places}:
                seen[key, x, y] += 1
    return {key for (key, _, _), number in seen.items() if number > 1}


def _exact(
    a: dict[tuple[int, ...], list[FloatArray]],
    b: dict[tuple[int, ...], list[FloatArray]],
    near: FloatArray,
) -> FloatArray:
    """The shift between two pages, as the middle of all that speak for it."""
    steps = [
        p - q
        for key in a.keys() & b.keys()
        for p in a[key]
        for q in b[key]
        if np.abs(p - q - near).max() <= 0.15
    ]
    middle: FloatArray = np.median(np.array(steps), axis=0)
    return middle
