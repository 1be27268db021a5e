"""A plain CAD drawing: no layers by the standard, pieces found by shape and by words.

Closed lines that lie in no other are outlines; what lies inside belongs to them. Words in the
names of layers say what a line is for; without words, a short line from the outline inwards is a
notch, a small circle a drill hole, and other lines are internal lines.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from seamwright.model.assemble import nearest_on_rings, twins
from seamwright.plugins.api import Finding, Severity

from ..drawing.content import Content
from ..drawing.lettered import Lettered
from ..drawing.records import Records
from ..drawing.strokes import Strokes
from . import layers as std
from .house import House, middles_of
from .joining import JoinWishes, join_loose, merged
from .keywords import said_by
from .measures import areas_of, lengths_of, round_line
from .sizes import looks_like_size
from .standard import Group
from .tagged import Layers

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]

_WORDS = {
    std.BOUNDARY: "cut cutting cutline outline contour boundary schnitt schnittkante umriss kontur",
    std.SEW: "seam seamline sew sewing sewline stitch stitching naht nahtlinie couture",
    std.V_NOTCH: "notch notches knips passzeichen cran crans",
    std.MIRROR: "fold mirror foldline bruch stoffbruch",
    std.GRAIN: "grain grainline fadenlauf droitfil",
    std.INTERNAL: "internal inner inside mark marking markings placement pleat dart darts "
    "pocket button",
    std.STRIPE: "stripe stripes",
    std.PLAID: "plaid",
    std.CUTOUT: "cutout cutouts hole holes",
    std.DRILL: "drill drills punch bohrung",
    std.ANNOTATION: "text texts label annotation notes",
}
"""Words of the trade in English, German and French (common practice, no source)."""
_BY_WORD = {word: layer for layer, words in _WORDS.items() for word in words.split()}
_ASIDE = frozenset(
    [
        "frame",
        "page",
        "border",
        "title",
        "legend",
        "scale",
        "testsquare",
        "ruler",
        "viewport",
        "defpoints",
    ]
)

_NOTCH_LONGEST = 15.0  # mm; a line from the outline inwards up to this long is a notch
_HOLE_LARGEST = 12.0  # mm; a circle up to this wide inside a piece is a drill hole
_NEAR = 5.0  # mm; a mark this near an outline belongs to it
_SLACK = 0.05  # mm; how far an inner line may stick out
_LEAST = 1.0  # mm2; a closed line around less than this bounds nothing
_SMALL_SHARE = 0.6  # a closed line inside another of at least this share is its seam line


@dataclass(slots=True)
class PlainDrawing:
    """A plain drawing turned into groups with the standard's layers."""

    inside: Content
    loose: Content
    groups: list[Group]
    layer_names: list[str]
    layer_role: IntArray
    findings: list[Finding]


def role_of_layer(name: str) -> int:
    """The standard's layer that the words of a layer name stand for; 0 for "no part of a piece",
    -1 where it says nothing."""
    words = [w for w in re.split(r"[^a-zäöüß]+", name.lower()) if w]
    joined = "".join(words)
    if joined in _ASIDE or any(w in _ASIDE for w in words):
        return 0
    if joined in _BY_WORD:
        return _BY_WORD[joined]
    found = [_BY_WORD[w] for w in words if w in _BY_WORD]
    return found[-1] if found else -1


