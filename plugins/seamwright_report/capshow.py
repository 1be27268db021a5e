"""The cap close to: before and after, with the places of the tucks; and the table of folds."""

from __future__ import annotations

import numpy as np

from seamwright.geometry import FloatArray

from .cap import Cap, Side, pose_of, posed
from .drawing import Box, label, line, num, path, union, view
from .facts import Facts
from .folds import Fold, Folded, Folds
from .markup import Markup, Told, el, name
from .pictures import layer, size_names
from .say import Say

LETTERS = 0.034  # height of the words, of the cap's width

Caps = dict[str, dict[str, Cap]]


def cap_pictures(facts: Facts, folds: Folds, caps: tuple[Caps, Caps], say: Say) -> list[Markup]:
    """One close view a sleeve, one layer a size."""
    out = []
    for sleeve, old in caps[0].items():
        new = caps[1].get(sleeve, {})
        sizes = [s for s in facts.sizes if s in old and s in new]
        if not sizes or all(_same(old[s], new[s]) for s in sizes):
            continue
        poses = {s: pose_of(old[s]) for s in sizes}
        old = {s: posed(old[s], poses[s]) for s in sizes}
        new = {s: posed(new[s], poses[s]) for s in sizes}
        box = union(
            [side.edge.bbox for s in sizes for cap in (old[s], new[s]) for side in cap.sides]
        )
        groups = [
            el(
                "g",
                _one(old[size], new[size], folds.of(sleeve, size), box, say),
                class_=layer(facts.sizes.index(size)),
            )
            for size in sizes
        ]
        x0, y0, x1, y1 = box
        span = max(x1 - x0, y1 - y0)
        out.append(
            el(
                "figure",
                el(
                    "svg",
                    groups,
                    viewBox=view((x0, y0 - 0.08 * span, x1, y1 + 0.11 * span),
                                 margin=0.03 * span),
                    font_size=num(LETTERS * span),
                    role="img",
                    aria_label=f"Cap of {sleeve}, before and after, with the places to fold",
                ),
                el("figcaption", el("b", "The cap of ", name(sleeve)), size_names(facts),
                   " · the places to fold" if folds else None),
                class_="plate cap",
            )
        )  # fmt: skip
    return out


def _same(a: Cap, b: Cap) -> bool:
    return all(
        x.edge is y.edge or (x.edge.segments.shape == y.edge.segments.shape
                             and bool(np.array_equal(x.edge.segments, y.edge.segments)))
        for x, y in zip(a.sides, b.sides, strict=True)
    )  # fmt: skip


def _one(old: Cap, new: Cap, folded: Folded, box: Box, say: Say) -> list[Markup]:
    span = max(box[2] - box[0], box[3] - box[1])
    letters = LETTERS * span
    up = np.array([0.0, letters])
    out = [
        _wedge(side, fold, folded.depth, box) for side in old.sides for fold in folded.of(side.half)
    ]
    out.append(line(new.underarms[0], new.underarms[1], "bicep"))
    out += [path(side.edge, "before") for side in old.sides]
    out += [path(side.edge, "after") for side in new.sides]
    for side in old.sides:
        out += _fold_labels(side, folded.of(side.half), letters, say)
    bicep = f"bicep line {say.about(new.bicep)}"
    bicep += ", unchanged" if abs(old.bicep - new.bicep) < 1e-6 else ""
    a, b = new.underarms
    out.append(label((a + b) / 2 - 1.8 * up, Told(bicep), class_="note"))
    for cap, class_ in ((old, "before"), (new, "after")):
        out.append(el("circle", cx=num(cap.shoulder[0]), cy=num(-cap.shoulder[1]),
                      r=num(0.008 * span), class_=f"c-{class_}"))  # fmt: skip
    drop = old.height - new.height
    moved = f"{say.both(abs(drop))} {'lower' if drop > 0 else 'higher'}"
    out.append(label(old.shoulder + 2.0 * up, Told(moved), class_="note"))
    for side in new.sides:
        # Inside the sleeve, over the underarm: away from every other word.
        at = side.edge.start + 0.55 * (side.edge.point_at(0.5 * side.edge.length) - side.edge.start)
        at = 0.6 * at + 0.4 * (a + b) / 2
        out.append(label(at, side.half, class_="note strong"))
    return out


