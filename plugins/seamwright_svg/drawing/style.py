"""The style of an element as far as it says something, and its own transform."""

from __future__ import annotations

from dataclasses import replace
from typing import Final

from seamwright.model.recognise.items import Looks
from seamwright.model.recognise.matrices import times

from ..measures.lengths import BadLength, parse_measure, user_units
from ..measures.matrices import BadTransform, parse_transform
from ..tree.parse import Node
from .state import Desk, State

_FONT_SIZES: Final = {
    "xx-small": 9.6, "x-small": 12.0, "small": 14.2, "medium": 16.0, "large": 19.2,
    "x-large": 24.0, "xx-large": 32.0,
}  # fmt: skip


def looks_of(node: Node, before: Looks, desk: Desk) -> Looks | None:
    """The element's style, None where it is not displayed."""
    declared = desk.sheet.declared(node)
    if not declared:
        return before
    if declared.get("display") == "none" and not desk.options.hidden:
        return None
    clip = declared.get("clip-path") or declared.get("mask")
    if clip and clip != "none":
        desk.notes.warn(
            "svg.clip-ignored",
            f"{node.named()} is clipped or masked in the drawing; it is read whole",
            node,
            hint="if only the visible part counts, apply the clip in the drawing program",
        )
    told = {name: value for name, value in declared.items() if value != "inherit"}
    changed: dict[str, object] = {}
    if "visibility" in told:
        changed["visible"] = told["visibility"] not in ("hidden", "collapse")
    if "stroke-dasharray" in told:
        changed["dashed"] = any(c in "123456789" for c in told["stroke-dasharray"])
    if "stroke" in told:
        changed["stroked"] = told["stroke"] not in ("none", "transparent", "")
    if "fill" in told:
        changed["filled"] = told["fill"] not in ("none", "transparent")
    if "marker-start" in told:
        changed["marker_start"] = told["marker-start"] != "none"
    if "marker-end" in told:
        changed["marker_end"] = told["marker-end"] != "none"
    if "text-anchor" in told:
        changed["anchor"] = told["text-anchor"]
    size = told.get("font-size") or _size_in_font(told.get("font", ""))
    if size:
        changed["font_size"] = _font_size(size, before.font_size, desk)
    return before._replace(**changed) if changed else before  # type: ignore[arg-type]


def _font_size(text: str, before: float, desk: Desk) -> float:
    if text in _FONT_SIZES:
        return _FONT_SIZES[text]
    if text in ("smaller", "larger"):
        return before / 1.2 if text == "smaller" else before * 1.2
    try:
        return user_units(
            parse_measure(text),
            relative_to=before,
            font_size=before,
            px_per_inch=desk.scale.px_per_inch,
        )
    except BadLength:
        return before


def _size_in_font(font: str) -> str:
    """The size in a CSS `font` shorthand: "bold 12px/1.2 serif" gives "12px"."""
    for word in font.split():
        head = word.split("/")[0]
        if head[:1].isdigit() and not head.isdigit():
            return head
    return ""


def transformed(node: Node, state: State, desk: Desk) -> State | None:
    """The state under the element's own transform; None where that cannot be read."""
    text = node.attrs.get("transform")
    if desk.sheet.rules or "transform" in node.attrs.get("style", ""):
        text = desk.sheet.declared(node).get("transform", text)
    if not text:
        return state
    try:
        matrix = times(state.matrix, parse_transform(text))
    except BadTransform as error:
        if desk.options.lenient:
            desk.notes.warn(
                "svg.transform",
                f"{node.named()}: {error}; read as if it had no transform",
                node,
                repaired=True,
            )
            return state
        desk.notes.error(
            "svg.transform",
            f"{node.named()}: {error}; left out with all that it holds",
            node,
            hint="correct the transform, or read with lenient = true to ignore it",
        )
        return None
    if node.attrs.get("transform-origin") or "transform-origin" in node.attrs.get("style", ""):
        desk.notes.warn(
            "svg.not-read",
            f"{node.named()} has a transform-origin, which is not taken into account",
            node,
            hint="apply the transform in the drawing program and save again",
        )
    return replace(state, matrix=matrix)
