"""Writing a drawing: a pattern in, bytes out. Millimetres, 1 user unit = 1 mm, one layer a size."""

from __future__ import annotations

import gzip
import json
import re
import unicodedata
from xml.parsers import expat

import numpy as np

from seamwright.model import Pattern
from seamwright.plugins.api import (
    Context,
    Finding,
    Part,
    SeamwrightError,
    Severity,
    WriteResult,
)

from ..notes import listed
from ..options import SvgOut
from ..tree.namespaces import INKSCAPE, OWN, SVG
from ..tree.xml_out import Out
from . import legend
from .layout import Layout, layout_of
from .looks import BASE_WEIGHT, FINE, QUIET, WEIGHT, ink_of
from .pen import Pen
from .piece import Look, write_piece

_MARGIN = 15.0  # mm of paper around everything


def write(pattern: Pattern, options: SvgOut, context: Context) -> WriteResult:
    """The drawing of a pattern, compressed where the file asked for is a .svgz. The same pattern
    gives the same bytes.

    Raises SeamwrightError for numbers that no file can hold.
    """
    out = Out()
    try:
        findings = _document(out, pattern, options)
    except ValueError as error:
        raise SeamwrightError.of(
            "svg.attribute",
            f"the pattern cannot be written: {error}",
            hint="a step before this one gave a coordinate that is not a number",
        ) from None
    if out.replaced:
        findings.append(
            Finding(
                code="svg.unprintable",
                severity=Severity.WARNING,
                message=f"{out.replaced} characters that XML cannot hold were replaced",
                hint="rename the pieces, sizes or marks that hold them",
            )
        )
    data = out.data()
    if (context.file or "").lower().endswith(".svgz"):
        data = gzip.compress(data, mtime=0)
    return WriteResult(parts=(Part(data=data),), findings=tuple(findings))


def _document(out: Out, pattern: Pattern, options: SvgOut) -> list[Finding]:
    pen = Pen(options.digits)
    layout = layout_of(pattern, options)
    x0, y0, x1, y1 = (float(v) for v in layout.box)
    left, top = x0 - _MARGIN, y1 + _MARGIN
    right, bottom = x1 + _MARGIN, y0 - _MARGIN
    if options.legend:
        right = max(right, left + 2 * _MARGIN + legend.WIDTH)
        bottom -= legend.HEIGHT
    left, bottom = np.floor(left), np.floor(bottom)
    right, top = np.ceil(right), np.ceil(top)
    width, height = pen.n(right - left), pen.n(top - bottom)
    out.raw(['<?xml version="1.0" encoding="UTF-8"?>'])
    out.open(
        "svg",
        {
            "xmlns": SVG,
            "xmlns:inkscape": INKSCAPE,
            "xmlns:seamwright": OWN,
            "width": f"{width}mm",
            "height": f"{height}mm",
            "viewBox": f"{pen.n(left)} {pen.n(-top)} {width} {height}",
            "data-pattern": pattern.name,
            "data-sizes": _json(list(pattern.sizes)),
            "data-base-size": pattern.base_size,
            "data-pieces": _json([p.name for p in pattern.pieces]),
        },
    )
    out.leaf("title", {}, pattern.name)
    findings = _metadata(out, pattern, options, pen)
    ids = _Ids()
    used = (shape.size for piece in pattern.pieces for shape in piece.shapes)
    sizes = list(dict.fromkeys((*pattern.sizes, *used)))
    # The largest lies undermost, with the paper's colour; else the base size lies on top.
    last = len(sizes) - 1
    for number in sorted(
        range(len(sizes)), key=lambda i: (sizes[i] == pattern.base_size and i < last, -i)
    ):
        _size(out, pattern, sizes, number, pen, layout, ids)
    findings += _foreign(out, pattern)
    empty = [piece.name for piece in pattern.pieces if not piece.shapes]
    if empty:
        findings.append(
            Finding(
                code="svg.empty-piece",
                severity=Severity.WARNING,
                message=f"pieces without a shape in any size are not drawn: {listed(empty)}",
            )
        )
    if options.legend:
        legend.write_legend(out, pattern, pen, left + _MARGIN, y0 - _MARGIN)
    out.close("svg")
    return findings


