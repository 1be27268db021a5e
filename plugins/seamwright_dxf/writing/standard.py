"""The sewn-products exchange file: a block for each piece and size.

R12 entities in blocks, an empty HEADER, no TABLES, no layout blocks, 7-bit ASCII: receivers are
known that take every block for a piece and stumble over anything else. The unit lives in the text
`Units:`, since R12 has no variable for it.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from seamwright.model import NotchType, Pattern
from seamwright.plugins.api import Finding, Severity

from ..meaning import layers as std
from ..meaning.wording import WORDS
from ..options import DxfOut
from .flat import Flat, flatten_all
from .letters import lettered, unique_names
from .pieces import Drawn, Mark, draw, fact_text, points_of_layers
from .tagging import line, number, numbers, points, polyline, tag, tags, text
from .words import Line, StyleNow, came_from_dxf, odd_notes, piece_lines, style_lines

FloatArray = NDArray[np.float64]

_SEAM_COMMENTS = {1: "seam line: layer 1", 14: "seam line: layer 14", 0: "cut line: layer 1"}
_LINES_ONLY = frozenset((5, 6, 7, 9, 10))


def write_standard(
    pattern: Pattern, options: DxfOut, *, rule_table: str, findings: list[Finding]
) -> bytes:
    """The bytes of the exchange file."""
    factor = 1.0 if options.unit == "mm" else 1.0 / 25.4
    drawn = [draw(p, s, findings) for p in pattern.pieces for s in p.shapes]
    flat = flatten_all([s.curve for d in drawn for s in d.strokes], float(options.tolerance))
    names = block_names(pattern, findings)
    from_dxf = came_from_dxf(pattern)
    style = StyleNow(pattern, unit=options.unit, rule_table=rule_table)
    say_letters(pattern, options, findings)
    out = [
        tag(999, "seamwright"),
        tag(999, f"unit: {'mm' if options.unit == 'mm' else 'inch'}"),
        tag(999, f"rule table deltas: {options.deltas}") if rule_table else "",
        _section("HEADER", ""),
    ]
    blocks: list[str] = []
    inserts: list[str] = []
    at = 0
    for item in drawn:
        mine = flat[at : at + len(item.strokes)]
        at += len(item.strokes)
        name = names[(item.piece.name, item.shape.size)]
        lines = piece_lines(item.piece, item.shape, style, from_dxf=from_dxf)
        blocks.append(_block(name, item, mine, lines, options, factor, findings))
        inserts.append(tags([(0, "INSERT"), (8, "1"), (2, name), (10, "0"), (20, "0"), (30, "0")]))
    words = style_lines(pattern, style, rule_table=rule_table, from_dxf=from_dxf)
    out.append(_section("BLOCKS", "".join(blocks)))
    entities = "".join(inserts) + "".join(_text(w, options, factor) for w in words)
    out.append(_section("ENTITIES", entities))
    out.append(tag(0, "EOF"))
    for key in odd_notes(pattern.notes):
        findings.append(
            Finding(
                code="dxf.note-changed",
                severity=Severity.WARNING,
                message=f'the style data "{key}" does not come back as it stands here',
                hint="a key without colons, and a value without blanks at its ends, would",
            )
        )
    return "".join(out).encode("ascii")


def _section(name: str, body: str) -> str:
    return tags([(0, "SECTION"), (2, name)]) + body + tag(0, "ENDSEC")


def _block(
    name: str, item: Drawn, flat: Sequence[Flat], lines: Sequence[Line], options: DxfOut,
    factor: float, findings: list[Finding],
) -> str:  # fmt: skip
    decimals = options.decimals
    out = [
        tags(
            [(0, "BLOCK"), (999, _SEAM_COMMENTS[item.seam]), (8, "1"), (2, name), (70, "0"),
             (10, "0"), (20, "0"), (30, "0"), (3, name)]
        )
    ]  # fmt: skip
    for stroke, shape in zip(item.strokes, flat, strict=True):
        xy = shape.points * factor
        layer = stroke.layer
        if len(xy) == 2 and not shape.closed:
            out.append(line(layer, xy[0], xy[1], decimals))
            continue
        if std.number_of(layer) in _LINES_ONLY:
            findings.append(
                Finding(
                    code="dxf.polyline-layer",
                    severity=Severity.NOTE,
                    message=f"a bent line stands on layer {layer}, where the standard wants "
                    "straight ones",
                    piece=item.piece.name,
                    size=item.shape.size,
                )
            )
        out.append(polyline(layer, xy, shape.closed, decimals))
    if item.grain is not None:
        a, b = np.array(item.grain) * factor
        out.append(line(str(std.GRAIN), a, b, decimals))
    marks = points_of_layers(
        item.strokes, [f.joints for f in flat], [f.points for f in flat], [f.bent for f in flat]
    )
    for layer_number, xy in marks.items():
        out.append(points(str(layer_number), xy * factor, decimals))
    for layer, xy in item.loose_points:
        out.append(points(layer, xy * factor, decimals))
    out += [_notch(m, decimals, factor) for m in item.notches]
    for hole in item.shape.drill_holes:
        x, y, size = numbers(np.array([*hole.at, hole.diameter or 0.0]) * factor, decimals)
        pairs = [(0, "POINT"), (8, str(std.DRILL)), (10, x), (20, y), (30, "0")]
        if hole.category is not None:
            pairs.insert(1, (999, f"drill category: {hole.category}"))
        if hole.diameter:
            pairs.append((39, size))
        out.append(tags(pairs))
    for rule, gx, gy, layer in item.grades:
        out.append(
            text(layer, (gx * factor, gy * factor), 5.0 * factor, 0.0, f"# {rule}", decimals)
        )
    out += [_text(w, options, factor) for w in lines]
    out.append(tags([(0, "ENDBLK"), (8, "1")]))
    return "".join(out)


def _notch(mark: Mark, decimals: int, factor: float) -> str:
    notch = mark.notch
    x, y = numbers(np.array([mark.x, mark.y]) * factor, decimals)
    pairs = [(0, "POINT")]
    by_width = NotchType.V if notch.width else NotchType.SLIT
    if notch.width and not notch.depth:
        # A lone number reads as the depth.
        pairs.append((999, f"notch {fact_text(notch)}"))
    elif notch.type in (NotchType.SLIT, NotchType.V) and notch.type is not by_width:
        # Layer 4 holds both, and a reader tells them by their width: here that would be wrong.
        pairs.append((999, notch.type.value))
    pairs += [(8, mark.layer), (10, x), (20, y)]
    pairs.append((30, number((notch.width or 0.0) * factor, decimals)))
    if notch.depth or notch.width:
        pairs.append((39, number((notch.depth or 0.0) * factor, decimals)))
    if mark.direction is not None:
        # 0 would read as "no direction"; a full turn is the same direction.
        direction = number(mark.direction, decimals)
        pairs.append((50, "360" if direction == "0" else direction))
    return tags(pairs)


def _text(words: Line, options: DxfOut, factor: float) -> str:
    at = (words.x * factor, words.y * factor)
    value = lettered(words.text, options.letters)
    comment = words.comment
    if options.letters == "transliterate":
        whole = lettered(words.text, "escape")
        if whole != value:
            # Plain letters for everybody else; the words themselves for us.
            comment = f"{comment} {WORDS}{whole}".strip()
    layer = words.layer if std.number_of(words.layer) >= 0 else _layer_name(words.layer)
    return text(
        layer, at, words.height * factor, words.rotation, value, options.decimals,
        comment=comment,
    )  # fmt: skip


def _layer_name(layer: str) -> str:
    """Texts keep to the standard's layers: one from elsewhere is an annotation."""
    return layer if layer.isascii() and layer.strip().isdigit() else str(std.ANNOTATION)