def _wedge(side: Side, fold: Fold, depth: float | None, box: Box) -> Markup:
    """The folded-out wedge, from the edge before to where it goes to nothing."""
    at, along = side.down(fold.at)
    inward = _inward(side, along)
    a, _ = side.down(fold.at - fold.width / 2)
    b, _ = side.down(fold.at + fold.width / 2)
    apex = at + inward * (0.25 * (box[3] - box[1]) if depth is None else depth)
    corners = " ".join(f"{num(p[0])},{num(-p[1])}" for p in (a, apex, b))
    return el("polygon", points=corners, class_="wedge")


def _inward(side: Side, along: FloatArray) -> FloatArray:
    # The cap stands upright: going up to the shoulder point, the sleeve lies on the right hand in
    # the half drawn on the left, on the left hand in the other.
    turn = -1.0 if side.edge.start[0] < side.edge.end[0] else 1.0
    return np.array([-along[1], along[0]]) * turn


def _fold_labels(side: Side, folds: tuple[Fold, ...], letters: float, say: Say) -> list[Markup]:
    """Outside the edge, one under the other: how far down the cap each tuck sits."""
    out = []
    lowest = np.inf
    for fold in folds:
        at, along = side.down(fold.at)
        outward = -_inward(side, along)
        sign = -1.0 if outward[0] < 0 else 1.0
        place = at + outward * 1.6 * letters
        place[1] = min(place[1], lowest - 1.7 * letters)
        lowest = place[1]
        out.append(line(at, place, "tickmark"))
        words = place + np.array([sign * 0.3 * letters, -0.35 * letters])
        anchor = "end" if sign < 0 else "start"
        out.append(label(words, say.about(fold.at), anchor=anchor, class_="note"))
    return out


def fold_tables(facts: Facts, folds: Folds, caps: tuple[Caps, Caps], say: Say) -> list[Markup]:
    """Sleeve by sleeve and size by size: how many, how wide, where; and the cap's height."""
    out = []
    for sleeve in folds.by_sleeve:
        if len(folds.by_sleeve) > 1:
            out.append(el("h3", name(sleeve)))
        out.append(_fold_table(sleeve, facts, folds, caps, say))
        out += [
            el("p", f"Pressed flat, size {size}: {folded.strain}.", class_=f"soft {layer(z)}")
            for z, size in enumerate(facts.sizes)
            if (folded := folds.of(sleeve, size)).strain
        ]
    return out


def _fold_table(
    sleeve: str, facts: Facts, folds: Folds, caps: tuple[Caps, Caps], say: Say
) -> Markup:
    verb = "overlap" if folds.manner == "slash" else "fold out"
    heads = ("Size", f"Back: {verb}", "this far down", f"Front: {verb}", "this far down",
             "Cap height")  # fmt: skip
    head = el("tr", [el("th", h, scope="col") for h in heads])
    old, new = caps[0].get(sleeve, {}), caps[1].get(sleeve, {})
    rows = []
    for z, size in enumerate(facts.sizes):
        folded = folds.of(sleeve, size)
        if not folded.folds:
            continue
        cells: list[Markup] = []
        for half in ("back", "front"):
            cells.append(el("td", _widths(folded.of(half), say)))
            cells.append(el("td", _places(folded.of(half), say)))
        told = "–"
        if size in old and size in new:
            told = Told(f"{say.about(old[size].height)} → {say.about(new[size].height)}")
        rows.append(
            el("tr", el("th", name(size), scope="row"), cells, el("td", told), class_=f"row{z}")
        )
    table = el("table", el("thead", head), el("tbody", rows), class_="folds")
    return el("div", table, class_="wide")


def _widths(folds: tuple[Fold, ...], say: Say) -> str:
    if not folds:
        return "nothing"
    if len(folds) > 1 and len({say.plain.both(f.width) for f in folds}) == 1:
        return Told(f"{len(folds)} × {say.both(folds[0].width)}")
    return Told(", ".join(say.both(f.width) for f in folds))


def _places(folds: tuple[Fold, ...], say: Say) -> str:
    places = [say.about(f.at) for f in folds]
    if len(places) < 2:
        return Told("".join(places) or "–")
    return Told(f"{', '.join(places[:-1])} and {places[-1]}")
