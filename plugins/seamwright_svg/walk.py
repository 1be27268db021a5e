"""From the tree to strokes and texts in mm: transforms, viewports, uses, styles, visibility.

Written without recursion, so that the depth of a drawing is bounded by the limits alone.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Final

from seamwright.geometry import Curve, GeometryError
from seamwright.plugins.api import Limits

from .checks import untouched
from .css import Sheet
from .items import Drawing, Group, Lettering, Looks, Named, Stroke
from .lengths import BadLength, is_relative, parse_measure, user_units
from .lettering import letter
from .matrices import (
    BadTransform,
    Matrix,
    apply_all,
    determinant,
    largest_stretch,
    parse_transform,
    times,
)
from .notes import Notes, count
from .options import SvgIn
from .pathdata import BadPath, Subpath, parse_path
from .scale import Scale
from .shapes import BadShape, ellipse, line, open_of, points, polygon_of, rect
from .tidy import tidied
from .tree import Node, Tree
from .viewport import BadViewBox, parse_fit, parse_view_box, viewport_matrix

SHAPES: Final = frozenset({"path", "rect", "circle", "ellipse", "line", "polyline", "polygon"})
# Not drawn where they stand: definitions, words about the drawing, paint.
_SILENT: Final = frozenset(
    """defs symbol clipPath mask marker pattern linearGradient radialGradient meshgradient
    hatch solidcolor filter style title desc metadata view cursor color-profile
    animate animateTransform animateMotion set font font-face""".split()
)
_EDITOR: Final = ("sodipodi:", "inkscape:", "seamwright:")

# An arc under a similarity comes out of the kernel with its exact length; under anything else
# its length is only as good as its place.
_ARC_TOLERANCE: Final = 1e-6
_SKEWED_ARC_TOLERANCE: Final = 1e-7


@dataclass(frozen=True, slots=True)
class _State:
    """What an element inherits. matrix: user units to mm, y up; width, height: of the nearest
    viewport, in user units; limit: how deep uses may still go."""

    matrix: Matrix
    looks: Looks
    group: Group | None
    width: float
    height: float
    clone: Node | None = None  # the `use` that put the element here


def walk(
    tree: Tree, sheet: Sheet, scale: Scale, options: SvgIn, notes: Notes, limits: Limits
) -> Drawing:
    """Everything that the drawing shows, in document order."""
    return _Walker(tree, sheet, scale, options, notes, limits).run()


class _Walker:
    def __init__(
        self,
        tree: Tree,
        sheet: Sheet,
        scale: Scale,
        options: SvgIn,
        notes: Notes,
        limits: Limits,
    ) -> None:
        self._tree = tree
        self._sheet = sheet
        self._scale = scale
        self._options = options
        self._notes = notes
        self._limits = limits
        self._drawing = Drawing()
        self._order = 0
        self._wide_gaps: list[float] = []

    def run(self) -> Drawing:
        scale = self._scale
        root = self._tree.root
        looks = self._looks(root, Looks())
        if looks is None:
            return self._drawing
        # y is turned here, once, for everything; the root's user space keeps its origin.
        matrix: Matrix = (scale.x, 0.0, 0.0, -scale.y, 0.0, 0.0)
        state = _State(matrix, looks, None, scale.width, scale.height)
        moved = self._transformed(root, state)
        if moved is None:
            return self._drawing
        stack = [(child, moved) for child in reversed(root.children)]
        while stack:
            node, state = stack.pop()
            stack.extend(reversed(self._element(node, state)))
        if self._wide_gaps:
            self._notes.note(
                "outline.joined",
                f"{count(len(self._wide_gaps), 'line')} closed whose ends did not quite meet; "
                f"the widest gap was {self._notes.length(max(self._wide_gaps))}",
                measured=max(self._wide_gaps),
                limit=float(self._options.join),
                repaired=True,
            )
        return self._drawing

    # -- one element ------------------------------------------------------------------------

    def _element(self, node: Node, state: _State) -> list[tuple[Node, _State]]:
        """Draws the element; gives what is to be drawn inside it."""
        tag = node.tag
        if tag in _SILENT and not (tag == "symbol" and state.clone is not None):
            return []
        if tag.startswith(_EDITOR):
            return []
        if node.attrs.get("data-role") in ("legend", "decoration"):
            return []
        looks = self._looks(node, state.looks)
        if looks is None:
            self._hidden(node)
            return []
        if looks is not state.looks:
            state = replace(state, looks=looks)
        moved = self._transformed(node, state)
        if moved is None:
            return []
        self._drawing.elements += 1
        if tag in SHAPES:
            self._shape(node, moved)
            return []
        if tag == "text":
            self._text(node, moved)
            return []
        if tag == "use":
            return self._use(node, moved)
        if tag in ("svg", "symbol"):
            inner = self._viewport(node, moved)
            return [] if inner is None else self._children(node, inner)
        if tag in ("g", "a"):
            return self._children(node, moved)
        if tag == "switch":
            chosen = _switched(node)
            inner = self._inside(node, moved)
            return [] if chosen is None else [(chosen, inner)]
        self._not_read(node)
        return []

    def _children(self, node: Node, state: _State) -> list[tuple[Node, _State]]:
        inner = self._inside(node, state)
        return [(child, inner) for child in node.children]

    def _inside(self, node: Node, state: _State) -> _State:
        group = Group(Named.of(node), state.group, state.clone is not None)
        return replace(state, group=group, clone=None)

    def _use(self, node: Node, state: _State) -> list[tuple[Node, _State]]:
        target = self._tree.ids.get(node.href.strip()[1:])
        if target is None:
            self._notes.warn(
                "svg.missing-clone",
                f'{node.named()} stands for "{node.href.strip()}", which the drawing does not hold',
                node,
                hint="unlink the clone in the drawing program and save again",
            )
            return []
        x, y = self._length(node, state, "x", "x", 0.0), self._length(node, state, "y", "y", 0.0)
        inner = self._inside(node, state)
        matrix = times(state.matrix, (1.0, 0.0, 0.0, 1.0, x or 0.0, y or 0.0))
        return [(target, replace(inner, matrix=matrix, clone=node))]

    def _viewport(self, node: Node, state: _State) -> _State | None:
        """Inside a nested drawing or a symbol."""
        x = y = 0.0
        if node.tag == "svg":
            x = self._length(node, state, "x", "x", 0.0) or 0.0
            y = self._length(node, state, "y", "y", 0.0) or 0.0
        size = []
        for name, axis, whole in (("width", "x", state.width), ("height", "y", state.height)):
            source = state.clone if state.clone is not None and name in state.clone.attrs else node
            value = self._length(source, state, name, axis, whole)
            size.append(whole if value is None else value)
        try:
            box = parse_view_box(node.attrs.get("viewBox"))
        except BadViewBox as error:
            self._notes.error(
                "svg.attribute", f"{node.named()}: {error}; what it holds is left out", node
            )
            return None
        fit = parse_fit(node.attrs.get("preserveAspectRatio"))
        if box is not None and not (size[0] > 0.0 and size[1] > 0.0):
            if state.width > 0.0 and state.height > 0.0:
                return None  # a viewport without area shows nothing
            size = [box.width, box.height]
        matrix = viewport_matrix(x, y, size[0], size[1], box, fit)
        return replace(
            state,
            matrix=times(state.matrix, matrix),
            width=box.width if box else size[0],
            height=box.height if box else size[1],
        )

    def _not_read(self, node: Node) -> None:
        tag = node.tag
        href = node.href.strip()
        if href and not href.startswith(("#", "data:")):
            self._notes.external.append(f'{node.named()}: "{href[:80]}"')
        self._notes.drop(tag)

    def _hidden(self, node: Node) -> None:
        self._notes.hidden.append(node.named())

    # -- style ------------------------------------------------------------------------------

    def _looks(self, node: Node, before: Looks) -> Looks | None:
        """The element's style, None where it is not displayed."""
        declared = self._sheet.declared(node)
        if not declared:
            return before
        if declared.get("display") == "none" and not self._options.hidden:
            return None
        clip = declared.get("clip-path") or declared.get("mask")
        if clip and clip != "none":
            self._notes.warn(
                "svg.clip-ignored",
                f"{node.named()} is clipped or masked in the drawing; it is read whole",
                node,
                hint="if only the visible part counts, apply the clip in the drawing program",
            )
        changed: dict[str, object] = {}
        if "visibility" in declared and declared["visibility"] != "inherit":
            changed["visible"] = declared["visibility"] not in ("hidden", "collapse")
        if "stroke-dasharray" in declared and declared["stroke-dasharray"] != "inherit":
            changed["dashed"] = any(c in "123456789" for c in declared["stroke-dasharray"])
        if "stroke" in declared and declared["stroke"] != "inherit":
            changed["stroked"] = declared["stroke"] not in ("none", "transparent", "")
        if "fill" in declared and declared["fill"] != "inherit":
            changed["filled"] = declared["fill"] not in ("none", "transparent")
        for name in ("marker-start", "marker-end"):
            if name in declared and declared[name] != "inherit":
                changed[name.replace("-", "_")] = declared[name] != "none"
        if "text-anchor" in declared:
            changed["anchor"] = declared["text-anchor"]
        size = declared.get("font-size") or _size_in_font(declared.get("font", ""))
        if size:
            changed["font_size"] = self._font_size(size, before.font_size)
        return before._replace(**changed) if changed else before  # type: ignore[arg-type]

    def _font_size(self, text: str, before: float) -> float:
        words = {"xx-small": 9.6, "x-small": 12.0, "small": 14.2, "medium": 16.0, "large": 19.2,
                 "x-large": 24.0, "xx-large": 32.0}  # fmt: skip
        if text in words:
            return words[text]
        if text in ("smaller", "larger"):
            return before / 1.2 if text == "smaller" else before * 1.2
        try:
            return user_units(
                parse_measure(text),
                relative_to=before,
                font_size=before,
                px_per_inch=self._scale.px_per_inch,
            )
        except BadLength:
            return before

    def _transformed(self, node: Node, state: _State) -> _State | None:
        """The state under the element's own transform; None where that cannot be read."""
        text = node.attrs.get("transform")
        style = node.attrs.get("style", "")
        if "transform" in style or self._sheet.rules:
            text = self._sheet.declared(node).get("transform", text)
        if not text:
            return state
        try:
            matrix = times(state.matrix, parse_transform(text))
        except BadTransform as error:
            if self._options.lenient:
                self._notes.warn(
                    "svg.transform",
                    f"{node.named()}: {error}; read as if it had no transform",
                    node,
                    repaired=True,
                )
                return state
            self._notes.error(
                "svg.transform",
                f"{node.named()}: {error}; left out with all that it holds",
                node,
                hint="correct the transform, or read with lenient = true to ignore it",
            )
            return None
        if node.attrs.get("transform-origin"):
            self._notes.warn(
                "svg.not-read",
                f"{node.named()} has a transform-origin, which is not taken into account",
                node,
                hint="apply the transform in the drawing program and save again",
            )
        return replace(state, matrix=matrix)

    # -- shapes -----------------------------------------------------------------------------

    def _length(
        self, node: Node, state: _State, name: str, axis: str, default: float | None
    ) -> float | None:
        """A length attribute in user units; `default` where it is absent or "auto".

        Raises BadLength only where the drawing must be read strictly.
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
            if self._options.lenient:
                self._notes.warn(
                    "svg.attribute",
                    f"{node.named()}, {name}: {error}; read as if it were absent",
                    node,
                    repaired=True,
                )
                return default
            raise BadShape(f"{name}: {error}", text) from None
        if is_relative(measure):
            self._notes.warn(
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
            px_per_inch=self._scale.px_per_inch,
        )

    def _shape(self, node: Node, state: _State) -> None:
        if not state.looks.visible and not self._options.hidden:
            self._hidden(node)
            return
        matrix = state.matrix
        stretch = largest_stretch(matrix)
        similar = abs(abs(determinant(matrix)) - stretch**2) <= 1e-9 * stretch**2
        tolerance = _ARC_TOLERANCE if similar else _SKEWED_ARC_TOLERANCE
        if not stretch > 0.0:
            return
        try:
            subpaths = self._subpaths(node, state, stretch, tolerance)
        except (BadPath, BadShape) as error:
            subpaths = self._broken(node, error, stretch, tolerance)
        except GeometryError as error:
            self._notes.error("svg.path-data", f"{node.named()}: {error}; left out", node)
            return
        named = Named.of(node)
        verbatim = len(subpaths) == 1 and untouched(named)
        for subpath in subpaths:
            if len(subpath.segments) > self._limits.points:
                self._notes.error(
                    "svg.limit",
                    f"{node.named()} has {len(subpath.segments)} segments; the limit is "
                    f"{self._limits.points}; left out",
                    node,
                    hint=f"raise the limit: --limit points={2 * len(subpath.segments)}",
                )
                continue
            placed = apply_all(matrix, subpath.segments)
            try:
                if verbatim:
                    curve: Curve | None = Curve.from_segments(
                        placed, subpath.kinds, closed=subpath.closed
                    )
                    gap = 0.0
                else:
                    curve, gap = tidied(
                        placed,
                        subpath.kinds,
                        closed=subpath.closed,
                        join=float(self._options.join),
                    )
            except GeometryError as error:
                self._notes.error("svg.path-data", f"{node.named()}: {error}; left out", node)
                continue
            if curve is None:
                continue
            if gap > 1e-6:
                self._wide_gaps.append(gap)
            self._order += 1
            self._drawing.strokes.append(
                Stroke(
                    curve, named, state.group, state.looks, self._order, verbatim, matrix
                )
            )

    def _subpaths(
        self, node: Node, state: _State, scale: float, tolerance: float
    ) -> list[Subpath]:
        tag = node.tag
        if tag == "path":
            data = node.attrs.get("d", "")
            return parse_path(data, scale=scale, arc_tolerance=tolerance)
        if tag in ("polyline", "polygon"):
            return points(node.attrs.get("points", ""), closed=tag == "polygon")

        def length(name: str, axis: str, default: float | None) -> float | None:
            return self._length(node, state, name, axis, default)

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
        self, node: Node, error: BadPath | BadShape, scale: float, tolerance: float
    ) -> list[Subpath]:
        """Says what is broken; gives what is drawn all the same when reading leniently."""
        is_path = isinstance(error, BadPath)
        code = "svg.path-data" if is_path or node.tag.startswith("poly") else "svg.attribute"
        place = f" (character {error.at + 1} of its path data)" if isinstance(error, BadPath) else ""
        message = f'{node.named()}: {error}, found "{error.text}"{place}'
        hint = "correct it, or read with lenient = true to take it up to the fault"
        if _decimal_commas(error.text):
            hint = "write decimals with a point (10.5); or " + hint
        if not self._options.lenient:
            self._notes.error(code, f"{message}; left out", node, hint=hint)
            return []
        self._notes.warn(code, f"{message}; taken up to there", node, hint=hint, repaired=True)
        if isinstance(error, BadPath):
            good = node.attrs.get("d", "")[: error.good]
            return parse_path(good, scale=scale, arc_tolerance=tolerance) if good.strip() else []
        if error.good is not None and len(error.good) > 1:
            closed = node.tag == "polygon"
            return [polygon_of(error.good) if closed else open_of(error.good)]
        return []

    # -- text -------------------------------------------------------------------------------

    def _text(self, node: Node, state: _State) -> None:
        if not state.looks.visible and not self._options.hidden:
            self._hidden(node)
            return

        def make(
            owner: Node,
            text: str,
            at: tuple[float, float],
            anchor: tuple[float, float],
            height: float,
            rotation: float,
        ) -> Lettering:
            self._order += 1
            named = Named.of(owner if owner.id or owner.attrs.get("class") else node)
            return Lettering(text, at, anchor, height, rotation, named, state.group, self._order)

        def looks_of(child: Node, before: Looks) -> Looks | None:
            looks = self._looks(child, before)
            if looks is None or not looks.visible and not self._options.hidden:
                self._hidden(child)
                return None
            return looks

        self._drawing.texts += letter(
            node, state.matrix, state.looks, looks_of, make, self._limits.text
        )


def _size_in_font(font: str) -> str:
    """The size in a CSS `font` shorthand: "bold 12px/1.2 serif" gives "12px"."""
    for word in font.split():
        head = word.split("/")[0]
        if head[:1].isdigit() and not head.isdigit():
            return head
    return ""


def _switched(node: Node) -> Node | None:
    """The child of a `switch` that is shown: the first that asks for nothing special."""
    for child in node.children:
        if child.tag in ("title", "desc") or child.attrs.get("requiredExtensions"):
            continue
        languages = child.attrs.get("systemLanguage")
        if languages is not None and "en" not in languages.replace(" ", "").split(","):
            continue
        if child.tag != "foreignObject":
            return child
    return None


def _decimal_commas(text: str) -> bool:
    digits = [part for part in text.split(",") if part]
    return "," in text and " " not in text.strip() and len(digits) > 1
