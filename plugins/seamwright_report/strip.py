"""Both sides of a seam drawn straight, one over the other, from the end that meets.

Where the upper side holds ease it is wavy, as it is drawn on a pattern; lines join the notches that
must meet, and one that cannot meet is dashed and marked. The page's script draws the same for the
other sizes (strip.js).
"""

from __future__ import annotations

from dataclasses import dataclass
from math import isfinite
from typing import NamedTuple

from seamwright.plan import DEFAULT_TOLERANCE

from .markup import Markup, Told, el, name
from .say import Say
from .walking import Side

TOP, BOTTOM, TALL = 22, 88, 110
NEAR = 70.0  # of 1000
PLAIN = 0.5  # mm; less ease in a stretch is none to speak of


class Bound(NamedTuple):
    """A place where both sides are held together: mm along each, and its pair's number (0: an
    end)."""

    sew: float
    to: float
    pair: int


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Strip:
    """A seam's side in one size: its bounds in order, and which pairs miss."""

    sew: float
    to: float
    bounds: list[Bound]
    off: dict[int, float]

    @classmethod
    def of(cls, side: Side, z: int) -> Strip | None:
        """None where the size cannot be walked."""
        sew, to = float(side.sew[z]), float(side.to[z])
        if not (isfinite(sew) and isfinite(to)):
            return None
        bounds = [Bound(0.0, 0.0, 0)]
        off = {}
        for i in range(len(side.names)):
            a, b = float(side.pair_sew[i, z]), float(side.pair_to[i, z])
            if isfinite(a) and isfinite(b):
                bounds.append(Bound(a, b, i + 1))
                miss = float(side.miss[i, z])
                if abs(miss) > DEFAULT_TOLERANCE + 1e-9:
                    off[i + 1] = miss
        bounds.append(Bound(sew, to, 0))
        return cls(sew=sew, to=to, bounds=bounds, off=off)


def strip(side: Side, z: int, say: Say, *, when: str, which: str) -> Markup | None:
    """The picture of one side; `when` is written beside it ("before", "now")."""
    made = Strip.of(side, z)
    if made is None:
        return None
    most = max(made.sew, made.to, 1e-6)
    bands: list[Markup] = []
    rails: list[Markup] = []
    joins: list[Markup] = []
    words: list[Markup] = []
    for a, b in zip(made.bounds, made.bounds[1:], strict=False):
        x = [1000.0 * v / most for v in (a.sew, b.sew, b.to, a.to)]
        ease = (b.sew - a.sew) - (b.to - a.to)
        kind = "more" if ease > PLAIN else "less" if ease < -PLAIN else "even"
        corners = f"{x[0]:.1f},{TOP} {x[1]:.1f},{TOP} {x[2]:.1f},{BOTTOM} {x[3]:.1f},{BOTTOM}"
        bands.append(el("polygon", points=corners, class_=kind))
        rails.append(el("path", d=wave(x[0], x[1], TOP, ease, b.sew - a.sew), class_="sew"))
        rails.append(el("path", d=wave(x[3], x[2], BOTTOM, -ease, b.to - a.to), class_="to"))
        middle = sum(x) / 40.0
        if kind != "even" or x[1] - x[0] > 60:
            sign = "+" if ease > PLAIN else ""
            said = say.short(ease) if kind != "even" else "0"
            words.append(el("span", sign, said, class_=f"ease {kind}", style=f"left:{middle:.1f}%"))
    last = [-100.0, -100.0]
    for bound in made.bounds:
        if bound.pair:
            places = 1000.0 * bound.sew / most, 1000.0 * bound.to / most
            miss = bound.pair in made.off
            joins.append(el("path", d=f"M{places[0]:.1f} {TOP}L{places[1]:.1f} {BOTTOM}",
                            class_="join off" if miss else "join"))  # fmt: skip
            for i, (at, row) in enumerate(zip(places, ("up", "down"), strict=True)):
                # Letters too close side by side stand at two heights.
                near = at - last[i] < NEAR
                last[i] = -100.0 if near else at
                kind = f"num {row}{' off' if miss else ''}{' alt' if near else ''}"
                words.append(
                    el("span", letter_of(bound.pair), class_=kind,
                       style=f"left:{at / 10:.1f}%")
                )  # fmt: skip
    drawing = el("svg", bands, joins, rails, viewBox=f"0 0 1000 {TALL}",
                 preserveAspectRatio="none")  # fmt: skip
    lengths = [
        el("span", _pieces(side, up=up), " ", say.short(made.sew if up else made.to),
           class_="side up" if up else "side down")
        for up in (True, False)
    ]  # fmt: skip
    head = el("span", when, class_="when") if when else None
    # What the drawing shows stands in words below it and in the table of stretches.
    track = el("div", drawing, words, class_="track", aria_hidden="true")
    return el("div", head, lengths[0], track, lengths[1],
              class_="strip" if when else "strip one", data_side=which)  # fmt: skip


def letter_of(pair: int) -> str:
    """A pair's letter: a to z, aa, ab, ..."""
    ahead = letter_of((pair - 1) // 26) if pair > 26 else ""
    return ahead + chr(97 + (pair - 1) % 26)


def _pieces(side: Side, *, up: bool) -> Markup:
    names = dict.fromkeys(p.piece for p in (side.sew_ways if up else side.to_ways))
    return name(" + ".join(names))


def wave(x0: float, x1: float, y: int, ease: float, length: float) -> str:
    """A line that is wavy where it holds ease, the more the denser."""
    if ease <= PLAIN or length < 1e-6 or x1 - x0 < 4.0:
        return f"M{x0:.1f} {y}L{x1:.1f} {y}"
    high = min(max(120.0 * ease / length, 4.0), 18.0)
    count = max(2, 2 * round((x1 - x0) / 28.0))
    half = (x1 - x0) / count
    out = [f"M{x0:.1f} {y}"]
    for i in range(count):
        up = -high if i % 2 == 0 else high
        out.append(f"q{half / 2:.2f} {up:.1f} {half:.2f} 0")
    return "".join(out)


def pair_list(side: Side, z: int, say: Say) -> Markup | None:
    """Each pair of notches in words."""
    made = Strip.of(side, z)
    if made is None or not side.names:
        return None
    there = {b.pair for b in made.bounds}
    rows = []
    for i, (a, b) in enumerate(side.names, start=1):
        names = [name(a)] if a == b else [name(a), " and ", name(b)]
        if i not in there:
            rows.append(el("li", names, " not in this size", class_="soft"))
        elif i in made.off:
            told = Told(f" miss one another by {say.both(abs(made.off[i]))}")
            rows.append(el("li", names, el("b", told), class_="off"))
        else:
            rows.append(el("li", names, " meet" if a != b else " meets"))
    return el("ol", rows, class_="pairs", type="a")