def sort_plain(records: Records, whole: Content, wishes: JoinWishes) -> PlainDrawing:
    """The drawing by pieces, every line on the layer of the standard that it stands for."""
    findings: list[Finding] = []
    names = list(records.layer_names)
    words = np.array([role_of_layer(n) for n in names], dtype=np.int64)
    strokes = _joined(whole.strokes, wishes, findings)
    word = words[strokes.layer] if strokes.n else np.empty(0, np.int64)
    area = np.abs(areas_of(strokes))
    outline, seam_of, owner = _outlines(strokes, word, area)
    order = sorted(outline, key=lambda s: int(strokes.row[s]))
    number = {s: i for i, s in enumerate(order)}
    role = np.full(strokes.n, -1, dtype=np.int64)
    group = np.full(strokes.n, -1, dtype=np.int64)
    for s, g in number.items():
        role[s], group[s] = std.BOUNDARY, g
    for s, holder in seam_of.items():
        role[s], group[s] = std.SEW, number[holder]
    rings = [_ring(strokes, s) for s in order]
    near: list[list[FloatArray]] = [[ring] for ring in rings]
    for s, holder in seam_of.items():
        near[number[holder]].append(_ring(strokes, s))
    rest = np.flatnonzero(role < 0)
    house = _house(rings, strokes, order, whole)
    home = house.of_inside(middles_of(strokes, rest), strokes.row[rest], _NEAR)
    for s, inside in zip(rest.tolist(), home.tolist(), strict=True):
        holder = number.get(owner[s], -1) if s in owner else inside
        group[s] = holder
        said = int(word[s])
        if holder >= 0:
            role[s] = said if said > 0 else _by_shape(strokes, s, near[holder])
    layers = Layers(names)
    new_layer = strokes.layer.copy()
    for s in range(strokes.n):
        if role[s] > 0:
            new_layer[s] = layers.of(int(strokes.layer[s]), int(role[s]))
    placed = replace(strokes, group=group, layer=new_layer)
    points = whole.points
    point_word = words[points.layer] if points.n else np.empty(0, np.int64)
    point_group = house.of_inside(points.xy, points.row, _NEAR)
    point_layer = points.layer.copy()
    for i in range(points.n):
        wanted, g = int(point_word[i]), int(point_group[i])
        if wanted <= 0 and g >= 0:
            ring = rings[g]
            on = nearest_on_rings(
                points.xy[i : i + 1], np.zeros(1, np.int64), ring, np.array([0, len(ring)])
            )
            wanted = std.V_NOTCH if on.distance[0] <= 1.0 else std.DRILL
        if wanted > 0:
            point_layer[i] = layers.of(int(points.layer[i]), wanted)
    points = replace(points, group=point_group, layer=point_layer)
    places = np.array([[t.x, t.y] for t in whole.texts]).reshape(-1, 2)
    text_home = house.of_inside(places, np.array([t.row for t in whole.texts], np.int64), _NEAR)
    texts = [replace(t, group=g) for t, g in zip(whole.texts, text_home.tolist(), strict=True)]
    groups = _named(order, strokes, names, words, texts)
    s_order = np.lexsort((placed.row, placed.group))
    p_order = np.lexsort((points.row, points.group))
    placed, points = placed.picked(s_order), points.picked(p_order)
    home_s, home_p = placed.group >= 0, points.group >= 0
    return PlainDrawing(
        Content(placed.picked(np.flatnonzero(home_s)), points.picked(np.flatnonzero(home_p)),
                [t for t in texts if t.group >= 0]),
        Content(placed.picked(np.flatnonzero(~home_s)), points.picked(np.flatnonzero(~home_p)),
                [t for t in texts if t.group < 0]),
        groups, layers.names, layers.roles, findings,
    )  # fmt: skip


def _joined(strokes: Strokes, wishes: JoinWishes, findings: list[Finding]) -> Strokes:
    """Open strokes joined end to end, layer by layer; closed lines that are drawn twice said."""
    loose = np.flatnonzero(~strokes.closed)
    closed = strokes.picked(np.flatnonzero(strokes.closed))
    closed = _without_twins(closed, wishes, findings)
    if loose.size:
        part = strokes.picked(loose)
        made, _ = join_loose(part, part.layer, wishes, lambda _: None, findings)
        closed = merged(closed, made)
    return closed.picked(np.argsort(closed.row, kind="stable"))


