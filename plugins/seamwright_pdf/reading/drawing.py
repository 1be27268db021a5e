"""Pages on one sheet, as a drawing: strokes and texts in mm, in containers for their layers."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, field
from itertools import pairwise

import numpy as np

from seamwright.geometry import CUBIC, LINE, Curve, FloatArray, line_segments
from seamwright.model.recognise import (
    NOTHING,
    Drawing,
    Group,
    Lettering,
    Looks,
    Matrix,
    Named,
    Spot,
    Stroke,
    read_label,
)
from seamwright.model.recognise.matrices import apply, apply_all

from .bands import Bands, bands_in
from .items import Content, PathItem, Tag, TextItem
from .own import (
    back_from_place,
    is_artifact,
    lettering,
    line_named,
    piece_group,
    piece_tag,
    role_tag,
)
from .pages import Frame
from .tokens import text_string

_APART = 16_384.0  # mm; a power of two, so that moving there and back loses no digits
_SAME = 0.05  # mm; how near two lines on overlapping pages must lie to be one


@dataclass(slots=True, eq=False)
class Sheet:
    """One page's content and where it goes: place takes mm of the page to mm of the whole; box is
    what of the whole it shows; own: whether our own writer made it; cell: the part of the box that
    is this page's alone when neighbours share strips, None without neighbours."""

    number: int
    content: Content
    frame: Frame
    place: Matrix
    box: FloatArray
    own: bool = False
    cell: FloatArray | None = None


@dataclass(slots=True, eq=False)
class Drawn:
    """A line of a page that our own writer did not make."""

    curve: Curve
    item: PathItem
    sheet: Sheet
    order: int


@dataclass(slots=True)
class Assembled:
    """The drawing, and counts for findings."""

    drawing: Drawing
    repeated: int = 0
    clipped: int = 0
    joined_texts: int = 0
    sizes: list[str] = field(default_factory=list)


