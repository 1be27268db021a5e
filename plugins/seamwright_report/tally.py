"""The run in five figures, before a word is read."""

from __future__ import annotations

import numpy as np

from seamwright.plan import DEFAULT_TOLERANCE
from seamwright.plugins.api import Record

from .facts import Facts
from .markup import Markup, el


def tally(facts: Facts, record: Record) -> Markup:
    """How many seams and notches are in order, over all sizes; pieces changed; findings."""
    tiles: list[Markup] = []
    if facts.seams:
        now = np.stack([s.out_after for s in facts.seams])
        was = np.stack([s.out_before for s in facts.seams])
        known = int(np.isfinite(now).sum())
        good, then = (int((rows == 0).sum()) for rows in (now, was))
        over, under = int((now > 0).sum()), int((now < 0).sum())
        each = "seams" if len(facts.sizes) == 1 else "seams, over all sizes,"
        before = f" (before: {then})" if then != good else ""
        tiles.append(_tile(f"{good} of {known}", f"{each} within their range{before}",
                           good == known))  # fmt: skip
        if over:
            tiles.append(_tile(f"▲ {over}", "too long", False))
        if under:
            tiles.append(_tile(f"▼ {under}", "too short", False))
    if facts.pairs:
        off = np.stack([p.after for p in facts.pairs])
        miss = int((np.abs(np.nan_to_num(off)) > DEFAULT_TOLERANCE + 1e-9).sum())
        known = int(np.isfinite(off).sum())
        tiles.append(_tile(f"{known - miss} of {known}", "pairs of notches meet", miss == 0))
    changed = len(facts.changed)
    if facts.pieces:
        tiles.append(_tile(f"{changed} of {len(facts.pieces)}", "pieces changed", True))
    counts = [
        (sum(f.severity.value == word for f in record.findings), word)
        for word in ("error", "warning", "note")
    ]
    told = ", ".join(f"{n} {word}{'' if n == 1 else 's'}" for n, word in counts if n)
    if told:
        tiles.append(_tile("", f"on the way: {told}", True))
    return el("ul", tiles, class_="tally")


def _tile(figure: str, words: str, good: bool) -> Markup:
    return el("li", el("b", figure, " ") if figure else None, words, class_=None if good else "off")
