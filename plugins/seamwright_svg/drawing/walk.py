"""From the tree to strokes and texts in mm: groups, viewports, clones, visibility.

Written without recursion, so that the depth of a drawing is bounded by the limits alone.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Final

from seamwright.model.recognise.items import Drawing, Group, Lettering, Looks
from seamwright.model.recognise.matrices import Matrix, times
from seamwright.plugins.api import Limits

from ..measures.scale import Scale
from ..measures.viewport import BadViewBox, parse_fit, parse_view_box, viewport_matrix
from ..notes import Notes, count
from ..options import SvgIn
from ..tree.css import Sheet
from ..tree.parse import Node, Tree
from .basic_shapes import BadShape
from .draw import FARTHEST, SHAPES, Pencil, length_of
from .lettering import letter
from .named import named_of
from .state import Desk, State
from .style import looks_of, transformed

_DEFINITIONS = """defs symbol clipPath mask marker pattern linearGradient radialGradient
    meshgradient hatch solidcolor filter style title desc metadata view cursor color-profile
    animate animateTransform animateMotion set font font-face"""
#: Not drawn where they stand: definitions, words about the drawing, paint.
_SILENT: Final = frozenset(_DEFINITIONS.split())
_EDITOR: Final = ("sodipodi:", "inkscape:", "seamwright:")

_Inside = list[tuple[Node, State]]


def walk(
    tree: Tree, sheet: Sheet, scale: Scale, options: SvgIn, notes: Notes, limits: Limits
) -> Drawing:
    """Everything that the drawing shows, in document order."""
    return _Walker(tree, Desk(sheet, scale, options, notes, limits)).run()


class _Walker:
    def __init__(self, tree: Tree, desk: Desk) -> None:
        self._tree = tree
        self._desk = desk
        self._pencil = Pencil(desk)
        self._texts: list[Lettering] = []
        self._elements = 0
        self._order = 0

    def run(self) -> Drawing:
        scale = self._desk.scale
        root = self._tree.root
        looks = looks_of(root, Looks(), self._desk)
        if looks is None:
            self._hidden(root)
            return Drawing()
        # y is turned here, once, for everything; the root's user space keeps its origin.
        matrix: Matrix = (scale.x, 0.0, 0.0, -scale.y, 0.0, 0.0)
        state = State(matrix, looks, None, scale.width, scale.height)
        moved = transformed(root, state, self._desk)
        stack = [(child, moved) for child in reversed(root.children)] if moved else []
        while stack:
            node, state = stack.pop()
            stack.extend(reversed(self._element(node, state)))
        self._report_gaps()
        return Drawing(self._pencil.strokes, self._texts, self._elements)

    def _report_gaps(self) -> None:
        gaps = self._pencil.gaps
        if not gaps:
            return
        notes = self._desk.notes
        notes.note(
            "outline.joined",
            f"{count(len(gaps), 'line')} closed whose ends did not quite meet; the widest gap was "
            f"{notes.length(max(gaps))}",
            measured=max(gaps),
            limit=float(self._desk.options.join),
            repaired=True,
        )

    # -- one element ------------------------------------------------------------------------

    def _element(self, node: Node, state: State) -> _Inside:
        """Draws the element; gives what is to be drawn inside it."""
        tag = node.tag
        if tag in _SILENT and not (tag == "symbol" and state.clone is not None):
            return []
        if tag.startswith(_EDITOR):
            return []
        if node.attrs.get("data-role") in ("legend", "decoration"):
            return []
        looks = looks_of(node, state.looks, self._desk)
        if looks is None:
            self._hidden(node)
            return []
        if looks is not state.looks:
            state = replace(state, looks=looks)
        moved = transformed(node, state, self._desk)
        if moved is None:
            return []
        self._elements += 1
        if tag in SHAPES or tag == "text":
            if not looks.visible and not self._desk.options.hidden:
                self._hidden(node)
            elif tag == "text":
                self._text(node, moved)
            else:
                self._order += 1
                self._pencil.draw(node, moved, self._order)
            return []
        try:
            return self._container(node, moved)
        except BadShape as error:
            self._desk.notes.error(
                "svg.attribute",
                f"{node.named()}: {error}; left out with all that it holds",
                node,
                hint="correct it, or read with lenient = true",
            )
            return []

    def _container(self, node: Node, state: State) -> _Inside:
        tag = node.tag
        if tag == "use":
            return self._use(node, state)
        if tag in ("svg", "symbol"):
            inner = self._viewport(node, state)
            return [] if inner is None else self._children(node, inner)
        if tag in ("g", "a"):
            return self._children(node, state)
        if tag == "switch":
            chosen = _switched(node)
            return [] if chosen is None else [(chosen, self._inside(node, state))]
        href = node.href.strip()
        if href and not href.startswith(("#", "data:")):
            self._desk.notes.external.append(f'{node.named()}: "{href[:80]}"')
        self._desk.notes.drop(tag)
        return []

    def _hidden(self, node: Node) -> None:
        self._desk.notes.hidden.append(node.named())

    def _children(self, node: Node, state: State) -> _Inside:
        inner = self._inside(node, state)
        return [(child, inner) for child in node.children]

    def _inside(self, node: Node, state: State) -> State:
        group = Group(named_of(node), state.group, state.clone is not None)
        return replace(state, group=group, clone=None)

    def _length(self, node: Node, state: State, name: str, axis: str, default: float) -> float:
        found = length_of(node, state, self._desk, name, axis, default)
        return default if found is None else found

    def _use(self, node: Node, state: State) -> _Inside:
        target = self._tree.original(node)
        if target is None:
            self._desk.notes.warn(
                "svg.missing-clone",
                f'{node.named()} stands for "{node.href.strip()}", which the drawing does not hold',
                node,
                hint="unlink the clone in the drawing program and save again",
            )
            return []
        x, y = self._length(node, state, "x", "x", 0.0), self._length(node, state, "y", "y", 0.0)
        inner = self._inside(node, state)
        matrix = times(state.matrix, (1.0, 0.0, 0.0, 1.0, x, y))
        return [(target, replace(inner, matrix=matrix, clone=node))]

    def _viewport(self, node: Node, state: State) -> State | None:
        """Inside a nested drawing or a symbol."""
        x = y = 0.0
        if node.tag == "svg":
            x = self._length(node, state, "x", "x", 0.0)
            y = self._length(node, state, "y", "y", 0.0)
        size = []
        for name, axis, whole in (("width", "x", state.width), ("height", "y", state.height)):
            source = state.clone if state.clone is not None and name in state.clone.attrs else node
            size.append(self._length(source, state, name, axis, whole))
        try:
            box = parse_view_box(node.attrs.get("viewBox"))
        except BadViewBox as error:
            raise BadShape(str(error), node.attrs.get("viewBox", "")) from None
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

    def _text(self, node: Node, state: State) -> None:
        def make(
            owner: Node,
            text: str,
            at: tuple[float, float],
            anchor: tuple[float, float],
            height: float,
            rotation: float,
        ) -> Lettering:
            self._order += 1
            named = named_of(owner if owner.id or owner.attrs.get("class") else node)
            return Lettering(text, at, anchor, height, rotation, named, state.group, self._order)

        def looks(child: Node, before: Looks) -> Looks | None:
            found = looks_of(child, before, self._desk)
            if found is None or (not found.visible and not self._desk.options.hidden):
                self._hidden(child)
                return None
            return found

        most = self._desk.limits.text
        for text in letter(node, state.matrix, state.looks, looks, make, most):
            if max(map(abs, (*text.at, *text.anchor, text.height))) < FARTHEST:
                if len(text.text) > most:
                    text = replace(text, text=text.text[:most])
                    self._desk.notes.warn(
                        "svg.limit",
                        f"a text is longer than {most} signs and was cut there",
                        node,
                        hint=f"if you trust the file, raise the limit: --limit text={10 * most}",
                    )
                self._texts.append(text)
            else:
                self._desk.notes.error(
                    "svg.path-data",
                    f'the text "{text.text[:40]}" lies farther out than a thousand kilometres; '
                    "left out",
                    node,
                )


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