class Assembler:
    """Puts sheets into one drawing."""

    def __init__(self) -> None:
        self.out = Assembled(Drawing())
        self._groups: dict[tuple[str, ...], Group] = {}
        self._pieces: dict[tuple[str, str], Group] = {}
        self._names: dict[str, int] = {}
        self._drawn: list[Drawn] = []
        self._index: dict[tuple[int, int, int, bool], list[Drawn]] = defaultdict(list)
        self._own_seen: Counter[tuple[object, ...]] = Counter()
        self._on_page: Counter[tuple[object, ...]] = Counter()
        self._texts_seen: set[tuple[object, ...]] = set()
        self._order = 0

    def add(self, sheet: Sheet, *, several: bool) -> None:
        """A sheet's lines and texts. several: whether others may show the same things again."""
        self._on_page.clear()
        for item in sheet.content.paths:
            self._path(item, sheet)
        for tags, _ in sheet.content.tags:
            self._own_text(tags)
        for text in _lines_of_text(t for t in sheet.content.texts if not _ours(t.tags)):
            self._text(text, sheet, several)

    def _path(self, item: PathItem, sheet: Sheet) -> None:
        if is_artifact(item.tags) or (sheet.own and piece_tag(item.tags) is None):
            return
        segments = apply_all(sheet.place, item.segments)
        piece, role = piece_tag(item.tags), role_tag(item.tags)
        if piece is not None and role is not None:
            self._own_path(segments, item, piece, role)
            return
        curve = _curve(segments, item)
        if curve is None:
            return
        self.out.clipped += item.clipped and _leaves(curve, sheet.box)
        self._order += 1
        self._drawn.append(Drawn(curve, item, sheet, self._order))

    def bands(self) -> Bands | None:
        """Lines that are drawn as thin filled shapes."""
        return bands_in(
            (line.item.paint, line.curve)
            for line in self._drawn
            if line.item.filled and not line.item.stroked and line.curve.closed
        )

    def finish(self) -> Assembled:
        """The drawing. What several pages show whole counts once; an open line that one page shows
        alone ends in the middle of the strip that it shares with its neighbour."""
        for line in self._drawn:
            curves = [line.curve]
            again = self._again(line)
            if again == "repeated":
                self.out.repeated += 1
                continue
            if again == "alone" and line.sheet.cell is not None and not line.curve.closed:
                curves = trimmed(line.curve, line.sheet.cell)
            item = line.item
            looks = Looks(stroked=item.stroked, filled=item.filled, dashed=item.dashed)
            named = Named(Spot(f"page {line.sheet.number}"))
            self.out.drawing.strokes += [
                Stroke(curve, named, self._group(item.layers), looks, line.order)
                for curve in curves
            ]
        self.out.drawing.strokes.sort(key=lambda s: s.order)
        return self.out

    def _own_path(self, segments: FloatArray, item: PathItem, piece: Tag, role: Tag) -> None:
        group, apart = self._own_group(piece)
        a, b, c, d, e, f = back_from_place(piece)
        curve = _curve(apply_all((a, b, c, d, e + apart, f), segments), item, own=True)
        if curve is None:
            return
        key = (id(group), role.name, str(role.facts.get("Name", "")),
               curve.n, *np.round(curve.segments[0, 0], 2).tolist(),
               *np.round(curve.bbox, 2).tolist())  # fmt: skip
        if not self._new(key):
            self.out.repeated += 1
            return
        self._order += 1
        self.out.drawing.strokes.append(
            Stroke(curve, line_named(role), group, Looks(stroked=True, filled=False), self._order,
                   verbatim=True)
        )  # fmt: skip

    def _new(self, key: tuple[object, ...]) -> bool:
        """Whether a thing of our own is there once more than other pages have shown: what several
        pages show is one, what one page shows twice is two."""
        self._on_page[key] += 1
        if self._on_page[key] <= self._own_seen[key]:
            return False
        self._own_seen[key] += 1
        return True

    def _own_group(self, piece: Tag) -> tuple[Group, float]:
        """The piece's container, and how far it is moved aside meanwhile: in the pattern pieces may
        lie over each other, and two of one outline are not one drawn twice."""
        name = str(text_string(piece.facts["Name"]))
        apart = _APART * self._names.setdefault(name, len(self._names))
        group = piece_group(piece, apart)
        key = (group.named.facts["piece"], group.named.facts["size"])
        return self._pieces.setdefault(key, group), apart

    def _own_text(self, tags: tuple[Tag, ...]) -> None:
        piece = piece_tag(tags)
        if piece is None or is_artifact(tags) or tags[-1].name != "Text":
            return
        group, apart = self._own_group(piece)
        self._order += 1
        text = lettering(tags[-1], group, self._order, apart)
        if text is None:
            return
        key = (id(group), text.text, *text.at, text.height, text.rotation)
        if self._new(key):
            self.out.drawing.texts.append(text)

    def _text(self, text: TextItem, sheet: Sheet, several: bool) -> None:
        if is_artifact(text.tags) or sheet.own:
            return
        words = "".join(c if c.isprintable() else " " for c in text.text).strip()
        at, end = apply(sheet.place, *text.at), apply(sheet.place, *text.end)
        if not words:
            return
        if several:
            key = (words, *np.round(np.array(at) / 0.5).tolist())
            if key in self._texts_seen:
                return
            self._texts_seen.add(key)
        self._order += 1
        anchor = ((at[0] + end[0]) / 2, (at[1] + end[1]) / 2)
        named = Named(Spot(f"page {sheet.number}"))
        self.out.drawing.texts.append(
            Lettering(words, at, anchor, text.height, text.turn, named, self._group(text.layers),
                      self._order)
        )  # fmt: skip

    def _group(self, layers: tuple[str, ...]) -> Group | None:
        if not layers:
            return None
        if layers not in self._groups:
            name = layers[-1]
            label = read_label(name) if name else NOTHING
            parent = self._group(layers[:-1])
            self._groups[layers] = Group(Named(Spot(name), label), parent)
        return self._groups[layers]

    def _again(self, line: Drawn) -> str:
        """Whether other pages draw the same line in the same place: "repeated" where one did so
        before, "shared" where one will, "alone" where none does."""
        if not self._index:
            for other in self._drawn:
                self._index[_key(other.curve)].append(other)
        x, y, n, closed = _key(line.curve)
        near = [
            other
            for dx in (-1, 0, 1)
            for dy in (-1, 0, 1)
            for other in self._index.get((x + dx, y + dy, n, closed), ())
            if other.sheet is not line.sheet
            and float(np.abs(other.curve.segments - line.curve.segments).max()) <= _SAME
        ]
        if any(other.order < line.order for other in near):
            return "repeated"
        return "shared" if near else "alone"


