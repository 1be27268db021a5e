"""The seams one by one: where the ease sits, which notches meet, and room to walk each of them."""

from __future__ import annotations

from collections.abc import Sequence
from math import isfinite

import numpy as np

from seamwright.plan import DEFAULT_TOLERANCE

from .chart import ease_range
from .facts import Facts
from .markup import Markup, Told, el, name
from .say import Say
from .seam_tables import SIGNS, WORDS, verdict
from .strip import Strip, pair_list, strip
from .walking import SeamWalk, Side

MISS = ", ◇ notches miss"
DRAWN = 60  # seams whose strips stand in the page; the script draws those of the others


def seam_list(walks: Sequence[SeamWalk], facts: Facts, say: Say) -> Markup:
    """Worst first."""
    order = sorted(walks, key=_worst)
    note = el(
        "p",
        "Both sides of each seam, drawn straight from the end that meets. A wavy line holds ease; "
        "letters are the notches that must meet, and a dashed join marks two that miss.",
        class_="soft",
    )
    return el("div", note, [_one(w, facts, say, drawn=i < DRAWN) for i, w in enumerate(order)])


def _worst(w: SeamWalk) -> tuple[float, ...]:
    """What is still wrong in front: length, then notches; then what was wrong before."""
    now, before = w.facts.worst
    miss = np.abs(np.nan_to_num(w.after.miss))
    off = float(miss[miss > DEFAULT_TOLERANCE + 1e-9].max(initial=0.0))
    return -now, -off, -before


def chip(number: int) -> Markup:
    """A seam's number in its colour."""
    return el("span", str(number), class_=f"chip q{(number - 1) % 7}")


def _one(w: SeamWalk, facts: Facts, say: Say, *, drawn: bool) -> Markup:
    z = facts.base
    state = verdict(float(w.facts.out_after[z]))
    words = f"{SIGNS.get(state, '')}{WORDS.get(state, 'not measured')}"
    if any(w.after.off(z)):
        words += MISS
        state = "over" if state == "ok" else state
    strips: list[Markup | None] = []
    if drawn:
        if w.before is not None:
            strips.append(strip(w.before, z, say, when="before", which="b"))
        now = "now" if w.before is not None else ""
        strips.append(strip(w.after, z, say, when=now, which="a"))
        strips.append(pair_list(w.after, z, say))
    size: list[object] = []
    if len(facts.sizes) > 1:
        size = ["Size ", el("bdi", facts.sizes[z], class_="shown"), ": "]
    return el(
        "article",
        el("h3", chip(w.number), " ", name(w.facts.name), " ",
           el("span", words, class_=f"badge seam-{state or 'none'}")),
        el("p", size, el("span", _figures(w, z, say), class_="figures"), class_="soft"),
        el("div", strips, class_="strips"),
        el(
            "details",
            el("summary", "Walk this seam"),
            el("div", class_="stage"),
            stretch_table(w, z, say) if drawn else None,
            class_="walk",
        ),
        class_="seam",
        id=f"seam-{w.number}",
        data_s=w.number - 1,
    )  # fmt: skip


def _figures(w: SeamWalk, z: int, say: Say) -> str:
    old, new = (0.0 if abs(e) < 0.05 else float(e) for e in (w.facts.before[z], w.facts.after[z]))
    told = f"ease {say.both(old)} → " if w.facts.moved and isfinite(old) else "ease "
    return Told(f"{told}{say.both(new)}, {ease_range(w.facts, say)}")


def stretch_table(w: SeamWalk, z: int, say: Say) -> Markup | None:
    """The seam from notch to notch: lengths and ease."""
    made = Strip.of(w.after, z)
    if made is None:
        return None
    old = Strip.of(w.before, z) if w.before else None
    if old is not None and len(old.bounds) != len(made.bounds):
        old = None
    heads = ["stretch", "long", *(["ease before"] if old else []), "ease now" if old else "ease"]
    head = el("tr", [el("th", h, scope="col", class_="n" if i else None)
                     for i, h in enumerate(heads)])  # fmt: skip
    names = bound_names(w.after, made, w)
    rows = []
    for i, (a, b) in enumerate(zip(made.bounds, made.bounds[1:], strict=False)):
        cells = [el("td", say.short(b.to - a.to), class_="n")]
        if old is not None:
            c, d = old.bounds[i], old.bounds[i + 1]
            cells.append(el("td", say.short((d.sew - c.sew) - (d.to - c.to)), class_="n"))
        now = (b.sew - a.sew) - (b.to - a.to)
        cells.append(el("td", el("b", say.short(now)), class_="n"))
        rows.append(
            el("tr", el("th", name(names[i]), " to ", name(names[i + 1]), scope="row"), cells)
        )
    table = el("table", el("thead", head), el("tbody", rows), class_="small stretches")
    return el("div", table, class_="wide")


def bound_names(side: Side, made: Strip, w: SeamWalk) -> list[str]:
    """Marks of the sew side at the strip's bounds."""
    sew = w.facts.seam.sew.parts
    inner = [side.names[b.pair - 1][0] for b in made.bounds if b.pair]
    return [sew[0].marks[0], *inner, sew[-1].marks[-1]]