def _without_twins(strokes: Strokes, wishes: JoinWishes, findings: list[Finding]) -> Strokes:
    """Closed lines that are drawn twice: the first stays."""
    found = twins(strokes.segments, strokes.offsets, strokes.closed, tolerance=wishes.tolerance)
    length = lengths_of(strokes)
    before = float(length.sum())
    after = before - float(length[[t.second for t in found]].sum())
    for twin in found[:50]:
        x, y = strokes.starts[twin.second]
        findings.append(
            Finding(
                code="line.twice",
                severity=Severity.WARNING,
                message=f"a closed line of {length[twin.second]:.1f} mm is drawn twice "
                f"({twin.how}); the second is {'kept' if wishes.keep_twins else 'left out'}. "
                f"Of {before:.1f} mm of closed lines {after:.1f} mm would do",
                x=float(x),
                y=float(y),
                measured=float(length[twin.second]),
                repaired=not wishes.keep_twins,
                hint='say duplicates = "remove" to leave it out' if wishes.keep_twins else None,
            )
        )
    if wishes.keep_twins or not found:
        return strokes
    gone = {t.second for t in found}
    return strokes.picked(np.array([i for i in range(strokes.n) if i not in gone], dtype=np.int64))


def _outlines(
    strokes: Strokes, word: IntArray, area: FloatArray
) -> tuple[list[int], dict[int, int], dict[int, int]]:
    """Outlines of pieces; seam lines (-> their outline); closed lines inside (-> their outline)."""
    import shapely  # noqa: PLC0415 - polygon logic

    closed = np.flatnonzero(strokes.closed & (word != 0) & (area > _LEAST))
    rings = {s: _ring(strokes, s) for s in closed.tolist()}
    shapes = {s: shapely.Polygon(r) for s, r in rings.items() if len(r) >= 3}
    order = sorted(shapes, key=lambda s: (-area[s], int(strokes.row[s])))
    outlines: list[int] = []
    seam_of: dict[int, int] = {}
    owner: dict[int, int] = {}
    boxes = {s: np.concatenate((r.min(axis=0), r.max(axis=0))) for s, r in rings.items()}
    outer = np.empty((0, 4))
    inside_words = (std.INTERNAL, std.CUTOUT, std.DRILL, std.V_NOTCH, std.GRAIN)
    for s in order:
        box = boxes[s]
        around = np.flatnonzero(
            (outer[:, :2] <= box[:2] + _SLACK).all(axis=1)
            & (outer[:, 2:] >= box[2:] - _SLACK).all(axis=1)
        )
        holders = [outlines[i] for i in around.tolist() if _covers(shapes[outlines[i]], shapes[s])]
        if not holders:
            if int(word[s]) not in inside_words:
                outlines.append(s)
                outer = np.vstack((outer, box))
            continue
        holder = min(holders, key=lambda o: area[o])
        said = int(word[s])
        if (
            said == std.BOUNDARY
            and int(word[holder]) == std.BOUNDARY
            and area[s] > _SMALL_SHARE * area[holder]
        ):
            outlines.append(s)  # another size, drawn in the same place
            outer = np.vstack((outer, box))
        elif (
            said in (std.SEW, -1)
            and holder not in seam_of.values()
            and area[s] > _SMALL_SHARE * area[holder]
            and (said == std.SEW or int(word[holder]) == std.BOUNDARY)
        ):
            seam_of[s] = holder
        elif (
            said == -1
            and area[s] > 0.75 * area[holder]
            and strokes.layer[s] != strokes.layer[holder]
        ):
            outlines.append(s)  # nested sizes, a layer each
            outer = np.vstack((outer, box))
        else:
            owner[s] = holder
    return outlines, seam_of, owner


def _covers(outer: Any, inner: Any) -> bool:
    """Whether one outline lies in another, a hair over its border allowed."""
    import shapely  # noqa: PLC0415 - polygon logic

    inside = (
        inner.representative_point() if inner.is_valid else shapely.Point(inner.exterior.coords[0])
    )
    if not shapely.covers(outer, inside):
        return False
    return bool(shapely.covers(outer, inner) or shapely.covers(outer.buffer(_SLACK), inner))


def _ring(strokes: Strokes, s: int) -> FloatArray:
    """Joints of a closed stroke, and places between them where it is curved."""
    part = strokes.segments[int(strokes.offsets[s]) : int(strokes.offsets[s + 1])]
    if not strokes.kinds[int(strokes.offsets[s]) : int(strokes.offsets[s + 1])].any():
        return part[:, 0]
    from seamwright.geometry import evaluate  # noqa: PLC0415

    t = np.arange(8) / 8.0
    return np.asarray(evaluate(part, np.tile(t, (len(part), 1))).reshape(-1, 2))


