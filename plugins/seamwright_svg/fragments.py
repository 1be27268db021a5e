"""What lies outside all pieces, kept as fragments in our writer's own terms (mm, y down)."""

from __future__ import annotations

from collections.abc import Sequence
from xml.sax.saxutils import escape, quoteattr

from seamwright.model import Foreign
from seamwright.model.picture import path_data
from seamwright.model.recognise.items import Lettering, Stroke
from seamwright.numbers import fixed

from .notes import Notes, count, listed


def stroke_fragment(stroke: Stroke) -> Foreign:
    """A line as a path element."""
    label = _label(stroke.named.label.text or stroke.named.title.text)
    return Foreign(
        format="svg",
        where=stroke.named.node.id,
        data=f'<path{label} d="{path_data(stroke.curve)}"/>',
    )


def lettering_fragment(text: Lettering) -> Foreign:
    """A text as a text element."""
    x, y = fixed(text.at[0]), fixed(-text.at[1])
    turn = fixed(-text.rotation)
    turned = f' transform="rotate({turn} {x} {y})"' if turn != "0" else ""
    return Foreign(
        format="svg",
        where=text.named.node.id,
        data=(
            f'<text x="{x}" y="{y}" font-size="{fixed(text.height)}"{turned}>'
            f"{escape(text.text)}</text>"
        ),
    )


def _label(text: str) -> str:
    return f" inkscape:label={quoteattr(text)}" if text else ""


def outside(items: Sequence[Stroke | Lettering], notes: Notes) -> tuple[Foreign, ...]:
    if not items:
        return ()
    strokes = [i for i in items if isinstance(i, Stroke)]
    texts = [i for i in items if isinstance(i, Lettering)]
    parts = []
    if strokes:
        parts.append(count(len(strokes), "line"))
    if texts:
        words = [f'"{t.text[:40]}"' for t in texts]
        parts.append(f"{count(len(texts), 'text')} ({listed(words, 3)})")
    notes.note(
        "svg.outside",
        f"outside all pieces: {' and '.join(parts)}; kept for writing SVG again",
    )
    return tuple(
        stroke_fragment(i) if isinstance(i, Stroke) else lettering_fragment(i) for i in items
    )
