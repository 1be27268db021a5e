"""The labelled picture of a pattern: every piece, corner, notch and edge with its name."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from html import escape

import numpy as np

from seamwright.geometry import Curve, FloatArray
from seamwright.model import LineRole, Pattern, Piece, Shape
from seamwright.model.picture import path_data
from seamwright.numbers import fixed
from seamwright.units import format_length

from .labels import Label, Placer, width
from .picture_seams import SEAM_STYLE, Stroke, legend, sort_for_drawing, strokes
from .proposal import Proposal, propose_seams
from .propose import lead_shape, marks_named

_SIZE = 12.0  # of letters
_ROOM = 105.0  # round a piece, for labels
_ROW = 1700.0  # a row of pieces is no wider than this, unless one piece is
_TALL = 620.0  # the largest piece is drawn this high

_STYLE = """
svg{background:#fdfcf8}
text{font-family:"DejaVu Sans","Noto Sans",Verdana,sans-serif;font-size:12px}
.outline{fill:#f3efe2;stroke:#22333b;stroke-width:1.6;stroke-linejoin:round}
.cut{fill:none;stroke:#8a8577;stroke-width:.8;stroke-dasharray:5 3}
.inside{fill:none;stroke:#b4ad9a;stroke-width:.8}
.corner{fill:#b3361b}.corner-name{fill:#8f2a14;font-weight:bold}
.notch{stroke:#1f5f8b;stroke-width:2.2}.notch-name{fill:#174a6e}
.length{fill:#5b6469;font-size:11px}
.lead{stroke:#b9b3a4;stroke-width:.7}
.piece{font-size:19px;font-weight:bold;fill:#22333b}
.note{fill:#5b6469}
"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Picture:
    """The picture as SVG text, and where its labels stand (pixels, y down), for each piece."""

    svg: str
    labels: dict[str, tuple[Label, ...]]


def plan_picture(pattern: Pattern, *, units: str = "mm", proposal: Proposal | None = None) -> str:
    """The labelled picture of a pattern in its base size, as self-contained SVG text.

    Corners carry their number and name, notches theirs, edges their length in `units`. Each seam
    that stands or is proposed has a colour and a number on both its sides, free edges are dotted.
    Names and seams are those of `proposal` (made here where none is given).
    """
    return draw(pattern, units=units, proposal=proposal).svg


def draw(pattern: Pattern, *, units: str = "mm", proposal: Proposal | None = None) -> Picture:
    """The picture, and where its labels stand."""
    if proposal is None:
        proposal = propose_seams(pattern, keep=pattern.seams)
    lines = strokes(pattern, proposal)
    chosen = [(piece, lead_shape(piece, pattern.base_size)) for piece in pattern.pieces]
    shown = [(piece, shape) for piece, shape in chosen if shape is not None]
    scale = _scale([shape for _, shape in shown])
    body: list[str] = []
    labels: dict[str, tuple[Label, ...]] = {}
    x, y, row, wide = 0.0, 64.0, 0.0, 0.0
    for piece, shape in shown:
        x0, y0, x1, y1 = (float(v) for v in shape.seam_line.bbox)
        w = (x1 - x0) * scale + 2 * _ROOM
        w = max(w, width(piece.name, 19.0) + 30.0)
        h = (y1 - y0) * scale + 2 * _ROOM * 0.75 + 28.0
        if x > 0.0 and x + w > _ROW:
            x, y, row = 0.0, y + row, 0.0
        names = marks_named(piece, shape, proposal.names)
        over = sort_for_drawing(lines.get(piece.name, []))
        drawn, placed = _panel(piece, shape, scale, (w, h), units, names, over)
        body.append(f'<g transform="translate({_px(x)},{_px(y)})">{drawn}</g>')
        labels[piece.name] = placed
        x, row = x + w, max(row, h)
        wide = max(wide, x)
    wide, tall = max(wide, 1040.0), y + row + 10.0
    key, high = legend(pattern, proposal, (24.0, tall + 16.0), wide)
    body.append(key)
    tall += high
    name = escape(pattern.name or "Pattern")
    svg = (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{_px(wide)}" height="{_px(tall)}" '
        f'viewBox="0 0 {_px(wide)} {_px(tall)}">\n<title>{name}: names for a seam plan</title>\n'
        f"<style>{_STYLE}{SEAM_STYLE}</style>\n"
        f'<text class="piece" x="20" y="30">{name}</text>\n'
        f'<text class="note" x="20" y="50">size {escape(pattern.base_size)}; not to scale. '
        "Red: corners, anticlockwise from the upper left. Blue: notches. Grey: edge lengths. "
        "One colour and number on two edges: sewn together (whole line: sure; dashes: likely; "
        "dots: unsure)."
        "</text>\n" + "\n".join(body) + "\n</svg>\n"
    )
    return Picture(svg=svg, labels=labels)


def _scale(shapes: Sequence[Shape]) -> float:
    """Pixels a mm: one scale for all pieces, the largest fitting the page."""
    boxes = np.array([shape.seam_line.bbox for shape in shapes]).reshape(-1, 4)
    if not len(boxes):
        return 1.0
    across, up = boxes[:, 2] - boxes[:, 0], boxes[:, 3] - boxes[:, 1]
    largest = max(float(up.max()) / _TALL, float(across.max()) / (_ROW - 2 * _ROOM))
    return 1.0 / largest if largest > 0.0 else 1.0


def _panel(
    piece: Piece,
    shape: Shape,
    scale: float,
    size: tuple[float, float],
    units: str,
    names: tuple[list[str], list[str]],
    over: Sequence[Stroke],
) -> tuple[str, tuple[Label, ...]]:
    """One piece with its labels; its own pixels from the upper left."""
    view = _View(shape, scale, size)
    out = [f'<text class="piece" x="20" y="22">{escape(piece.name)}</text>']
    if shape.cut_line is not None:
        out.append(view.path(shape.cut_line, "cut"))
    out.append(view.path(shape.seam_line, "outline"))
    out += [view.path(line.curve, "inside") for line in shape.internal_lines]
    out += [view.path(s.curve, s.kind, colour=s.colour, dashes=s.dashes) for s in over]
    placer = Placer(ink=view.ink, frame=(2.0, 28.0, size[0] - 2.0, size[1] - 2.0))
    ticks = [view.tick(shape, i) for i in range(len(shape.notches))]
    dots = [view.at(shape.seam_line.point_of(c.station)) for c in shape.corners]
    for px, py in (*dots, *(tick[0] for tick in ticks)):
        placer.keep_off((px - 4.0, py - 4.0, px + 4.0, py + 4.0))
    corners, notches = names
    for i, dot in enumerate(dots):
        text = f"{i + 1} {corners[i]}".strip()
        placer.place(text, "corner-name", [(dot, view.outward(shape, i))], size=_SIZE)
    for i, (root, _, toward) in enumerate(ticks):
        away = (-toward[0], -toward[1])
        text = f"{i + 1} {notches[i]}".strip()
        placer.place(text, "notch-name", [(root, away), (root, toward)], size=_SIZE)
    marked: list[tuple[Label, str]] = []
    for stroke in over:
        if stroke.number:
            placer.place(stroke.number, "number", view.beside(stroke.curve), size=_SIZE + 1.0)
            marked.append((placer.placed[-1], stroke.colour))
    for number in range(max(1, len(shape.corners))):
        spots = view.beside(shape.edge_curve(number))
        text = format_length(shape.edges[number].length, units)
        placer.place(text, "length", spots, size=_SIZE - 1.0)
    out += [
        f'<line class="notch" x1="{_px(a[0])}" y1="{_px(a[1])}" x2="{_px(b[0])}" y2="{_px(b[1])}"/>'
        for a, b, _ in ticks
    ]
    out += [f'<circle class="corner" cx="{_px(a)}" cy="{_px(b)}" r="3.6"/>' for a, b in dots]
    colours = {id(label): colour for label, colour in marked}
    out += [_lead(label) for label in placer.placed if label.distance > 24.0]
    out += [_text(label, colours.get(id(label), "")) for label in placer.placed]
    return "\n".join(out), tuple(placer.placed)


class _View:
    """From a piece's mm to its panel's pixels."""

    def __init__(self, shape: Shape, scale: float, size: tuple[float, float]) -> None:
        x0, y0, x1, y1 = (float(v) for v in shape.seam_line.bbox)
        self.scale = scale
        self.x0 = x0 - (size[0] / scale - (x1 - x0)) / 2
        self.y1 = y1 + ((size[1] - 28.0) / scale - (y1 - y0)) / 2 + 28.0 / scale
        points = shape.seam_line.flatten(0.3 / scale)
        self.ink = _dense(self.many(points), 5.0)

    def many(self, points: FloatArray) -> FloatArray:
        out: FloatArray = (points - np.array([self.x0, self.y1])) * np.array(
            [self.scale, -self.scale]
        )
        return out

    def at(self, point: FloatArray) -> tuple[float, float]:
        x, y = self.many(np.asarray(point, dtype=np.float64))
        return float(x), float(y)

    def path(self, curve: Curve, kind: str, *, colour: str = "", dashes: str = "") -> str:
        s = self.scale
        moved = curve.transformed([[s, 0.0, -self.x0 * s], [0.0, s, -self.y1 * s]])
        more = f' stroke="{colour}"' if colour else ""
        more += f' stroke-dasharray="{dashes}"' if dashes else ""
        return f'<path class="{kind}"{more} d="{path_data(moved, digits=2)}"/>'

    def outward(self, shape: Shape, corner: int) -> tuple[float, float]:
        """Away from the piece at a corner: between the outward normals of both edges."""
        line = shape.seam_line
        segment = shape.corners[corner].station.segment
        before = line.tangents_of([(segment - 1) % line.n], [1.0])[0]
        after = line.tangents_of([segment], [0.0])[0]
        # The piece lies on the left of travel; its outside is on the right.
        out = np.array([before[1] + after[1], -before[0] - after[0]])
        length = float(np.hypot(*out))
        if length < 1e-6:
            out, length = before, 1.0
        return float(out[0] / length), float(-out[1] / length)

    def tick(
        self, shape: Shape, notch: int
    ) -> tuple[tuple[float, float], tuple[float, float], tuple[float, float]]:
        """A notch's place on its line, the end of its stroke, and the direction into the piece."""
        mark = shape.notches[notch]
        cut = shape.cut_line if mark.line is LineRole.CUT else None
        line = shape.seam_line if cut is None else cut
        x, y = self.at(line.point_of(mark.station))
        along = line.tangents_of([mark.station.segment], [mark.station.t])[0]
        inward = (float(-along[1]), float(-along[0]))
        return (x, y), (x + 9.0 * inward[0], y + 9.0 * inward[1]), inward

    def beside(self, edge: Curve) -> list[tuple[tuple[float, float], tuple[float, float]]]:
        """Places along an edge with the direction into the piece, then out of it."""
        spots = []
        for share in (0.5, 0.38, 0.62, 0.26, 0.74):
            place = share * edge.length
            x, y = self.at(edge.point_at(place))
            along = edge.tangent_at(place)
            spots.append(((x, y), (float(-along[1]), float(-along[0]))))
        return spots + [(at, (-dx, -dy)) for at, (dx, dy) in spots]


def _dense(points: FloatArray, step: float) -> FloatArray:
    """Points along a closed polyline no farther apart than `step`."""
    after = np.roll(points, -1, axis=0)
    counts = np.maximum(1, np.ceil(np.hypot(*(after - points).T) / step).astype(int))
    owner = np.repeat(np.arange(len(points)), counts)
    share = (np.arange(len(owner)) - np.repeat(np.cumsum(counts) - counts, counts)) / counts[owner]
    out: FloatArray = points[owner] + share[:, None] * (after - points)[owner]
    return out


def _text(label: Label, colour: str = "") -> str:
    x0, _, x1, y1 = label.box
    fill = f' fill="{colour}"' if colour else ""
    return (
        f'<text class="{label.kind}" x="{_px((x0 + x1) / 2)}" y="{_px(y1 - 4.0)}" '
        f'text-anchor="middle"{fill}>{escape(label.text)}</text>'
    )


def _lead(label: Label) -> str:
    """A thin line from a place to its label, where the label had to stand off."""
    x0, y0, x1, y1 = label.box
    x, y = label.at
    ex, ey = min(max(x, x0), x1), min(max(y, y0), y1)
    return f'<line class="lead" x1="{_px(x)}" y1="{_px(y)}" x2="{_px(ex)}" y2="{_px(ey)}"/>'


def _px(value: float) -> str:
    return fixed(value, 2)
