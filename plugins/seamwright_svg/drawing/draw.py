"""Shapes to curves in mm: attributes read, broken data told, arcs within their tolerance."""

from __future__ import annotations

from typing import Final

import numpy as np

from seamwright.geometry import Curve, GeometryError
from seamwright.model.recognise.items import Stroke
from seamwright.model.recognise.matrices import apply_all, determinant, largest_stretch

from ..measures.lengths import BadLength, is_relative, parse_measure, user_units
from ..notes import count
from ..tree.parse import Node
from .basic_shapes import BadShape, ellipse, line, open_of, points, polygon_of, rect
from .named import named_of
from .path_data import BadPath, Subpath, parse_path
from .state import Desk, State
from .tidy import tidied

FARTHEST: Final = 1e9  # mm; whatever lies farther out is a slip
SHAPES: Final = frozenset(["path", "rect", "circle", "ellipse", "line", "polyline", "polygon"])

# mm. An arc under a similarity comes out of the kernel with its exact length; under anything else
# its length is only as good as its place.
_ARC_TOLERANCE: Final = 1e-6
_SKEWED_ARC_TOLERANCE: Final = 1e-7


def length_of(
    node: Node, state: State, desk: Desk, name: str, axis: str, default: float | None
) -> float | None:
    """A length attribute in user units; `default` where it is absent or "auto".

    axis  "x" or "y" (of which percentages count), or "r" for the viewport's diagonal
    Raises BadShape for what is no length, unless the drawing is read leniently.
    """
    text = node.attrs.get(name)
    if text is None or text.strip() in ("", "auto"):
        return default
    whole = {"x": state.width, "y": state.height}.get(
        axis, ((state.width**2 + state.height**2) / 2) ** 0.5
    )
    try:
        measure = parse_measure(text)
    except BadLength as error:
        if not desk.options.lenient:
            raise BadShape(f"{name}: {error}", text) from None
        desk.notes.warn(
            "svg.attribute",
            f"{node.named()}, {name}: {error}; read as if it were absent",
            node,
            repaired=True,
        )
        return default
    if is_relative(measure):
        desk.notes.warn(
            "svg.relative-length",
            f'{node.named()}: {name}="{text.strip()}" depends on a font of '
            f"{state.looks.font_size:g} units",
            node,
            hint="draw it with real lengths",
        )
    return user_units(
        measure,
        relative_to=whole,
        font_size=state.looks.font_size,
        px_per_inch=desk.scale.px_per_inch,
    )


class Pencil:
    """Draws shapes one after another.

    strokes  what was drawn, in order
    gaps     widths of the gaps over which lines were closed, mm
    """

    def __init__(self, desk: Desk) -> None:
        self._desk = desk
        self.strokes: list[Stroke] = []
        self.gaps: list[float] = []

    def draw(self, node: Node, state: State, order: int) -> None:
        """Adds the strokes of a shape; what is wrong with it becomes a finding."""
        desk, matrix, said = self._desk, state.matrix, len(self._desk.notes.findings)
        stretch = largest_stretch(matrix)
        if not 0.0 < stretch < FARTHEST:
            if stretch == 0.0:
                desk.notes.nothing.append(node.named())
            else:
                desk.notes.error(
                    "svg.transform",
                    f"{node.named()} is enlarged beyond reason; left out",
                    node,
                    hint="look for a slip in the transforms around it, or in a viewBox",
                )
            return
        similar = abs(abs(determinant(matrix)) - stretch**2) <= 1e-9 * stretch**2
        tolerance = _ARC_TOLERANCE if similar else _SKEWED_ARC_TOLERANCE
        try:
            with np.errstate(over="ignore", invalid="ignore"):  # told below, as findings
                try:
                    subpaths = _subpaths(node, state, desk, stretch, tolerance)
                except (BadPath, BadShape) as error:
                    subpaths = _broken(node, error, desk, stretch, tolerance)
        except (ValueError, ArithmeticError) as error:
            # Numbers out of all proportion, such as an arc with a radius of 1e300.
            desk.notes.error("svg.path-data", f"{node.named()}: {error}; left out", node)
            return
        drawn = len(self.strokes)
        named = named_of(node)
        verbatim = len(subpaths) == 1 and named.untouched
        for subpath in subpaths:
            curve = self._curve(node, subpath, state, verbatim=verbatim)
            if curve is not None:
                self.strokes.append(
                    Stroke(curve, named, state.group, state.looks, order, verbatim, matrix)
                )
        if len(self.strokes) == drawn and len(desk.notes.findings) == said:
            desk.notes.nothing.append(node.named())

    def _curve(self, node: Node, subpath: Subpath, state: State, *, verbatim: bool) -> Curve | None:
        desk = self._desk
        most, number = desk.limits.points, len(subpath.segments)
        if number == 0:  # a circle too small to be told from its middle
            return None
        if number > most:
            desk.notes.error(
                "svg.limit",
                f"{node.named()} has {count(number, 'segment')}; the limit is {most}; left out",
                node,
                hint=f"raise the limit: --limit points={2 * number}",
            )
            return None
        placed = apply_all(state.matrix, subpath.segments)
        if not float(np.abs(placed).max()) < FARTHEST:
            desk.notes.error(
                "svg.path-data",
                f"{node.named()} lies farther out than a thousand kilometres; left out",
                node,
                hint="look for a slip in its coordinates or in a transform around it",
            )
            return None
        try:
            if verbatim:
                return Curve.from_segments(placed, subpath.kinds, closed=subpath.closed)
            curve, gap = tidied(
                placed, subpath.kinds, closed=subpath.closed, join=float(desk.options.join)
            )
        except GeometryError as error:
            desk.notes.error("svg.path-data", f"{node.named()}: {error}; left out", node)
            return None
        if gap > 1e-6:
            self.gaps.append(gap)
        return curve


