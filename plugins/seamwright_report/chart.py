"""Ease as a picture: every size against the allowed range.

Widths are percentages and heights pixels, so that letters keep their size on a phone.
"""

from __future__ import annotations

from math import isfinite

import numpy as np

from .facts import Facts, SeamFacts
from .markup import Markup, Told, el, name
from .say import Say

ROW = 26  # pixels a size
MOST = 40  # charts


def size_charts(facts: Facts, say: Say) -> Markup | None:
    """For each seam worth a look: its ease in every size, before and after, and its range."""
    seams = [s for s in facts.worst_first if _worth(s)]
    if not seams:
        return None
    rest = len(seams) - MOST
    seams = seams[:MOST]
    scale = _Scale(seams)
    charts = [_size_chart(seam, facts, say, scale) for seam in seams]
    legend = el(
        "p",
        el("span", class_="dot dot-before"),
        "before ",
        el("span", class_="dot dot-after"),
        "after ",
        el("span", class_="key key-range"),
        Told(f"what the plan allows. Ease in {say.word}."),
        class_="legend",
    )
    told = f"{rest} more seams stand in the table." if rest > 0 else None
    more = el("p", told, class_="soft") if told else None
    return el("div", legend, el("div", charts, class_="charts"), more)


def _worth(seam: SeamFacts) -> bool:
    known = np.isfinite(seam.before).any() or np.isfinite(seam.after).any()
    return bool(known) and (seam.stated or seam.moved or max(seam.worst) > 0)


class _Scale:
    """One axis for all charts: from below 0 (or the least ease) to above the most."""

    def __init__(self, seams: list[SeamFacts]) -> None:
        values = np.concatenate(
            [np.concatenate((s.before, s.after, [s.at_least, s.at_most])) for s in seams]
        )
        values = values[np.isfinite(values)]
        low, high = min(float(values.min()), 0.0), max(float(values.max()), 1.0)
        room = 0.06 * (high - low)
        self.low = low - room if low < 0 else low
        self.high = high + room

    def at(self, mm: float) -> float:
        """Where a length lies, percent."""
        return 100.0 * (mm - self.low) / (self.high - self.low)


def pct(value: float) -> str:
    """A percentage for an attribute."""
    return f"{value:.2f}%"


def _size_chart(seam: SeamFacts, facts: Facts, say: Say, scale: _Scale) -> Markup:
    n = len(facts.sizes)
    height = n * ROW
    low, high = scale.at(seam.at_least), scale.at(seam.at_most)
    low, high = max(low, 0.0), min(high, 100.0)
    marks: list[Markup] = [
        el("rect", x=pct(low), y=0, width=pct(max(high - low, 0.4)), height=height, class_="range")
    ]
    ticks = scale_ticks(scale, say)
    marks += [
        el("line", x1=pct(x), x2=pct(x), y1=0, y2=height, class_="zero" if mm == 0 else "tick")
        for x, mm in ticks
    ]
    for z in range(n):
        y = ROW * (z + 0.5)
        old, new = float(seam.before[z]), float(seam.after[z])
        if isfinite(old) and isfinite(new) and abs(old - new) > 1e-9:
            marks.append(
                el("line", x1=pct(scale.at(old)), x2=pct(scale.at(new)), y1=y, y2=y, class_="move")
            )
            marks.append(_dot(scale.at(old), y, "before"))
        if isfinite(new):
            marks.append(_dot(scale.at(new), y, "after"))
    plot = el(
        "svg",
        marks,
        width="100%",
        height=height,
        role="img",
        aria_label=f"Ease of {seam.name} in each size; the figures stand in the table of seams",
    )
    axis = el(
        "div",
        [el("span", say.short(mm), style=f"left:{pct(x)}") for x, mm in ticks],
        class_="axis",
    )
    rows = [el("div", name(size), class_="row-label") for size in facts.sizes]
    values = [_value(seam, z, say) for z in range(n)]
    return el(
        "figure",
        el("figcaption", el("b", name(seam.name)), " ", el("span", ease_range(seam, say))),
        el(
            "div",
            el("div", rows, class_="rows"),
            el("div", plot, axis, class_="plot", data_low=f"{scale.low:.4f}",
               data_high=f"{scale.high:.4f}"),
            el("div", values, class_="rows values"),
            class_="chart",
        ),
    )  # fmt: skip


def scale_ticks(scale: _Scale, say: Say) -> list[tuple[float, float]]:
    """(percent, mm) of the axis's round places, few enough for a phone."""
    return [(scale.at(mm), mm) for mm in say.ticks(scale.low, scale.high, 6)]


def _dot(x: float, y: float, which: str) -> Markup:
    radius = 5 if which == "after" else 4.5
    return el("circle", cx=pct(x), cy=y, r=radius, class_=f"c-{which}")


def _value(seam: SeamFacts, z: int, say: Say) -> Markup:
    old, new = float(seam.before[z]), float(seam.after[z])
    if isfinite(old) and isfinite(new) and abs(old - new) > 0.005:
        return el(
            "div",
            el("span", say.short(old), class_="was"),
            " → ",
            el("b", say.short(new)),
            class_="row-label",
        )
    return el("div", say.short(new if isfinite(new) else old), class_="row-label")


def ease_range(seam: SeamFacts, say: Say) -> str:
    """What the plan allows, in words."""
    if seam.stated:
        return Told(f"allowed {say.both(seam.at_least)} to {say.both(seam.at_most)}")
    return Told(f"allowed {say.both(seam.at_most)} either way")