def _key(curve: Curve) -> tuple[int, int, int, bool]:
    x, y = np.round(curve.bbox[:2]).astype(int).tolist()
    return x, y, curve.n, curve.closed


def trimmed(curve: Curve, cell: FloatArray) -> list[Curve]:
    """The parts of an open curve that lie in a box."""
    x0, y0, x1, y1 = (float(v) for v in cell)
    a, b, c, d = curve.bbox
    if a >= x0 and b >= y0 and c <= x1 and d <= y1:
        return [curve]
    far = 1e5
    borders = (((x0, -far), (x0, far)), ((x1, -far), (x1, far)), ((-far, y0), (far, y0)),
               ((-far, y1), (far, y1)))  # fmt: skip
    cuts = {0.0, curve.length}
    for p, q in borders:
        cuts.update(float(s) for s in curve.intersections(Curve.line(p, q)).own)
    places = sorted(cuts)
    out = []
    for s, e in pairwise(places):
        if e - s <= 1e-6:
            continue
        x, y = curve.point_at((s + e) / 2)
        if x0 <= x <= x1 and y0 <= y <= y1:
            out.append(curve.part(s, e))
    return out


def _ours(tags: tuple[Tag, ...]) -> bool:
    return any(t.name in ("Text", "Artifact") for t in tags)


def _leaves(curve: Curve, box: FloatArray) -> bool:
    x0, y0, x1, y1 = curve.bbox
    return bool(x0 < box[0] - 0.5 or y0 < box[1] - 0.5 or x1 > box[2] + 0.5 or y1 > box[3] + 0.5)


def _curve(segments: FloatArray, item: PathItem, *, own: bool = False) -> Curve | None:
    """The item as a curve; segments without extent are left out of what others drew."""
    kinds = np.where(item.straight, LINE, CUBIC).astype(np.uint8)
    if not own:
        long = (np.abs(segments - segments[:, :1]).max(axis=(1, 2))) > 1e-9
        segments, kinds = segments[long], kinds[long]
    if not len(segments):
        return None
    segments = segments.copy()
    segments[1:, 0] = segments[:-1, 3]
    closed = item.closed
    gap = float(np.abs(segments[0, 0] - segments[-1, 3]).max())
    if not closed and len(segments) > 1 and gap <= 1e-4:
        closed = True
    if closed and gap > 0.0:
        if gap <= 1e-4:
            segments[-1, 3] = segments[0, 0]
        else:
            segments = np.concatenate((segments, line_segments(segments[-1:, 3], segments[:1, 0])))
            kinds = np.append(kinds, np.uint8(LINE))
    straight = kinds == LINE
    segments[straight] = line_segments(segments[straight, 0], segments[straight, 3])
    if closed and len(segments) < 3 and straight.all():
        closed = False
    return Curve.from_segments(segments, kinds, closed=closed)


def _lines_of_text(items: Iterable[TextItem]) -> list[TextItem]:
    """Texts whose stretches follow one another on one line, put together."""
    out: list[TextItem] = []
    for item in items:
        last = out[-1] if out else None
        if last is not None and _follows(last, item):
            gap = float(np.hypot(item.at[0] - last.end[0], item.at[1] - last.end[1]))
            blank = " " if gap > 0.15 * item.height and not last.text.endswith(" ") else ""
            out[-1] = TextItem(
                last.text + blank + item.text, last.at, item.end, last.height, last.turn,
                last.layers, last.tags,
            )  # fmt: skip
        else:
            out.append(item)
    return out


def _follows(last: TextItem, item: TextItem) -> bool:
    if last.layers != item.layers or abs(last.turn - item.turn) > 0.5:
        return False
    if abs(last.height - item.height) > 0.05 * last.height:
        return False
    turn = np.radians(last.turn)
    step = np.array(item.at) - np.array(last.end)
    along = float(step @ [np.cos(turn), np.sin(turn)])
    off = float(step @ [-np.sin(turn), np.cos(turn)])
    return abs(off) <= 0.1 * item.height and -0.5 * item.height <= along <= 0.6 * item.height
