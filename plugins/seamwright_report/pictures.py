"""The pieces before and after, laid over each other; one layer a size, the chosen one shown."""

from __future__ import annotations

import numpy as np

from seamwright.model import InternalKind, Shape

from .combs import Combs, comb_paths, combs_of, legend, points_of
from .drawing import Box, line, notches, num, path, union, view
from .facts import Facts, PieceFacts
from .markup import Markup, el, name


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


def pictures(facts: Facts, close: list[Markup]) -> Markup:
    """All pieces: the changed ones large, beside the close views, the others small."""
    combs = combs_of(facts.record)
    changed = [piece for piece in facts.pieces if piece.changed]
    combed = [p for p in facts.pieces if not p.changed and points_of(combs, p.name)]
    same = [p for p in facts.pieces if not p.changed and p not in combed]
    out: list[Markup] = []
    if changed:
        out.append(
            el(
                "p",
                el("span", class_="key key-before"),
                "before ",
                el("span", class_="key key-after"),
                "after. Seam lines; where only one line shows, the two lie on one another.",
                class_="legend",
            )
        )
        large = [_figure(piece, facts, combs, large=True) for piece in changed]
        out.append(el("div", close, large, class_="plates"))
    if combed:
        large = [_figure(piece, facts, combs, large=True) for piece in combed]
        out.append(el("div", large, class_="plates"))
    if same:
        out.append(el("h3", "Pieces that stayed as they were" if changed else "Pieces"))
        out.append(
            el(
                "div",
                [_figure(piece, facts, combs, large=False) for piece in same],
                class_="thumbs",
            )
        )
    return el("div", legend(combs), out)


def box_of(piece: PieceFacts) -> Box:
    """The box round a piece in all its sizes, before and after."""
    shapes = [*piece.before.values(), *piece.after.values()]
    return union([shape.seam_line.bbox for shape in shapes])


def _figure(piece: PieceFacts, facts: Facts, combs: Combs, *, large: bool) -> Markup | None:
    if not (piece.before or piece.after):
        return None
    box = box_of(piece)
    teeth = points_of(combs, piece.name)
    if teeth:
        x, y = np.array(teeth).T
        box = union([np.array(box), np.array([x.min(), y.min(), x.max(), y.max()])])
    span = max(box[2] - box[0], box[3] - box[1], 1.0)
    groups = []
    for z, size in enumerate(facts.sizes):
        old, new = piece.before.get(size), piece.after.get(size)
        if old is None and new is None:
            continue
        groups.append(
            el(
                "g",
                _one_size(old, new, span, large=large),
                comb_paths(combs, piece.name, size),
                class_=layer(z),
                data_size=size,
            )
        )
    missing = [s for s in facts.sizes if s not in piece.after]
    caption: list[object] = [el("b", name(piece.name))]
    if large:
        caption += size_names(facts)
        if piece.changed:
            caption.append(f" · changed{_count(len(piece.changed), len(facts.sizes))}")
    if missing:
        caption.append(el("span", " · not in ", ", ".join(missing), class_="soft"))
    drawing = el(
        "svg",
        groups,
        viewBox=view(box, margin=0.03 * span),
        role="img",
        aria_label=f"{piece.name}, {'before and after' if piece.changed else 'unchanged'}",
    )
    return el("figure", drawing, el("figcaption", caption), class_="plate" if large else "thumb")


def _count(changed: int, all_: int) -> str:
    if all_ == 1:
        return ""
    return " in all sizes" if changed == all_ else f" in {changed} of {all_} sizes"


def _one_size(old: Shape | None, new: Shape | None, span: float, *, large: bool) -> list[Markup]:
    shape = new or old
    assert shape is not None
    moved = old is not None and new is not None and old is not new
    out: list[Markup] = []
    if large and old is not None and (moved or new is None):
        out.append(path(old.seam_line, "before"))
    if new is not None:
        out.append(path(new.seam_line, "after" if large else "plain"))
    elif not large and old is not None:
        out.append(path(old.seam_line, "plain"))
    for inner in shape.internal_lines:
        kind = "fold" if inner.kind is InternalKind.FOLD else "inner"
        out.append(path(inner.curve, kind))
    marks = notches(shape, "notch", least=0.018 * span)
    if marks is not None:
        out.append(marks)
    if shape.grain_line is not None:
        out.append(_grain(np.array(shape.grain_line.start), np.array(shape.grain_line.end), span))
    return out


def _grain(a: np.ndarray, b: np.ndarray, span: float) -> Markup:
    length = float(np.hypot(*(b - a)))
    if length < 1e-9:
        return line(a, b, "grain")
    along = (b - a) / length
    across = np.array([-along[1], along[0]])
    words = [f"M{num(a[0])},{num(-a[1])}L{num(b[0])},{num(-b[1])}"]
    head = min(0.018 * span, 0.3 * length)
    for tip, inward in ((a, along), (b, -along)):
        for side in (1, -1):
            p = tip + head * (inward + 0.45 * side * across)
            words.append(f"M{num(p[0])},{num(-p[1])}L{num(tip[0])},{num(-tip[1])}")
    return el("path", d="".join(words), class_="grain")