def _house(rings: list[FloatArray], strokes: Strokes, order: list[int], whole: Content) -> House:
    rows = strokes.row[np.array(order, dtype=np.int64)]
    items = np.concatenate((strokes.row, whole.points.row, [t.row for t in whole.texts]))
    return House(rings, list(range(len(rings))), rows, np.setdiff1d(items.astype(np.int64), rows))


def _by_shape(strokes: Strokes, s: int, lines: list[FloatArray]) -> int:
    """What an unnamed line inside a piece is, by its shape and how it meets the outlines."""
    a, b = int(strokes.offsets[s]), int(strokes.offsets[s + 1])
    part = strokes.segments[a:b]
    if strokes.closed[s]:
        found = round_line(part)
        return std.DRILL if found is not None and found[2] <= _HOLE_LARGEST else std.INTERNAL
    length = float(np.hypot(*(np.diff(part, axis=1)).reshape(-1, 2).T).sum())
    if length <= 2 * _NOTCH_LONGEST:
        ends = np.stack((part[0, 0], part[-1, 3]))
        for ring in lines:
            on = nearest_on_rings(ends, np.zeros(2, np.int64), ring, np.array([0, len(ring)]))
            touching = int((on.distance <= 0.5).sum())
            short = b - a == 1 and touching == 1 and length <= _NOTCH_LONGEST
            if short or (b - a <= 4 and touching == 2):
                return std.V_NOTCH
    return std.INTERNAL


def _named(
    outlines: list[int], strokes: Strokes, names: list[str], words: IntArray,
    texts: list[Lettered],
) -> list[Group]:  # fmt: skip
    """Groups with the names and sizes that layers and texts give them."""
    layers = [names[int(strokes.layer[s])] for s in outlines]
    silent = [bool(words[int(strokes.layer[s])] == -1) for s in outlines]
    by_layer = len(set(layers)) > 1 and all(silent) and all(looks_like_size(n) for n in layers)
    groups = []
    for number, layer in enumerate(layers):
        name = _text_name([t for t in texts if t.group == number])
        telling = silent[number] and layer not in ("", "0") and not layer.isdigit()
        if by_layer:
            groups.append(Group(name=name, size=layer))
        elif not name and telling and layers.count(layer) == 1:
            groups.append(Group(name=layer))
        else:
            groups.append(Group(name=name))
    if by_layer:
        _same_pieces(groups, outlines, strokes)
    return groups


def _text_name(texts: list[Lettered]) -> str:
    """The name of a piece without a text "Piece Name:": its largest text that is no key, number
    or size."""
    found = [
        t for t in texts
        if said_by(t.text, t.tag).kind == "" and not looks_like_size(t.text)
        and any(c.isalpha() for c in t.text) and len(t.text) <= 40 and "\n" not in t.text
    ]  # fmt: skip
    if any(said_by(t.text, t.tag).key == "name" for t in texts) or not found:
        return ""
    return max(found, key=lambda t: (t.height, -t.row)).text.strip()


def _same_pieces(groups: list[Group], outlines: list[int], strokes: Strokes) -> None:
    """Outlines of several sizes that lie over each other are one piece."""
    middle = np.array([_middle_of(strokes, s) for s in outlines])
    sizes = list(dict.fromkeys(g.size for g in groups))
    first = [i for i, g in enumerate(groups) if g.size == sizes[0]]
    names = {i: groups[i].name for i in first}
    members: dict[int, list[int]] = {i: [i] for i in first}
    for size in sizes[1:]:
        free = dict.fromkeys(first)
        for i in [k for k, g in enumerate(groups) if g.size == size]:
            if free:
                near = min(free, key=lambda k: float(np.hypot(*(middle[k] - middle[i]))))
                free.pop(near)
                members[near].append(i)
                names[near] = names[near] or groups[i].name
    for number, i in enumerate(first, start=1):
        for k in members[i]:
            groups[k].name = names[i] or f"piece-{number}"


def _middle_of(strokes: Strokes, s: int) -> FloatArray:
    ring = _ring(strokes, s)
    return np.asarray((ring.min(axis=0) + ring.max(axis=0)) / 2.0)
