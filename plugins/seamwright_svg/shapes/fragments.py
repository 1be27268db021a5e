"""What lies outside all pieces, kept as fragments in our writer's own terms (mm, y down)."""

from __future__ import annotations

from xml.sax.saxutils import escape, quoteattr

from seamwright.model import Foreign
from seamwright.model.picture import path_data
from seamwright.numbers import fixed

from ..drawing.items import Lettering, Stroke


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
