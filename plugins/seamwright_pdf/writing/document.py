"""A pattern as a PDF."""

from __future__ import annotations

from io import BytesIO

from reportlab.pdfgen.canvas import Canvas

from seamwright.geometry import LINE, Curve
from seamwright.model import Pattern
from seamwright.numbers import fixed
from seamwright.plugins.api import Context, Part, SeamwrightError, WriteResult

from ..layout_words import POINT
from ..options import PdfOut


def write(pattern: Pattern, options: PdfOut, context: Context) -> WriteResult:
    """The document in one part."""
    shapes = [shape for piece in pattern.pieces for shape in piece.shapes]
    if not shapes:
        raise SeamwrightError.of("pdf.nothing", "the pattern has no piece in any size")
    boxes = [(s.cut_line or s.seam_line).bbox for s in shapes]
    x0, y0 = min(b[0] for b in boxes), min(b[1] for b in boxes)
    x1, y1 = max(b[2] for b in boxes), max(b[3] for b in boxes)
    out = BytesIO()
    canvas = Canvas(out, pagesize=((x1 - x0 + 20) / POINT, (y1 - y0 + 20) / POINT), invariant=1)
    canvas.setTitle(options.title or pattern.name)
    for shape in shapes:
        for line in (shape.seam_line, shape.cut_line):
            if line is not None:
                canvas.addLiteral(path(line.translated(10 - x0, 10 - y0)) + " S")
    canvas.showPage()
    canvas.save()
    return WriteResult(parts=(Part(data=out.getvalue()),))


def path(curve: Curve) -> str:
    """Path operators of a curve whose mm are page mm."""
    points = (curve.segments / POINT).reshape(-1, 8)
    words = [f"{fixed(points[0][0])} {fixed(points[0][1])} m"]
    for kind, row in zip(curve.kinds, points, strict=True):
        numbers = [fixed(v) for v in row[2:]]
        words.append(" ".join(numbers[4:]) + " l" if kind == LINE else " ".join(numbers) + " c")
    return "\n".join(words) + (" h" if curve.closed else "")
