"""An interpreter of page content that draws into lists: paths and texts in mm, with their layers.

Operators: ISO 32000-1, annex A. What is not about lines and texts (colours, shadings, images) is
passed over, images and shadings with a count.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Any, Final

import numpy as np

from seamwright.model.recognise import Matrix
from seamwright.model.recognise.matrices import apply, apply_all, times

from .bounds import Bounds
from .fonts import Font
from .items import Content, PathItem, Tag, TextItem
from .layers import Layers
from .objects import entry, identity, items
from .tokens import Name, operators

_OWN: Final = frozenset(
    ["Piece", "CutLine", "SeamLine", "Notch", "GrainLine", "InternalLine", "Dart", "DrillHole",
     "Text", "Artifact"]
)  # fmt: skip
#: Colours, widths, joins: nothing that says where a line runs.
_QUIET: Final = "w J j M i ri g G rg RG k K cs CS sc scn SC SCN MP DP BX EX d0 d1"
_COLOURS: Final = frozenset(_QUIET.split())
_FAR: Final = 1e8  # mm
_FORMS: Final = 64  # forms within forms


@dataclass(frozen=True, slots=True)
class State:
    """The part of the graphics state that q and Q save."""

    matrix: Matrix
    dashed: bool = False
    clips: int = 0
    font: Font | None = None
    size: float = 0.0
    letter_gap: float = 0.0
    word_gap: float = 0.0
    stretch: float = 1.0
    leading: float = 0.0
    rise: float = 0.0


@dataclass(frozen=True, slots=True)
class Mark:
    """One marked-content sequence: the layers it stands for, or our own tag."""

    layers: tuple[str, ...] = ()
    tag: Tag | None = None


class Interpreter:
    """Draws pages, one after the other. own: whether our own writer's tags are to be believed."""

    def __init__(self, layers: Layers, bounds: Bounds) -> None:
        self._layers = layers
        self._bounds = bounds
        self._fonts: dict[tuple[int, int], Font] = {}
        self._data: dict[tuple[int, int], bytes] = {}
        self._weights: dict[tuple[int, int], tuple[int, int] | None] = {}
        self._paint = 0

    def page(self, page: Any, to_mm: Matrix) -> Content:
        """Everything that a page draws, in mm of the page."""
        self._out = Content()
        self._to_mm = to_mm
        self._marks: list[Mark] = []
        contents = entry(page, "/Contents")
        if contents is None:
            return self._out
        streams = [contents] if hasattr(contents, "read_bytes") else items(contents)
        data = b"\n".join(self._bounds.unfold(s) for s in streams if hasattr(s, "read_bytes"))
        resources = entry(page, "/Resources")
        parent, steps = entry(page, "/Parent"), 0
        while resources is None and parent is not None and steps < 64:
            resources, parent, steps = (
                entry(parent, "/Resources"),
                entry(parent, "/Parent"),
                steps + 1,
            )
        self._run(data, resources, State(to_mm), (), 0)
        return self._out

    def _run(
        self, data: bytes, resources: Any, state: State, inside: tuple[Any, ...], depth: int
    ) -> None:
        """One content stream. inside: the forms that are being drawn."""
        _Stream(self, resources, state, inside, depth).run(data)

    def data_of(self, form: Any) -> bytes:
        """A form's content, unfolded once."""
        key = identity(form)
        if key not in self._data:
            self._data[key] = self._bounds.unfold(form)
        return self._data[key]

    def weigh(self, form: Any, resources: Any, depth: int = 1) -> tuple[int, int]:
        """How many operators and how many forms the form comes to with all that it draws, found
        by counting and not by drawing. Refuses what is over a limit."""
        bounds = self._bounds
        key = identity(form)
        if key in self._weights:
            known = self._weights[key]
            if known is None:
                bounds.over("depth", "a form that draws itself")
                raise AssertionError
            return known
        if depth > _FORMS:
            bounds.over("depth", f"forms nested more than {_FORMS} deep")
        self._weights[key] = None
        own = entry(form, "/Resources")
        own = resources if own is None else own
        steps, forms = 0, 1
        children: Counter[str] = Counter()
        for word, operands in operators(self.data_of(form)):
            steps += 1
            if not steps & 255:
                bounds.operators(256)
            if word == "Do" and operands:
                children[str(operands[-1])] += 1
        for name, number in children.items():
            child = entry(entry(own, "/XObject"), f"/{name}")
            if child is not None and str(entry(child, "/Subtype", "")) == "/Form":
                more, inner = self.weigh(child, own, depth + 1)
                steps, forms = steps + number * more, forms + number * inner
        bounds.weighs(steps, forms)
        self._weights[key] = (steps, forms)
        return steps, forms

    def font(self, resources: Any, name: str) -> Font | None:
        """The font of that name."""
        fonts = entry(resources, "/Font")
        font = entry(fonts, f"/{name}")
        if font is None:
            return None
        key = identity(font)
        if key == (0, 0):
            return Font(font, self._bounds.unfold)
        if key not in self._fonts:
            self._fonts[key] = Font(font, self._bounds.unfold)
        return self._fonts[key]


