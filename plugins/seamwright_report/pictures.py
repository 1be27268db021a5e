"""Pieces before and after, laid over each other. The base size stands in the page; the script draws
the others from the same lines.

Blue is where a piece grew, hatched orange where it lost; a dashed orange line is how a line was, a
solid blue one how it is. What did not change is drawn in plain ink.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import ceil, log2

from .combs import Combs, combs_of, legend, points_of
from .drawing import Box
from .facts import Facts
from .markup import Markup, clean, el, name
from .packing import Strokes, path_text
from .strokes import LAYERS, WORDS, Layers, polylines
from .timeline import Timeline, Track

HATCHES = range(7, 18)  # powers of two, in hundredths of a millimetre from line to line


def layer(z: int) -> str:
    """The class of what belongs to size number z alone: the size buttons show one at a time."""
    return f"z z{z}"


def size_names(facts: Facts) -> list[Markup]:
    """ ", size C": the size that is shown, for captions; nothing where there is one only."""
    if len(facts.sizes) < 2:
        return []
    return [
        el("span", ", size ", name(size), class_=layer(z)) for z, size in enumerate(facts.sizes)
    ]


def pictures(facts: Facts, timeline: Timeline, close: list[Markup]) -> Markup:
    """All pieces: the changed ones large, beside the close views, the others small."""
    combs = combs_of(facts.record)
    last = timeline.last
    gone = [t for t in timeline.tracks if t.at(0) is not None or t.at(last) is not None]
    changed = [t for t in gone if t.at(0) is not t.at(last)]
    combed = [t for t in gone if t not in changed and points_of(combs, t.name)]
    same = [t for t in gone if t not in changed and t not in combed]
    out: list[Markup] = []
    if changed:
        large = [figure(t, facts, timeline, (0, last), combs) for t in changed]
        many = " of-step" if len(large) > 6 else ""
        out += [KEY, el("div", close, large, class_=f"plates{many}")]
    if combed:
        large = [figure(t, facts, timeline, (0, last), combs) for t in combed]
        out.append(el("div", large, class_="plates"))
    if same:
        out.append(el("h3", "Pieces that stayed as they were" if changed else "Pieces"))
        small = [figure(t, facts, timeline, (last, last), {}, large=False) for t in same]
        out.append(el("div", small, class_="thumbs"))
    return el("div", legend(combs), out)


KEY = el(
    "p",
    el("span", class_="key key-before"),
    "as it was ",
    el("span", class_="key key-after"),
    "as it is ",
    el("span", class_="swatch lost"),
    "taken away ",
    el("span", class_="swatch got"),
    "added. Where only one line shows, nothing moved.",
    class_="legend",
)


def step_pictures(state: int, facts: Facts, timeline: Timeline) -> Markup | None:
    """What one step changed: each piece as the step found it and as it left it."""
    changed = timeline.changed(state)
    if not changed:
        return None
    shown = [t for t in changed if _differs(t, timeline.sizes, (state - 1, state))]
    rest = [t for t in changed if t not in shown]
    figures = [
        figure(t, facts, timeline, (state - 1, state), _own_combs(facts, state)) for t in shown
    ]
    told = None
    if rest:
        names: list[object] = []
        for t in rest:
            names += [", " if names else "", name(t.name)]
        told = el("p", "Changed in what is not drawn (names, widths, data): ", names, ".",
                  class_="soft")  # fmt: skip
    drawn = el("div", figures, class_="plates of-step") if figures else None
    return el("div", drawn, told)


def _own_combs(facts: Facts, state: int) -> Combs:
    steps = facts.record.steps
    return combs_of(facts.record, only=state - 1) if state <= len(steps) else {}


def _differs(track: Track, sizes: Sequence[str], states: tuple[int, int]) -> bool:
    return bool(_what(track, sizes, states))


def _what(track: Track, sizes: Sequence[str], states: tuple[int, int]) -> list[str]:
    """Layers that differ between two states in any size, most telling first."""
    old, new = track.at(states[0]), track.at(states[1])
    found = []
    for kind in reversed(LAYERS):
        for size in sizes:
            a = old.layers.get(size, {}).get(kind) if old else None
            b = new.layers.get(size, {}).get(kind) if new else None
            if (a is None) != (b is None) or (a is not None and not a.same(b)):
                found.append(kind)
                break
    return found


def figure(
    track: Track,
    facts: Facts,
    timeline: Timeline,
    states: tuple[int, int],
    combs: Combs,
    *,
    large: bool = True,
) -> Markup | None:
    """One piece in two states (or twice the same), drawn in the base size, or else in the first
    size in which a change shows."""
    old, new = track.at(states[0]), track.at(states[1])
    there = [s for s in facts.sizes if any(x and s in x.shapes for x in (old, new))]
    if not there:
        return None
    base = facts.sizes[facts.base]
    size = base if base in there else there[0]
    if old is not new and not _what(track, (size,), states):
        # Nothing is to be seen of the change in that size: show one in which there is.
        size = next((s for s in there if _what(track, (s,), states)), size)
    a = old.layers.get(size) if old else None
    b = new.layers.get(size) if new else None
    box = track.box(*states)
    teeth = points_of(combs, track.name)
    if teeth:
        xs, ys = [p[0] for p in teeth], [p[1] for p in teeth]
        box = (min(box[0], *xs), min(box[1], *ys), max(box[2], *xs), max(box[3], *ys))
    span = max(box[2] - box[0], box[3] - box[1], 1.0)
    hatch = hatch_of(span)
    moved = old is not new
    tag = f"k{track.number}-{states[0]}-{states[1]}" if large else ""
    drawing = el(
        "svg",
        el("g", drawn(a, b, tag, hatch), class_="lines"),
        _comb_paths(combs, track.name, size),
        viewBox=view(box, 0.03 * span),
        role="img",
        aria_label=f"{clean(track.name)}, "
        + ("before and after" if moved and a and b else "new" if moved and b else
           "gone" if moved else "unchanged"),
        class_="pic",
        data_p=track.number,
        data_a=states[0],
        data_b=states[1],
        data_h=hatch,
        data_k=tag or None,
    )  # fmt: skip
    caption = _caption(track, facts, (old, new), states, size, large=large)
    return el("figure", drawing, caption, class_="plate" if large else "thumb")


def _caption(
    track: Track,
    facts: Facts,
    stages: tuple[object, object],
    states: tuple[int, int],
    size: str,
    *,
    large: bool,
) -> Markup:
    out: list[object] = [el("b", name(track.name))]
    if large and len(facts.sizes) > 1:
        out += [", size ", el("bdi", size, class_="shown")]
    old, new = track.at(states[0]), track.at(states[1])
    if old is not new:
        if old is None:
            out.append(" · new")
        elif new is None:
            out.append(" · gone")
        else:
            what = [WORDS[k] for k in _what(track, facts.sizes, states)]
            if what:
                out.append(" · " + ", ".join(what) + " changed")
            touched = [s for s in facts.sizes if old.shapes.get(s) is not new.shapes.get(s)]
            if len(facts.sizes) > 1 and len(touched) < len(facts.sizes):
                out.append(f", in {len(touched)} of {len(facts.sizes)} sizes")
            elif len(facts.sizes) > 1:
                out.append(", in all sizes")
    stage = new or old
    missing = [s for s in facts.sizes if stage is None or s not in stage.shapes]
    if missing:
        out.append(el("span", " · not in ", ", ".join(missing), class_="soft"))
    return el("figcaption", out)


def drawn(old: Layers | None, new: Layers | None, tag: str, hatch: int) -> list[Markup]:
    """A piece as it was and as it is. The page's script draws the same (pieces.js)."""
    shape = new or old
    if shape is None:
        return []
    out: list[Markup] = []
    was, now = (old or {}).get("s"), (new or {}).get("s")
    if was is not None and now is not None and not was.same(now):
        a, b = path_text(was), path_text(now)
        out += [
            el("clipPath", el("path", d=a), id=tag),
            el("path", d=a, class_="lost", style=f"fill:url(#h{hatch})"),
            el("path", d=b, class_="got"),
            el("path", d=b, class_="kept", clip_path=f"url(#{tag})"),
        ]
    elif was is not None and new is None:
        out.append(el("path", d=path_text(was), class_="lost", style=f"fill:url(#h{hatch})"))
    elif now is not None:
        out.append(el("path", d=path_text(now), class_="got" if old is None else "kept"))
    for kind in LAYERS:
        x, y = (old or {}).get(kind), (new or {}).get(kind)
        if x is not None and not x.same(y):
            out.append(_line(x, f"l{kind} was"))
        if y is not None:
            out.append(_line(y, f"l{kind}" if y.same(x) else f"l{kind} now"))
    return out


