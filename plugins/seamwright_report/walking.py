"""What the page's script needs to roll one side of a seam along the other."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import isfinite
from typing import Any

import numpy as np

from seamwright.geometry import FloatArray
from seamwright.model import Pattern
from seamwright.plan import DEFAULT_TOLERANCE, walk

from .facts import Facts, SeamFacts
from .markup import clean
from .packing import packed
from .runs import PartWays, ways_of
from .seam_tables import verdict
from .timeline import Timeline

LETTER = {"over": "o", "under": "u", "ok": "k", "": "-"}


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Side:
    """A seam before or after: state of the pieces, lengths (Z,), and its pairs of notches."""

    state: int
    sew: FloatArray
    to: FloatArray
    names: tuple[tuple[str, str], ...]
    pair_sew: FloatArray
    pair_to: FloatArray
    miss: FloatArray
    sew_ways: tuple[PartWays, ...]
    to_ways: tuple[PartWays, ...]

    def off(self, z: int) -> list[bool]:
        """Which pairs miss one another in size number z."""
        return [bool(abs(m) > DEFAULT_TOLERANCE + 1e-9) for m in self.miss[:, z]]


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class SeamWalk:
    """One seam's sides, before (None where it is as it was) and after."""

    facts: SeamFacts
    number: int  # on the page, from 1
    before: Side | None
    after: Side


def seam_walks(facts: Facts, timeline: Timeline) -> list[SeamWalk]:
    """Every seam, numbered in the plan's order, as the page walks it."""
    record = facts.record
    old_pattern, new_pattern = record.before, record.after
    if new_pattern.seams and not old_pattern.seams:
        old_pattern = old_pattern.but(seams=new_pattern.seams)
    moved = [seam for seam in facts.seams if seam.moved]
    old = _sides(moved, old_pattern, facts.sizes, 0)
    new = _sides(facts.seams, new_pattern, facts.sizes, timeline.last)
    return [
        SeamWalk(facts=seam, number=number, before=old.get(seam.name), after=new[seam.name])
        for number, seam in enumerate(facts.seams, start=1)
    ]


def _sides(
    seams: Sequence[SeamFacts], pattern: Pattern, sizes: Sequence[str], state: int
) -> dict[str, Side]:
    """Each seam as the pattern has it, by its name."""
    if not seams:
        return {}
    walked = walk(pattern)
    theirs = {seam.name: seam for seam in pattern.seams}
    own = [theirs.get(seam.name, seam.seam) for seam in seams]
    columns = [pattern.sizes.index(s) if s in pattern.sizes else -1 for s in sizes]
    ways = ways_of(pattern, [run for seam in own for run in (seam.sew, seam.to)])
    rows: dict[str, list[int]] = {}
    for i, s in enumerate(walked.pair_seams):
        rows.setdefault(walked.seams[int(s)].name, []).append(i)
    out = {}
    for k, seam in enumerate(seams):
        pairs = rows.get(seam.name, [])
        out[seam.name] = Side(
            state=state,
            sew=seam.sew_after if state else seam.sew_before,
            to=seam.to_after if state else seam.to_before,
            names=tuple(walked.pair_names[i] for i in pairs),
            pair_sew=_columns(walked.pair_sew[pairs], columns),
            pair_to=_columns(walked.pair_to[pairs], columns),
            miss=_columns(walked.miss[pairs], columns),
            sew_ways=tuple(_spread(p, columns) for p in ways[2 * k]),
            to_ways=tuple(_spread(p, columns) for p in ways[2 * k + 1]),
        )
    return out


def _columns(rows: FloatArray, columns: Sequence[int]) -> FloatArray:
    out = np.full((len(rows), len(columns)), np.nan)
    for z, c in enumerate(columns):
        if c >= 0:
            out[:, z] = rows[:, c]
    return out


def _spread(part: PartWays, columns: Sequence[int]) -> PartWays:
    ways = tuple(part.ways[c] if c >= 0 else None for c in columns)
    return PartWays(piece=part.piece, forward=part.forward, ways=ways)


def walks_json(walks: Iterable[SeamWalk], timeline: Timeline) -> list[dict[str, Any]]:
    """For the page's script: lengths in whole hundredths of a millimetre, null where unknown."""
    return [
        {
            "n": clean(w.facts.name),
            "lo": _number(w.facts.at_least),
            "hi": _number(w.facts.at_most),
            "s": w.facts.stated,
            "ends": [
                clean(w.facts.seam.sew.parts[0].marks[0]),
                clean(w.facts.seam.sew.parts[-1].marks[-1]),
                clean(w.facts.seam.to.parts[0].marks[0]),
                clean(w.facts.seam.to.parts[-1].marks[-1]),
            ],
            "v": "".join(LETTER[verdict(float(v))] for v in w.facts.out_after),
            "w": "".join(LETTER[verdict(float(v))] for v in w.facts.out_before),
            "a": _side_json(w.after, timeline),
            "b": _side_json(w.before, timeline) if w.before else None,
        }
        for w in walks
    ]


def _side_json(side: Side, timeline: Timeline) -> dict[str, Any]:
    return {
        "st": side.state,
        "sew": _row(side.sew),
        "to": _row(side.to),
        "pairs": [
            [clean(a), clean(b), _row(side.pair_sew[i]), _row(side.pair_to[i]), _row(side.miss[i])]
            for i, (a, b) in enumerate(side.names)
        ],
        "ways": [_ways_json(side.sew_ways, timeline), _ways_json(side.to_ways, timeline)],
    }


def _ways_json(parts: Sequence[PartWays], timeline: Timeline) -> list[Any]:
    """[piece's number, 1 where it goes with the outline, letters]: for each size how many ways,
    then start and length of each."""
    out = []
    for part in parts:
        numbers: list[int] = []
        for ways in part.ways:
            numbers.append(len(ways or ()))
            for start, length in ways or ():
                numbers += [round(start * 100), round(length * 100)]
        track = timeline.by_name.get(part.piece)
        out.append([track.number if track else -1, int(part.forward), packed(numbers)])
    return out


def _row(values: FloatArray) -> list[int | None]:
    return [_number(float(v)) for v in values]


def _number(value: float) -> int | None:
    return round(value * 100) if isfinite(value) else None
