"""All pieces at one scale, each seam in a colour of its own with its number on both sides."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from seamwright.geometry import Curve

from .facts import Facts
from .markup import Markup, clean, el, name
from .packing import path_text
from .pictures import view
from .strokes import joined
from .timeline import Timeline, Track
from .walking import SeamWalk

TALLEST = 330.0  # pixels
WIDEST = 620.0


def seam_map(walks: Sequence[SeamWalk], facts: Facts, timeline: Timeline) -> Markup | None:
    """In the base size, as the pieces stand after the run."""
    size = facts.sizes[facts.base] if facts.sizes else ""
    last = timeline.last
    tracks = [t for t in timeline.tracks if (s := t.at(last)) is not None and size in s.shapes]
    if not tracks or not walks:
        return None
    boxes = np.array([_box(t, last, size) for t in tracks])
    across, up = (boxes[:, 2] - boxes[:, 0]).max(), (boxes[:, 3] - boxes[:, 1]).max()
    scale = min(TALLEST / max(up, 1.0), WIDEST / max(across, 1.0))  # pixels a mm
    figures = [_piece(t, walks, facts, last, scale) for t in tracks]
    listed = [
        el("li", el("a", el("span", str(w.number), class_=f"chip q{(w.number - 1) % 7}"),
                    " ", name(w.facts.name), href=f"#seam-{w.number}"))
        for w in walks
    ]  # fmt: skip
    told = "Equal numbers and colours are sewn together."
    if len(facts.sizes) > 1:
        told += f" Size {clean(size)}, all pieces at one scale."
    return el(
        "div",
        el("p", told, class_="soft"),
        el("div", figures, class_="map"),
        el("ul", listed, class_="seam-keys"),
    )


def _box(track: Track, state: int, size: str) -> list[float]:
    stage = track.at(state)
    assert stage is not None
    return [float(v) for v in stage.shapes[size].seam_line.bbox]


def _piece(
    track: Track, walks: Sequence[SeamWalk], facts: Facts, state: int, scale: float
) -> Markup:
    stage = track.at(state)
    assert stage is not None
    z = facts.base
    size = facts.sizes[z]
    shape, layers = stage.shapes[size], stage.layers[size]
    pixel = 100.0 / scale  # hundredths of a mm
    out = [el("path", d=path_text(layers["s"]), class_="kept"),
           el("path", d=path_text(layers["s"]), class_="ls")]  # fmt: skip
    out += [
        el("path", d=path_text(layers[kind]), class_=f"l{kind}")
        for kind in ("f", "d", "n")
        if kind in layers
    ]
    badges: list[Markup] = []
    taken: list[tuple[float, float]] = []
    for w in walks:
        for parts in (w.after.sew_ways, w.after.to_ways):
            for part in parts:
                if part.piece != track.name:
                    continue
                curves = part.curves(shape, z)
                if not curves:
                    continue
                hue = f"q{(w.number - 1) % 7} dash{(w.number - 1) // 7 % 3}"
                out.append(el("path", d=path_text(joined(curves)), class_=f"run {hue}"))
                badges.append(_badge(curves, w.number, pixel, taken))
    box = stage.shapes[size].seam_line.bbox
    margin = 14.0 / scale
    wide = (float(box[2] - box[0]) + 2 * margin) * scale
    return el(
        "figure",
        el("svg", out, badges, viewBox=view(tuple(float(v) for v in box), margin),  # type: ignore[arg-type]
           role="img", aria_label=f"{clean(track.name)}, its seams numbered",
           style=f"width:{wide:.0f}px"),
        el("figcaption", name(track.name)),
    )  # fmt: skip


def _badge(
    curves: Sequence[Curve], number: int, pixel: float, taken: list[tuple[float, float]]
) -> Markup:
    """The number near the middle of a run, a little inside the piece, clear of other numbers."""
    longest = max(curves, key=lambda c: c.length)
    x = y = 0.0
    for share in (0.5, 0.38, 0.62, 0.28, 0.72):
        at = longest.point_at(share * longest.length)
        x, y = float(at[0]) * 100.0, float(-at[1]) * 100.0
        if all((x - a) ** 2 + (y - b) ** 2 > (21.0 * pixel) ** 2 for a, b in taken):
            break
    taken.append((x, y))
    return el(
        "g",
        el("circle", cx=round(x), cy=round(y), r=round(9.5 * pixel)),
        el("text", str(number), x=round(x), y=round(y + 4.2 * pixel), text_anchor="middle",
           font_size=round(12 * pixel)),
        class_=f"mark q{(number - 1) % 7}",
    )  # fmt: skip
