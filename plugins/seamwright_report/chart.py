"""Ease as pictures: every size against the allowed range, and where along the seam it lies.

Widths are percentages and heights pixels, so that letters keep their size on a phone.
"""

from __future__ import annotations

from math import isfinite

import numpy as np

from .facts import Facts, SeamFacts
from .markup import Markup, el, name
from .pictures import layer, size_names
from .say import Say

ROW = 26  # pixels a size
BARS = 132  # height of the bars' picture


def size_charts(facts: Facts, say: Say) -> Markup | None:
    """For each seam worth a look: its ease in every size, before and after, and its range."""
    seams = [s for s in facts.worst_first if _worth(s)]
    if not seams:
        return None
    scale = _Scale(seams)
    charts = [_size_chart(seam, facts, say, scale) for seam in seams]
    legend = el(
        "p",
        el("span", class_="dot dot-before"),
        "before ",
        el("span", class_="dot dot-after"),
        "after ",
        el("span", class_="key key-range"),
        f"what the plan allows. Ease in {say.word}.",
        class_="legend",
    )
    return el("div", legend, el("div", charts, class_="charts"))


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
            marks.append(_dot(scale.at(old), y, "before", f"before {say.full(old)}"))
        if isfinite(new):
            marks.append(_dot(scale.at(new), y, "after", f"after {say.full(new)}"))
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
        el("figcaption", el("b", name(seam.name)), " ", el("span", _range(seam, say))),
        el(
            "div",
            el("div", rows, class_="rows"),
            el("div", plot, axis, class_="plot"),
            el("div", values, class_="rows values"),
            class_="chart",
        ),
    )


def scale_ticks(scale: _Scale, say: Say) -> list[tuple[float, float]]:
    """(percent, mm) of the axis's round places, few enough for a phone."""
    return [(scale.at(mm), mm) for mm in say.ticks(scale.low, scale.high, 6)]


def _dot(x: float, y: float, which: str, title: str) -> Markup:
    radius = 5 if which == "after" else 4.5
    return el("circle", el("title", title), cx=pct(x), cy=y, r=radius, class_=f"c-{which}")


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


def _range(seam: SeamFacts, say: Say) -> str:
    if seam.stated:
        return f"allowed {say.about(seam.at_least)} to {say.about(seam.at_most)}"
    return f"allowed {say.about(seam.at_most)} either way"


def stretch_charts(facts: Facts, say: Say) -> Markup | None:
    """Where along the seam the ease lies, between its notches, one size at a time."""
    seams = [s for s in facts.worst_first if _worth(s) and len(s.stretches) > 1]
    if not seams:
        return None
    figures = [
        el(
            "figure",
            el("figcaption", el("b", name(seam.name)), size_names(facts)),
            [
                el("div", _bars(seam, z, say), _stretch_table(seam, z, say), class_=layer(z))
                for z in range(len(facts.sizes))
                if np.isfinite(seam.sew_after[z])
            ],
        )
        for seam in seams
    ]
    note = (
        "Each bar is the stretch from one notch to the next, as wide as it is long on the edge "
        "it is sewn to; its height is the ease in that stretch."
    )
    return el("div", el("p", note, class_="soft"), el("div", figures, class_="charts"))


def _bars(seam: SeamFacts, z: int, say: Say) -> Markup:
    before = np.array([float(s.before[z]) for s in seam.stretches])
    after = np.array([float(s.after[z]) for s in seam.stretches])
    lengths = np.nan_to_num(np.array([float(s.to_after[z]) for s in seam.stretches]))
    total = float(lengths.sum()) or 1.0
    known = np.nan_to_num(np.concatenate((before, after)))
    most, least = max(float(known.max()), 1.0), min(float(known.min()), 0.0)
    scale = (BARS - 30) / (most - least)
    ground = 8 + scale * most
    marks: list[Markup] = []
    x = 0.0
    for i, (old, new, length) in enumerate(zip(before, after, lengths, strict=True)):
        width = 100.0 * length / total
        for value, which, inset in ((old, "before", 0.0), (new, "after", 0.14)):
            if isfinite(value):
                marks.append(_bar(value, which, x + inset * width, width * (1 - 2 * inset),
                                  ground, scale, say))  # fmt: skip
        marks.append(el("text", str(i + 1), x=pct(x + width / 2), y=BARS - 4, text_anchor="middle"))
        x += width
        if i + 1 < len(lengths):
            marks.append(el("line", x1=pct(x), x2=pct(x), y1=4, y2=BARS - 18, class_="tick"))
    marks.append(el("line", x1="0%", x2="100%", y1=f"{ground:.1f}", y2=f"{ground:.1f}",
                    class_="zero"))  # fmt: skip
    return el("svg", marks, width="100%", height=BARS, class_="bars", aria_hidden="true")


def _bar(
    value: float, which: str, x: float, width: float, ground: float, scale: float, say: Say
) -> Markup:
    top = ground - scale * max(value, 0.0)
    return el(
        "rect",
        el("title", f"{which} {say.full(value)}"),
        x=pct(x),
        y=f"{top:.1f}",
        width=pct(width),
        height=f"{max(abs(value) * scale, 0.8):.1f}",
        class_=f"b-{which}",
    )


def _stretch_table(seam: SeamFacts, z: int, say: Say) -> Markup:
    head = el(
        "tr",
        [el("th", h, scope="col") for h in ("", "stretch", "long", "ease before", "after")],
    )
    rows = []
    for i, s in enumerate(seam.stretches):
        rows.append(
            el(
                "tr",
                el("td", str(i + 1), class_="soft"),
                el("th", name(s.start), " to ", name(s.end), scope="row"),
                el("td", say.short(float(s.to_after[z])), class_="n"),
                el("td", say.short(float(s.before[z])), class_="n", title=say.exact(s.before[z])),
                el("td", el("b", say.short(float(s.after[z]))), class_="n",
                   title=say.exact(s.after[z])),
            )
        )  # fmt: skip
    table = el("table", el("thead", head), el("tbody", rows), class_="small")
    return el("div", table, class_="wide")
