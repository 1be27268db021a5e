"""Loose strokes joined end to end, with what has to be said of it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from seamwright.model.assemble import Joined, chained, join_strokes, twins
from seamwright.plugins.api import Finding, Severity

from ..drawing.strokes import Strokes
from .measures import lengths_of

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]

_MOST_SAID = 50


@dataclass(slots=True)
class JoinWishes:
    """tolerance: mm that a join may bridge; keep_twins: whether lines that are drawn twice stay."""

    tolerance: float = 0.05
    keep_twins: bool = True


def join_loose(
    part: Strokes, key: IntArray, wishes: JoinWishes, piece_of: Callable[[int], str | None],
    findings: list[Finding],
) -> tuple[Strokes, IntArray]:  # fmt: skip
    """Open strokes as chains (and single strokes where nothing joins), and their keys.

    Strokes of different keys never join. A line that is drawn twice would make every join
    ambiguous: the second one waits, and takes part only if it closes what is open without it.
    """
    if not part.n:
        return part, key
    double = twins(part.segments, part.offsets, part.closed, tolerance=wishes.tolerance, groups=key)
    second = np.array([t.second for t in double], dtype=np.int64)
    single = np.setdiff1d(np.arange(part.n), second)
    made, made_key, joined = _chains(part.picked(single), key[single], wishes.tolerance)
    if second.size and not made.closed.all():
        made, made_key, second = _with_twins(made, made_key, part, key, second, wishes.tolerance)
    if second.size:
        _say_twins(part, second, [t.how for t in double], wishes, piece_of, findings)
        if wishes.keep_twins:
            made = merged(made, part.picked(second))
            made_key = np.concatenate((made_key, key[second]))
    _say(part, made, joined, wishes.tolerance, piece_of, findings)
    order = np.argsort(made.row, kind="stable")
    return made.picked(order), made_key[order]


def _with_twins(
    made: Strokes, made_key: IntArray, part: Strokes, key: IntArray, second: IntArray,
    tolerance: float,
) -> tuple[Strokes, IntArray, IntArray]:  # fmt: skip
    """Open chains once more, with the second lines: what then closes is taken."""
    open_ones = np.flatnonzero(~made.closed)
    again = merged(made.picked(open_ones), part.picked(second))
    again_key = np.concatenate((made_key[open_ones], key[second]))
    chains, chain_key, joined = _chains(again, again_key, tolerance)
    closing = np.flatnonzero(chains.closed)
    if not closing.size:
        return made, made_key, second
    members = np.concatenate(
        [joined.order[joined.offsets[c] : joined.offsets[c + 1]] for c in closing.tolist()]
    )
    taken = np.setdiff1d(np.arange(made.n), open_ones[members[members < open_ones.size]])
    used = members[members >= open_ones.size] - open_ones.size
    return (
        merged(made.picked(taken), chains.picked(closing)),
        np.concatenate((made_key[taken], chain_key[closing])),
        np.setdiff1d(second, second[used]),
    )


def _chains(part: Strokes, key: IntArray, tolerance: float) -> tuple[Strokes, IntArray, Joined]:
    joined = join_strokes(part.starts, part.ends, lengths_of(part), tolerance=tolerance, groups=key)
    segments, kinds, offsets = chained(part.segments, part.kinds, part.offsets, joined)
    first = joined.order[joined.offsets[:-1]]
    lowest = np.minimum.reduceat(part.row[joined.order], joined.offsets[:-1])
    made = Strokes(
        segments, kinds, offsets, joined.closed, part.layer[first], lowest, part.group[first]
    )
    return made, key[first], joined


def merged(a: Strokes, b: Strokes) -> Strokes:
    """Two sets of strokes, one after the other."""
    if not a.n:
        return b
    if not b.n:
        return a
    return Strokes(
        np.concatenate((a.segments, b.segments)), np.concatenate((a.kinds, b.kinds)),
        np.concatenate((a.offsets, b.offsets[1:] + len(a.segments))),
        np.concatenate((a.closed, b.closed)), np.concatenate((a.layer, b.layer)),
        np.concatenate((a.row, b.row)), np.concatenate((a.group, b.group)),
    )  # fmt: skip


def _say(
    part: Strokes, made: Strokes, joined: Joined, tolerance: float,
    piece_of: Callable[[int], str | None], findings: list[Finding],
) -> None:  # fmt: skip
    worst = float(joined.bridged.max(initial=0.0))
    for group in np.unique(made.group).tolist():
        here = made.group == group
        strokes = int((part.group == group).sum())
        if strokes == int(here.sum()):
            continue
        findings.append(
            Finding(
                code="outline.joined",
                severity=Severity.NOTE if worst <= 0.02 else Severity.WARNING,
                message=f"{strokes} loose lines are joined into {int(here.sum())} "
                f"({int(made.closed[here].sum())} closed); the widest gap bridged is "
                f"{worst:.4f} mm",
                piece=piece_of(group),
                measured=worst,
                repaired=True,
            )
        )
    for gap in joined.gaps[:_MOST_SAID]:
        findings.append(
            Finding(
                code="outline.gap",
                severity=Severity.WARNING,
                message=f"two ends lie {gap.distance:.3f} mm apart and are not joined",
                piece=piece_of(int(part.group[min(gap.strokes[0], part.n - 1)])),
                x=gap.a[0],
                y=gap.a[1],
                related=(gap.b,),
                measured=gap.distance,
                limit=tolerance,
                hint=f'say join = "{gap.distance * 1.1:.2g} mm" to bridge it',
            )
        )
    for junction in joined.junctions[:_MOST_SAID]:
        findings.append(
            Finding(
                code="outline.junction",
                severity=Severity.WARNING,
                message=f"{len(junction.strokes)} lines meet in one place; which belong together "
                "is not guessed",
                x=junction.x,
                y=junction.y,
                hint="draw other lines on another layer, or cut the outline out of them",
            )
        )
    more = max(0, len(joined.gaps) - _MOST_SAID) + max(0, len(joined.junctions) - _MOST_SAID)
    if more:
        findings.append(
            Finding(
                code="outline.gap",
                severity=Severity.WARNING,
                message=f"{more} more gaps and junctions",
                measured=float(more),
            )
        )


def _say_twins(
    part: Strokes, second: IntArray, how: list[str], wishes: JoinWishes,
    piece_of: Callable[[int], str | None], findings: list[Finding],
) -> None:  # fmt: skip
    length = lengths_of(part)
    kinds = ", ".join(f"{how.count(h)} {h}" for h in dict.fromkeys(how))
    for group in np.unique(part.group[second]).tolist():
        mine = second[part.group[second] == group]
        x, y = part.starts[mine[0]]
        before = float(length[part.group == group].sum())
        after = before - float(length[mine].sum())
        findings.append(
            Finding(
                code="line.twice",
                severity=Severity.WARNING,
                message=f"{mine.size} lines are drawn twice ({kinds} in all): "
                f"{before:.1f} mm of line where {after:.1f} mm would do; the second ones are "
                + ("kept as inner lines" if wishes.keep_twins else "left out"),
                piece=piece_of(group),
                x=float(x),
                y=float(y),
                measured=before - after,
                repaired=not wishes.keep_twins,
                hint='say duplicates = "remove" to leave them out' if wishes.keep_twins else None,
            )
        )