def _size(
    out: Out,
    pattern: Pattern,
    sizes: list[str],
    number: int,
    pen: Pen,
    layout: Layout,
    ids: _Ids,
) -> None:
    size = sizes[number]
    base = size == pattern.base_size
    ink = ink_of(number, len(sizes))
    out.open(
        "g",
        {
            "inkscape:groupmode": "layer",
            "inkscape:label": f"Size {size}" if len(sizes) > 1 else size,
            "id": ids.new("size", size),
            "data-size": size,
            "stroke-linecap": "round",
            "stroke-linejoin": "round",
        },
    )
    for piece in pattern.pieces:
        for shape in piece.shapes:
            if shape.size == size:
                write_piece(
                    out, piece, shape, pen.moved(layout.moves[piece.name]),
                    ident=ids.new(piece.name, size),
                    look=Look(
                        ink=ink, weight=BASE_WEIGHT if base else WEIGHT, base=base,
                        paper=shape is piece.shapes[-1],
                    ),
                )  # fmt: skip
    out.close("g")


def _metadata(out: Out, pattern: Pattern, options: SvgOut, pen: Pen) -> list[Finding]:
    rules = pattern.grade_rules
    if not pattern.notes and rules is None and not (pattern.seams and options.plan):
        return []
    out.open("metadata", {})
    for name, text in pattern.notes:
        out.leaf("seamwright:note", {"name": name}, text)
    if rules is not None:
        out.open(
            "seamwright:grade-rules",
            {
                "name": rules.name, "author": rules.author, "date": rules.date,
                "base-size": rules.base_size,
            },
        )  # fmt: skip
        for size in rules.sizes:
            out.leaf("seamwright:size", {"name": size})
        for rule, offsets in rules.offsets.items():
            pairs = " ".join(f"{pen.n(float(x))},{pen.n(float(y))}" for x, y in offsets)
            out.leaf("seamwright:rule", {"number": str(rule)}, pairs)
        out.close("seamwright:grade-rules")
    if pattern.seams and options.plan:
        from seamwright.plan import plan_of, plan_toml  # noqa: PLC0415 - only with seams

        out.leaf("seamwright:plan", {}, "\n" + plan_toml(plan_of(pattern)))
    out.close("metadata")
    return []


def _foreign(out: Out, pattern: Pattern) -> list[Finding]:
    """What lay outside the pieces of an SVG goes back where it was."""
    fragments = [f.data for f in pattern.foreign if f.format == "svg"]
    good = [f for f in fragments if _well_formed(f)]
    if good:
        out.open(
            "g",
            {
                "data-role": "outside", "fill": "none", "stroke": QUIET, "stroke-width": FINE,
                "font-family": "sans-serif",
            },
        )  # fmt: skip
        out.raw(f.replace("<text ", f'<text fill="{QUIET}" stroke="none" ', 1) for f in good)
        out.close("g")
    if len(good) == len(fragments):
        return []
    return [
        Finding(
            code="svg.not-read",
            severity=Severity.WARNING,
            message=f"{len(fragments) - len(good)} kept fragments are no plain lines or texts; "
            "not written",
        )
    ]


def _well_formed(fragment: str) -> bool:
    """Whether a kept fragment is one path or text and nothing else."""
    tags: list[str] = []
    parser = expat.ParserCreate()
    parser.StartElementHandler = lambda tag, _: tags.append(tag)
    try:
        parser.Parse(f'<r xmlns:inkscape="{INKSCAPE}">{fragment}</r>', True)
    except expat.ExpatError:
        return False
    return len(tags) == 2 and tags[1] in ("path", "text")


class _Ids:
    """Ids made of names: letters, digits and dashes, each once."""

    def __init__(self) -> None:
        self._taken: set[str] = {"legend", "test-square", "scale-bar"}

    def new(self, *parts: str) -> str:
        plain = [unicodedata.normalize("NFKD", p).encode("ascii", "ignore").decode() for p in parts]
        stem = "-".join(
            filter(None, (re.sub(r"[^a-z0-9]+", "-", p.lower()).strip("-") for p in plain))
        )
        stem = stem if stem[:1].isalpha() else f"part-{stem}".rstrip("-")
        name, number = stem, 1
        while name in self._taken or any(
            f"{name}{end}" in self._taken for end in ("-seam-line", "-cut-line")
        ):
            number += 1
            name = f"{stem}-{number}"
        self._taken |= {name, f"{name}-seam-line", f"{name}-cut-line"}
        return name


def _json(value: object) -> str:
    return json.dumps(value, ensure_ascii=False, separators=(",", ":"))