class _Stream:
    """The run of one content stream: a page's, or a form's."""

    def __init__(
        self, host: Interpreter, resources: Any, state: State, inside: tuple[Any, ...], depth: int
    ) -> None:
        self._host = host
        self._resources = resources
        self._state = state
        self._stack: list[State] = []
        self._inside = inside
        self._depth = depth
        self._first_mark = len(host._marks)
        # The path under way: subpaths as lists of points, 4 a segment, in user units.
        self._subpaths: list[tuple[list[float], list[bool], bool]] = []
        self._points: list[float] = []
        self._straight: list[bool] = []
        self._start: tuple[float, float] | None = None
        self._at = (0.0, 0.0)
        self._clip = False
        self._text: Matrix = (1.0, 0.0, 0.0, 1.0, 0.0, 0.0)
        self._line = self._text

    def run(self, data: bytes) -> None:
        bounds = self._host._bounds
        table: dict[str, Callable[[list[Any]], None]] = {
            "m": self._move, "l": self._to, "c": self._curve, "v": self._curve_v,
            "y": self._curve_y, "h": self._close, "re": self._rectangle,
        }  # fmt: skip
        for number, (word, operands) in enumerate(operators(data)):
            if not number & 255:
                bounds.operators(256)
            if word in _COLOURS:
                continue
            try:
                act = table.get(word)
                if act is not None:
                    act(operands)
                else:
                    self._other(word, operands)
            except (AttributeError, IndexError, TypeError, ValueError, OverflowError):
                continue  # an operator without what it needs does nothing, as in viewers
        del self._host._marks[self._first_mark :]

    # -- paths --------------------------------------------------------------------------------

    def _move(self, v: list[Any]) -> None:
        self._end_subpath(closed=False)
        self._start = self._at = (float(v[-2]), float(v[-1]))

    def _to(self, v: list[Any]) -> None:
        if self._start is None:
            self._move(v)
            return
        x, y = float(v[-2]), float(v[-1])
        a, b = self._at
        dx, dy = (x - a) / 3.0, (y - b) / 3.0
        self._points += (a, b, a + dx, b + dy, x - dx, y - dy, x, y)
        self._straight.append(True)
        self._at = (x, y)

    def _curve(self, v: list[Any]) -> None:
        six = v[-6:]
        if len(six) < 6 or self._start is None:
            return
        self._points += (*self._at, *six)
        self._straight.append(False)
        self._at = (float(six[4]), float(six[5]))

    def _curve_v(self, v: list[Any]) -> None:
        self._curve([*self._at, *v[-4:]])

    def _curve_y(self, v: list[Any]) -> None:
        self._curve([*v[-4:], *v[-2:]])

    def _close(self, v: list[Any]) -> None:
        if self._start is not None and self._points:
            if self._at != self._start:
                self._to(list(self._start))
            start = self._start
            self._end_subpath(closed=True)
            self._start = self._at = start

    def _rectangle(self, v: list[Any]) -> None:
        x, y, w, h = (float(n) for n in v[-4:])
        self._move([x, y])
        for point in ((x + w, y), (x + w, y + h), (x, y + h)):
            self._to(list(point))
        self._close([])

    def _end_subpath(self, *, closed: bool) -> None:
        if self._points:
            self._subpaths.append((self._points, self._straight, closed))
            self._host._bounds.points(3 * len(self._straight))
        self._points, self._straight = [], []
        self._start = None

    def _painted(self, *, stroke: bool, fill: bool) -> None:
        self._end_subpath(closed=False)
        if stroke or fill:
            self._host._paint += 1
            layers, tags = self._around()
            for points, straight, closed in self._subpaths:
                array = np.array(points, dtype=np.float64).reshape(-1, 4, 2)
                segments = apply_all(self._state.matrix, array)
                if not (np.abs(segments) < _FAR).all():
                    continue
                self._host._out.paths.append(
                    PathItem(
                        segments, np.array(straight), closed or (fill and not stroke), layers, tags,
                        self._state.dashed, self._state.clips > 0, stroke, fill, self._host._paint,
                    )
                )  # fmt: skip
        if self._clip:
            self._state = replace(self._state, clips=self._state.clips + 1)
            self._clip = False
        self._subpaths = []

    # -- all other operators ---------------------------------------------------------------------

    def _other(self, word: str, v: list[Any]) -> None:
        match word:
            case "S":
                self._painted(stroke=True, fill=False)
            case "s":
                self._close([])
                self._painted(stroke=True, fill=False)
            case "f" | "F" | "f*":
                self._painted(stroke=False, fill=True)
            case "B" | "B*":
                self._painted(stroke=True, fill=True)
            case "b" | "b*":
                self._close([])
                self._painted(stroke=True, fill=True)
            case "n":
                self._painted(stroke=False, fill=False)
            case "W" | "W*":
                self._clip = True
            case "q":
                self._stack.append(self._state)
                self._host._bounds.nested(len(self._stack) + self._depth, "graphics states")
            case "Q":
                if self._stack:
                    self._state = self._stack.pop()
            case "cm":
                matrix = times(self._state.matrix, _matrix(v))
                self._state = replace(self._state, matrix=matrix)
            case "d":
                dashed = any(float(n) > 0 for n in v[0]) if v else False
                self._state = replace(self._state, dashed=dashed)
            case "gs":
                self._graphics(entry(entry(self._resources, "/ExtGState"), f"/{v[-1]}"))
            case "BDC":
                self._begin(v[-2], v[-1])
            case "BMC":
                self._begin(v[-1], {})
            case "EMC":
                if len(self._host._marks) > self._first_mark:
                    self._host._marks.pop()
            case "Do":
                self._draw(str(v[-1]))
            case "BI":
                self._host._out.images += 1
            case "sh":
                self._host._out.shadings += 1
            case _:
                self._lettering(word, v)

    def _graphics(self, state: Any) -> None:
        dash = entry(state, "/D")
        if dash is not None and len(dash):
            self._state = replace(self._state, dashed=any(float(n) > 0 for n in dash[0]))
        font = entry(state, "/Font")
        if font is not None and len(font) == 2:
            found = Font(font[0], self._host._bounds.unfold)
            self._state = replace(self._state, font=found, size=float(font[1]))

    def _begin(self, tag: Any, properties: Any) -> None:
        mark = Mark()
        if tag == "OC" and isinstance(properties, Name):
            content = entry(entry(self._resources, "/Properties"), f"/{properties}")
            mark = Mark(layers=self._host._layers.of(content))
        elif tag in _OWN:
            facts: Any = properties
            if isinstance(properties, Name):
                facts = plain(entry(entry(self._resources, "/Properties"), f"/{properties}"))
            mark = Mark(tag=Tag(str(tag), facts if isinstance(facts, dict) else {}))
        self._host._marks.append(mark)
        self._host._bounds.nested(len(self._host._marks), "marked content")
        if mark.tag is not None and tag == "Text":
            layers, tags = self._around()
            self._host._out.tags.append((tags, layers))

    def _around(self) -> tuple[tuple[str, ...], tuple[Tag, ...]]:
        layers: list[str] = []
        tags = []
        for mark in self._host._marks:
            layers += [name for name in mark.layers if name not in layers]
            if mark.tag is not None:
                tags.append(mark.tag)
        return tuple(layers), tuple(tags)

    def _draw(self, name: str) -> None:
        form = entry(entry(self._resources, "/XObject"), f"/{name}")
        if form is None:
            return
        kind = str(entry(form, "/Subtype", ""))
        if kind == "/Image":
            self._host._out.images += 1
            return
        if kind != "/Form":
            return
        bounds = self._host._bounds
        key = identity(form)
        if key in self._inside:
            bounds.over("depth", "a form that draws itself")
        self._host.weigh(form, self._resources)
        bounds.instance()
        matrix = entry(form, "/Matrix")
        inner = self._state.matrix
        if matrix is not None and len(matrix) == 6:
            inner = times(inner, _matrix([float(n) for n in matrix]))
        marks = self._host._marks
        layers = self._host._layers.of(entry(form, "/OC")) if "/OC" in form else ()
        marks.append(Mark(layers=layers))
        resources = entry(form, "/Resources")
        self._host._run(
            self._host.data_of(form),
            self._resources if resources is None else resources,
            replace(self._state, matrix=inner),
            (*self._inside, key),
            self._depth + len(self._stack),
        )
        marks.pop()

    # -- texts -------------------------------------------------------------------------------------

    def _lettering(self, word: str, v: list[Any]) -> None:
        s = self._state
        match word:
            case "BT":
                self._text = self._line = (1.0, 0.0, 0.0, 1.0, 0.0, 0.0)
            case "Tf":
                font = self._host.font(self._resources, str(v[-2]))
                self._state = replace(s, font=font, size=float(v[-1]))
            case "Td":
                self._next_line(float(v[-2]), float(v[-1]))
            case "TD":
                self._state = replace(s, leading=-float(v[-1]))
                self._next_line(float(v[-2]), float(v[-1]))
            case "Tm":
                self._text = self._line = _matrix(v)
            case "T*":
                self._next_line(0.0, -s.leading)
            case "TL":
                self._state = replace(s, leading=float(v[-1]))
            case "Tc":
                self._state = replace(s, letter_gap=float(v[-1]))
            case "Tw":
                self._state = replace(s, word_gap=float(v[-1]))
            case "Tz":
                self._state = replace(s, stretch=float(v[-1]) / 100.0)
            case "Ts":
                self._state = replace(s, rise=float(v[-1]))
            case "Tj":
                self._show([v[-1]])
            case "TJ":
                self._show(v[-1])
            case "'":
                self._next_line(0.0, -s.leading)
                self._show([v[-1]])
            case '"':
                self._state = replace(s, word_gap=float(v[-3]), letter_gap=float(v[-2]))
                self._next_line(0.0, -s.leading)
                self._show([v[-1]])

    def _next_line(self, x: float, y: float) -> None:
        self._text = self._line = times(self._line, (1.0, 0.0, 0.0, 1.0, x, y))

    def _show(self, parts: list[Any]) -> None:
        s = self._state
        if s.font is None:
            self._host._out.unreadable_texts += 1
            return
        said: list[str] = []
        along = 0.0
        for part in parts:
            if isinstance(part, int | float):
                along -= part / 1000.0 * s.size * s.stretch
                if part < -200 and said:
                    said.append(" ")
                continue
            for text, width, blank in s.font.letters(part):
                said.append(text)
                gap = s.letter_gap + (s.word_gap if blank else 0.0)
                along += (width / 1000.0 * s.size + gap) * s.stretch
        matrix = times(s.matrix, self._text)
        start, end = apply(matrix, 0.0, s.rise), apply(matrix, along, s.rise)
        self._text = times(self._text, (1.0, 0.0, 0.0, 1.0, along, 0.0))
        text = "".join(said)[: self._host._bounds.text]
        if text.strip() and max(map(abs, (*start, *end))) < _FAR:
            if "\ufffd" in text:
                self._host._out.unreadable_texts += 1
            layers, tags = self._around()
            height = abs(s.size) * math.hypot(matrix[2], matrix[3])
            turn = math.degrees(math.atan2(matrix[1], matrix[0]))
            self._host._out.texts.append(TextItem(text, start, end, height, turn, layers, tags))


def _matrix(v: list[Any]) -> Matrix:
    a, b, c, d, e, f = (float(n) for n in v[-6:])
    return (a, b, c, d, e, f)


def plain(thing: Any, depth: int = 0) -> Any:
    """A PDF object as plain Python: names as `Name`, strings as text."""
    import pikepdf  # noqa: PLC0415 - heavy

    if depth > 8:
        return None
    if isinstance(thing, pikepdf.Dictionary):
        return {str(k)[1:]: plain(v, depth + 1) for k, v in list(thing.items())[:64]}
    if isinstance(thing, pikepdf.Array):
        return [plain(v, depth + 1) for v in list(thing)[:100_000]]
    if isinstance(thing, pikepdf.Name):
        return Name(str(thing)[1:])
    if isinstance(thing, pikepdf.String):
        return str(thing)
    if isinstance(thing, bool):
        return thing
    try:
        return float(thing)
    except (TypeError, ValueError):
        return None