def block_names(pattern: Pattern, findings: list[Finding]) -> dict[tuple[str, str], str]:
    """(piece, size) -> block name: legal by R12, unique, with a finding for every change."""
    pieces = unique_names([p.name for p in pattern.pieces], 20)
    sizes = unique_names([s.size for p in pattern.pieces for s in p.shapes], 10)
    for what, changed in (("piece", pieces), ("size", sizes)):
        for old, new in changed.items():
            if old != new:
                findings.append(
                    Finding(
                        code="name.changed",
                        severity=Severity.NOTE,
                        message=f'the {what} "{old}" is "{new}" in block names; its text keeps '
                        "the name",
                        piece=old if what == "piece" else None,
                        size=old if what == "size" else None,
                    )
                )
    return {
        (p.name, s.size): f"{pieces[p.name]}_{sizes[s.size]}"
        for p in pattern.pieces
        for s in p.shapes
    }


def say_letters(pattern: Pattern, options: DxfOut, findings: list[Finding]) -> None:
    """Findings for names and texts that are not plain ASCII: old and new."""
    names = [
        ("pattern name", pattern.name, None),
        *(("piece name", p.name, p.name) for p in pattern.pieces),
        *(("material", p.material, p.name) for p in pattern.pieces),
        *(("category", p.category, p.name) for p in pattern.pieces),
        *(("size", s, None) for s in pattern.sizes),
    ]
    for what, old, piece in names:
        new = lettered(old, options.letters)
        if new != old:
            _say_changed(what, old, new, piece, options, findings)
    texts = [t.text for p in pattern.pieces for s in p.shapes for t in s.texts]
    texts += [v for pair in pattern.notes for v in pair]
    changed = [(t, n) for t in dict.fromkeys(texts) if (n := lettered(t, options.letters)) != t]
    for old, new in changed[:20]:
        _say_changed("text", old, new, None, options, findings)
    if len(changed) > 20:
        findings.append(
            Finding(
                code="text.letters",
                severity=Severity.NOTE,
                message=f"{len(changed) - 20} more texts hold letters beyond ASCII",
            )
        )


def _say_changed(
    what: str, old: str, new: str, piece: str | None, options: DxfOut, findings: list[Finding]
) -> None:
    lossy = options.letters == "transliterate"
    findings.append(
        Finding(
            code="text.letters",
            severity=Severity.WARNING if lossy and "?" in new and "?" not in old else Severity.NOTE,
            message=f'the {what} "{old}" is written as "{new}"'
            + (", which reads back as it was" if not lossy else ""),
            piece=piece,
        )
    )
