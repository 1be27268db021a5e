"""Reading a DXF file: from bytes to a Pattern, every entity accounted for."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import PurePosixPath
from typing import Any

import numpy as np
from numpy.typing import NDArray

from seamwright.plugins.api import (
    Context,
    Finding,
    ReadResult,
    SeamwrightError,
    Severity,
    Source,
)

from .drawing.content import Content, read_content, set_layouts_aside
from .drawing.inserts import Tree, check_bombs, expand, read_inserts, say_external, say_uneven
from .drawing.lettered import texts_of
from .drawing.records import Records, read_records
from .headers import Header, read_header
from .leftovers import (
    balance,
    count_entities,
    header_facts,
    hidden_layers,
    keep_rest,
    layer_facts,
)
from .meaning.joining import JoinWishes
from .meaning.layers import BOUNDARY, numbers_of
from .meaning.pieces import Found, find_pieces
from .meaning.standard import (
    Drawing,
    Group,
    block_comments,
    point_comments,
    read_standard,
)
from .meaning.tagged import read_tagged, sort_tagged
from .meaning.units import INSUNITS, Unit, decide_unit, unit_of_word
from .meaning.wording import sort_words
from .options import DxfIn
from .raw.binary import SENTINEL, read_binary
from .raw.frame import Frame, read_frame
from .raw.lettering import Lettering, choose, known_encoding
from .raw.tags import Tags, read_tags

IntArray = NDArray[np.int64]
_UNITS = {"mm": 1.0, "cm": 10.0, "in": 25.4}


def read(source: Source, options: DxfIn, ctx: Context) -> ReadResult:
    """The pattern of a DXF file.

    Raises SeamwrightError where the file is no DXF, is cut off, mixes decimal signs, or asks for
    more copies of blocks than the limits allow.
    """
    file = ctx.file or source.name
    _few_enough(source.data.count(b"\n") // 200, ctx, file)  # before anything is built
    frame, header, lettering = _opened(source.data, options, file)
    records = read_records(frame, lettering, decimal=options.decimal, file=file)
    _few_enough(records.n, ctx, file)
    tree = read_inserts(records)
    check_bombs(records, tree, most=ctx.limits.instances, deepest=ctx.limits.depth, file=file)
    say_uneven(records, tree)
    say_external(records, tree)
    drawing, unit, dialect = _drawn(records, tree, header, options, ctx, source)
    foreign = (*drawing.foreign, *keep_rest(records))
    if lettering.broken:
        records.findings.append(_broken(lettering))
    counts = count_entities(records)
    findings = [
        *frame.findings,
        *records.findings,
        *_lettering_findings(lettering),
        *([_comma()] if records.decimal_comma else []),
        *hidden_layers(records),
        *unit.findings,
        *drawing.findings,
        balance(counts, records.decimal_comma),
    ]
    pattern = drawing.pattern
    if foreign:
        pattern = pattern.but(foreign=(*pattern.foreign, *foreign))
    facts: dict[str, Any] = {
        "format": "DXF",
        "version": header.text("$ACADVER") or "not stated",
        "binary": frame.tags.binary,
        "dialect": dialect,
        "unit": {"mm": unit.mm, "from": unit.source},
        "encoding": {"used": lettering.encoding, "stated": lettering.said},
        "sections": [s.name for s in frame.sections],
        "blocks": [b.name for b in records.blocks],
        "layers": layer_facts(records, records.layers),
        "entities": counts,
        "header": header_facts(header.variables),
        "comments": list(frame.comments[:1000]),
        **drawing.facts,
    }
    return ReadResult(
        pattern=pattern,
        findings=tuple(f if f.file is not None else f.but(file=file) for f in findings),
        facts=facts,
    )


def _few_enough(records: int, ctx: Context, file: str) -> None:
    most = ctx.limits.elements
    # A vertex of an old polyline is a record of its own, but no element.
    most *= 8
    if records > most:
        raise SeamwrightError.of(
            "limit.elements",
            f"the drawing has {records:,} records or more; the limit is {most:,}",
            file=file,
            measured=float(records),
            limit=float(most),
            hint=f"if you trust the file, raise the limit: --limit elements={records // 4}",
        )


def _opened(data: bytes, options: DxfIn, file: str) -> tuple[Frame, Header, Lettering]:
    tags = _tags(data, file)
    frame = read_frame(tags, file=file, to_the_cut=options.damaged == "read to the cut")
    header = read_header(frame)
    if options.encoding and not known_encoding(options.encoding):
        raise SeamwrightError.of(
            "dxf.encoding",
            f'there is no encoding called "{options.encoding}"',
            file=file,
            hint="write cp1252, utf-8, cp932, gbk, ...",
        )
    raw = data if not tags.binary else b"\n".join(v for v in tags.values if not v.isascii())
    lettering = choose(raw, header.text("$DWGCODEPAGE"), header.text("$ACADVER"), options.encoding)
    return frame, header, lettering


def _tags(data: bytes, file: str) -> Tags:
    if data.startswith(SENTINEL):
        return read_binary(data, file=file)
    for mark, codec in ((b"\xff\xfe", "utf-16"), (b"\xfe\xff", "utf-16"), (b"\xef\xbb\xbf", "")):
        if data.startswith(mark):
            data = data.decode(codec, "replace").encode() if codec else data[3:]
    if data[:2] == b"AC" and data[2:6].isdigit():
        raise SeamwrightError.of(
            "dxf.not-dxf",
            "this is a DWG file, not DXF",
            file=file,
            hint="save it as DXF (R12 or 2010) in the program that it comes from",
        )
    if not data.strip():
        raise SeamwrightError.of(
            "dxf.not-dxf",
            "the file is empty, so it is no DXF",
            file=file,
            line=1,
            hint="ask for the file again",
        )
    return read_tags(data, file=file)


def _drawn(
    records: Records, tree: Tree, header: Header, options: DxfIn, ctx: Context, source: Source
) -> tuple[Drawing, Unit, str]:
    """The pattern, the unit, and which way the drawing was read."""
    asked = _UNITS.get(options.unit)
    grown = _grown(tree)
    set_layouts_aside(records)
    texts = texts_of(records, ctx.limits.text)
    said = sort_words(texts, records.layer_names).style.get("Units", "")
    said = said or _comment_unit(records)
    header_unit = INSUNITS.get(header.whole("$INSUNITS") or 0, ("", 0.0))[1]
    # Arcs are held to their tolerance in mm; without a stated unit under the largest likely one.
    likely = asked or unit_of_word(said) or header_unit or 25.4
    content = read_content(records, texts, mm=likely, grown=grown, touch=0.02)
    layer_role = numbers_of(records.layer_names)
    on_boundary = layer_role[content.strokes.layer] == BOUNDARY
    if options.layers == "plain":
        standard = False
    else:
        standard = options.layers == "standard" or bool(on_boundary.any())
    with_boundary = np.unique(content.strokes.group[on_boundary]).tolist() if standard else []
    found = find_pieces(records, tree, with_boundary) if standard else None
    longest = _longest(content, found, on_boundary if standard else None)
    unit = decide_unit(
        asked=asked,
        said=said,
        insunits=header.whole("$INSUNITS"),
        measurement=header.whole("$MEASUREMENT"),
        longest=longest,
        standard=standard,
    )
    stem = PurePosixPath(source.name.replace("\\", "/")).stem
    tagged = read_tagged(records)
    if tagged is not None and options.layers == "auto":
        whole = _whole_drawing(content, records, tree, unit.mm)
        sorted_out = sort_tagged(whole, tagged, records, unit.mm)
        drawing = read_standard(
            records, sorted_out.inside, sorted_out.loose, sorted_out.groups,
            sorted_out.layer_names, sorted_out.layer_role,
            options=options, ctx=ctx, source=source, stem=stem,
            seam_layers=sorted_out.seam_layers, notch_facts=sorted_out.notch_facts,
            drill_categories=sorted_out.drill_categories, adopting=False,
        )  # fmt: skip
        return drawing, unit, "plain drawing with our own marks"
    if found is not None:
        inside, loose = _at_their_places(content, records, tree, found, unit.mm)
        _attributes_home(loose, tree, found)
        groups = [
            Group(block=p.name, row=records.blocks[p.block].row, plain=p.plain, mirrored=p.mirrored)
            for p in found.pieces
        ]
        drawing = read_standard(
            records, inside, loose, groups, records.layer_names, layer_role, options=options,
            ctx=ctx, source=source, stem=stem, seam_layers=block_comments(records, groups),
            notch_facts=point_comments(records),
        )  # fmt: skip
        return drawing, unit, "sewn-products standard"
    from .meaning.plain import sort_plain  # noqa: PLC0415 - a drawing of other layers

    whole = _whole_drawing(content, records, tree, unit.mm)
    joins = JoinWishes(float(options.join), options.duplicates == "report")
    plain = sort_plain(records, whole, joins)
    drawing = read_standard(
        records, plain.inside, plain.loose, plain.groups, plain.layer_names, plain.layer_role,
        options=options, ctx=ctx, source=source, stem=stem, seam_layers={}, notch_facts={},
        adopting=False,
    )  # fmt: skip
    drawing.findings[:0] = plain.findings
    return drawing, unit, "plain drawing"


def _comment_unit(records: Records) -> str:
    """The unit in a comment of our own plain drawings."""
    units = {"unit: mm": "mm", "unit: inch": "inch"}
    return next((units[c] for c in records.frame.comments if c in units), "")


def _grown(tree: Tree) -> float:
    """The largest scale of any INSERT, to the power of the nesting at most two deep."""
    scales = [float(np.abs(i.matrix[:, :2]).sum(axis=0).max()) for i in tree.inserts]
    return max(scales, default=1.0)


def _longest(content: Content, found: Found | None, mask: NDArray[np.bool_] | None) -> float:
    """Longest side of the largest piece, in drawing units as placed."""
    strokes = content.strokes
    if not strokes.n:
        return 0.0
    flat = strokes.segments.reshape(-1, 8)
    low = np.minimum(flat[:, 0::2].min(axis=1), np.inf)
    box = np.stack(
        (low, flat[:, 1::2].min(axis=1), flat[:, 0::2].max(axis=1), flat[:, 1::2].max(axis=1)), 1
    )
    first = strokes.offsets[:-1]
    boxes = np.concatenate(
        (np.minimum.reduceat(box[:, :2], first), np.maximum.reduceat(box[:, 2:], first)), axis=1
    )
    key = strokes.group.copy()
    if mask is not None:
        boxes, key = boxes[mask], key[mask]
        # In model space every closed line is a piece by itself; loose lines are one heap.
        closed = strokes.closed[mask]
        key = np.where((key < 0) & closed, -2 - np.arange(key.size), key)
        if (key < -1).any():
            boxes, key = boxes[key != -1], key[key != -1]
    if not key.size:
        return 0.0
    groups, inverse = np.unique(key, return_inverse=True)
    low2, high2 = np.full((groups.size, 2), np.inf), np.full((groups.size, 2), -np.inf)
    np.minimum.at(low2, inverse, boxes[:, :2])
    np.maximum.at(high2, inverse, boxes[:, 2:])
    sides = (high2 - low2).max(axis=1)
    if found is not None:
        scale = {p.block: float(np.hypot(p.matrix[0, 0], p.matrix[1, 0])) for p in found.pieces}
        sides = sides * np.array([scale.get(int(g), 1.0) for g in groups])
    return float(sides.max())


def _at_their_places(
    content: Content, records: Records, tree: Tree, found: Found, mm: float
) -> tuple[Content, Content]:
    """Content of the pieces' blocks (groups in order) and the loose content (group -1), in mm."""
    count = len(found.pieces)
    if count:
        block = np.array([p.block for p in found.pieces], dtype=np.int64)
        matrix = np.stack([p.matrix for p in found.pieces])
        placements = expand(
            tree, block, matrix * mm, np.full(count, -1, np.int64), np.arange(count)
        )
        inside = content.placed(placements, len(records.blocks))
    else:
        inside = content.placed(
            replace(found.loose, block=found.loose.block[:0], matrix=found.loose.matrix[:0],
                    layer=found.loose.layer[:0], group=found.loose.group[:0]),
            len(records.blocks),
        )  # fmt: skip
    loose = content.placed(
        replace(found.loose, matrix=found.loose.matrix * mm), len(records.blocks)
    )
    return inside, loose