def _subpaths(
    node: Node, state: State, desk: Desk, scale: float, tolerance: float
) -> list[Subpath]:
    tag = node.tag
    if tag == "path":
        return parse_path(node.attrs.get("d", ""), scale=scale, arc_tolerance=tolerance)
    if tag in ("polyline", "polygon"):
        return points(node.attrs.get("points", ""), closed=tag == "polygon")

    def length(name: str, axis: str, default: float | None) -> float | None:
        return length_of(node, state, desk, name, axis, default)

    if tag == "rect":
        return rect(length, scale, tolerance)
    if tag == "line":
        return line(length)
    cx, cy = length("cx", "x", 0.0) or 0.0, length("cy", "y", 0.0) or 0.0
    if tag == "circle":
        r = length("r", "r", 0.0) or 0.0
        return ellipse(cx, cy, r, r, scale, tolerance)
    rx, ry = length("rx", "x", None), length("ry", "y", None)
    rx, ry = (ry if rx is None else rx), (rx if ry is None else ry)
    return ellipse(cx, cy, rx or 0.0, ry or 0.0, scale, tolerance)


def _broken(
    node: Node, error: BadPath | BadShape, desk: Desk, scale: float, tolerance: float
) -> list[Subpath]:
    """Says what is broken; gives what is drawn all the same when reading leniently."""
    is_path = isinstance(error, BadPath)
    code = "svg.path-data" if is_path or node.tag.startswith("poly") else "svg.attribute"
    place = f" (character {error.at + 1} of its path data)" if isinstance(error, BadPath) else ""
    message = f'{node.named()}: {error}, found "{error.text}"{place}'
    hint = "correct it, or read with lenient = true to take it up to the fault"
    if decimal_commas(error.text):
        hint = "write decimals with a point (10.5); or " + hint
    if not desk.options.lenient:
        desk.notes.error(code, f"{message}; left out", node, hint=hint)
        return []
    desk.notes.warn(code, f"{message}; taken up to there", node, hint=hint, repaired=True)
    if isinstance(error, BadPath):
        good = node.attrs.get("d", "")[: error.good]
        return parse_path(good, scale=scale, arc_tolerance=tolerance) if good.strip() else []
    if error.good is not None and len(error.good) > 1:
        return [polygon_of(error.good) if node.tag == "polygon" else open_of(error.good)]
    return []


def decimal_commas(text: str) -> bool:
    """Whether numbers look as if they had a decimal comma."""
    digits = [part for part in text.split(",") if part]
    return "," in text and " " not in text.strip() and len(digits) > 1