def _line(strokes: Strokes, class_: str) -> Markup:
    return el("path", d=path_text(strokes), class_=class_)


def _comb_paths(combs: Combs, piece: str, size: str) -> list[Markup]:
    found = combs.get((piece, size), {})
    return [
        _line(polylines(found[when]), f"comb comb-{when}")
        for when in ("before", "after")
        if when in found
    ]


def view(box: Box, margin: float) -> str:
    """A viewBox in hundredths of a millimetre round a box in mm, y up."""
    x0, y0, x1, y1 = box
    return " ".join(
        str(round(100 * v))
        for v in (x0 - margin, -y1 - margin, x1 - x0 + 2 * margin, y1 - y0 + 2 * margin)
    )


def hatch_of(span: float) -> int:
    """Which hatching suits a drawing of that span (mm): about a hundred lines across."""
    return min(max(ceil(log2(span)), HATCHES[0]), HATCHES[-1])


def hatchings() -> Markup:
    """The patterns of all drawings, once a page."""
    made = []
    for k in HATCHES:
        step = 2**k
        made.append(
            el("pattern", el("path", d=f"M0 0V{step}", stroke_width=step // 4, class_="hatch"),
               id=f"h{k}", width=step, height=step, patternUnits="userSpaceOnUse",
               patternTransform="rotate(45)")
        )  # fmt: skip
    return el("svg", el("defs", made), width=0, height=0, aria_hidden="true", class_="unseen")