def _attributes_home(loose: Content, tree: Tree, found: Found) -> None:
    """Attributes of an INSERT belong to the piece that it places, wherever they stand."""
    if not any(t.tag for t in loose.texts):
        return
    group_of = {p.block: i for i, p in enumerate(found.pieces)}
    inserts = sorted((i.row, i.block) for i in tree.inside.get(-1, []))
    rows = np.array([row for row, _ in inserts], dtype=np.int64)
    for i, text in enumerate(loose.texts):
        k = int(np.searchsorted(rows, text.row)) - 1
        if text.tag and k >= 0 and inserts[k][1] in group_of:
            loose.texts[i] = replace(text, group=group_of[inserts[k][1]])


def _whole_drawing(content: Content, records: Records, tree: Tree, mm: float) -> Content:
    """Everything that the drawing shows, blocks copied to their places, in mm."""
    identity = np.array([[[mm, 0.0, 0.0], [0.0, mm, 0.0]]])
    placements = expand(
        tree, np.array([-1], np.int64), identity, np.array([-1], np.int64), np.array([0], np.int64)
    )
    return content.placed(placements, len(records.blocks))


def _comma() -> Finding:
    return Finding(
        code="dxf.decimal-comma",
        severity=Severity.WARNING,
        message="all numbers of the file have a decimal comma, which the format does not know; "
        "they are read as meant",
        repaired=True,
        hint='say decimal = "comma" to accept it',
    )


def _broken(lettering: Lettering) -> Finding:
    _, text = lettering.broken[0]
    return Finding(
        code="dxf.byte",
        severity=Severity.WARNING,
        message=f"{len(lettering.broken)} texts hold bytes that are no {lettering.encoding}: the "
        f'first reads "{text[:40]}"',
        hint="say encoding = ...",
    )


def _lettering_findings(lettering: Lettering) -> Sequence[Finding]:
    if lettering.reason == "utf-8" and lettering.said.upper() not in ("", "UTF-8"):
        return [
            Finding(
                code="dxf.encoding",
                severity=Severity.NOTE,
                message=f"the texts are UTF-8, though the header says {lettering.said}",
            )
        ]
    if lettering.reason == "unknown":
        said = f'"{lettering.said}" is unknown' if lettering.said else "the file names no code page"
        return [
            Finding(
                code="dxf.encoding",
                severity=Severity.WARNING,
                message=f"{said}; texts beyond ASCII are read as cp1252",
                hint="say encoding = ... if names look wrong",
            )
        ]
    return []
