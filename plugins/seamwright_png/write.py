"""A preview as a PNG file: drawn as a small PDF, rendered by pdfium, the same bytes every time."""

from __future__ import annotations

import struct
import zlib
from functools import cache
from io import BytesIO
from pathlib import Path
from typing import Any, Final

import numpy as np

from seamwright.geometry import LINE, Curve
from seamwright.model import Pattern
from seamwright.model.preview import PAPER, Preview, preview
from seamwright.plugins.api import (
    Context,
    Finding,
    Part,
    SeamwrightError,
    Severity,
    WriteResult,
    did_you_mean,
)

from .options import PngOut

_MOST: Final = 200_000_000  # pixels
_FONTS: Final = ("SeamwrightPicture", "Vera.ttf"), ("SeamwrightPictureBold", "VeraBd.ttf")


def write(pattern: Pattern, options: PngOut, context: Context) -> WriteResult:
    """The picture. Raises SeamwrightError: png.no-size, png.too-large."""
    for size in options.sizes:
        if size not in pattern.sizes:
            raise SeamwrightError.of(
                "png.no-size",
                f'there is no size "{size}" in the pattern',
                hint=did_you_mean(size, pattern.sizes),
            )
    picture = preview(
        pattern,
        width=options.width,
        dpi=options.dpi,
        sizes=options.sizes or None,
        labels=options.labels,
        layout=options.layout,
    )
    pixels = picture.width * picture.height
    if pixels > _MOST:
        raise SeamwrightError.of(
            "png.too-large",
            f"the picture would be {picture.width} by {picture.height} pixels, more than "
            f"{_MOST // 1_000_000} million",
            measured=float(pixels),
            limit=float(_MOST),
            hint="a smaller width, or a lower dpi",
        )
    page, lost = _page(picture)
    data = _png(_rendered(page, picture), options.dpi)
    findings = [
        Finding(
            code="png.picture-only",
            severity=Severity.NOTE,
            message=f"a picture of {picture.width} by {picture.height} pixels; it cannot be read "
            "again as a pattern",
        )
    ]
    if lost:
        findings.append(
            Finding(
                code="png.letters",
                severity=Severity.WARNING,
                message=f"the picture's typeface has no shape for {' '.join(lost[:12])}",
                hint="rename what holds them, or leave labels out: labels = false",
            )
        )
    return WriteResult(parts=(Part(data=data),), findings=tuple(findings))


def _page(picture: Preview) -> tuple[bytes, list[str]]:
    """A PDF of one page, one point a pixel; and the letters that its typeface lacks."""
    from reportlab.pdfgen.canvas import Canvas  # noqa: PLC0415 - heavy

    _register()
    out = BytesIO()
    canvas = Canvas(out, pagesize=(picture.width, picture.height), invariant=1, pageCompression=0)
    canvas.setFillColor(_colour(PAPER))
    canvas.rect(0, 0, picture.width, picture.height, stroke=0, fill=1)
    canvas.setLineJoin(1)
    canvas.setLineCap(0)
    for line in picture.lines:
        canvas.setStrokeColor(_colour(line.ink))
        canvas.setLineWidth(line.weight)
        canvas.setDash(list(line.dash))
        if line.fill:
            canvas.setFillColor(_colour(line.fill))
        canvas.drawPath(
            _path(canvas, line.curve, picture.height), stroke=1, fill=1 if line.fill else 0
        )
    lost: set[str] = set()
    for word in picture.words:
        font = _FONTS[1 if word.bold else 0][0]
        text = "".join(_letter(c, lost) for c in word.text)
        canvas.setFillColor(_colour(word.ink))
        canvas.setFont(font, word.size)
        canvas.drawCentredString(word.x, picture.height - word.y, text)
    canvas.showPage()
    canvas.save()
    return out.getvalue(), sorted(lost)


def _path(canvas: Any, curve: Curve, height: int) -> Any:
    path = canvas.beginPath()
    segments = curve.segments.copy()
    segments[..., 1] = height - segments[..., 1]
    path.moveTo(*segments[0, 0].tolist())
    for segment, kind in zip(segments.tolist(), curve.kinds, strict=True):
        if kind == LINE:
            path.lineTo(*segment[3])
        else:
            path.curveTo(*segment[1], *segment[2], *segment[3])
    if curve.closed:
        path.close()
    return path


@cache
def _register() -> dict[int, int]:
    """Makes the typeface known (it comes with reportlab); gives its letters."""
    import reportlab  # noqa: PLC0415 - heavy
    from reportlab.pdfbase import pdfmetrics  # noqa: PLC0415
    from reportlab.pdfbase.ttfonts import TTFont  # noqa: PLC0415

    folder = Path(reportlab.__file__).parent / "fonts"
    fonts = [TTFont(name, str(folder / file)) for name, file in _FONTS]
    for font in fonts:
        pdfmetrics.registerFont(font)
    shapes: dict[int, int] = fonts[0].face.charToGlyph
    return shapes


def _letter(letter: str, lost: set[str]) -> str:
    if not letter.isprintable():
        return " "
    if ord(letter) in _register():
        return letter
    lost.add(letter)
    return "?"


def _colour(code: str) -> Any:
    from reportlab.lib.colors import HexColor  # noqa: PLC0415 - heavy

    return HexColor(code)


def _rendered(page: bytes, picture: Preview) -> Any:
    """Rows of pixels, (H, W, 3)."""
    import pypdfium2  # noqa: PLC0415 - heavy

    document = pypdfium2.PdfDocument(page)
    try:
        bitmap = document[0].render(scale=1.0, rev_byteorder=True)
        pixels = np.array(bitmap.to_numpy()[..., :3])
    finally:
        document.close()
    return pixels[: picture.height, : picture.width]


def _png(pixels: Any, dpi: float | None) -> bytes:
    """The pixels as a PNG file (ISO/IEC 15948): no time, no name of a program."""
    height, width, _ = pixels.shape
    raw = np.zeros((height, 1 + 3 * width), dtype=np.uint8)
    raw[:, 1:] = pixels.reshape(height, -1)
    chunks = [(b"IHDR", struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0))]
    if dpi is not None:
        metre = round(dpi / 0.0254)
        chunks.append((b"pHYs", struct.pack(">IIB", metre, metre, 1)))
    chunks += [(b"IDAT", zlib.compress(raw.tobytes(), 9)), (b"IEND", b"")]
    return b"\x89PNG\r\n\x1a\n" + b"".join(
        struct.pack(">I", len(data)) + name + data + struct.pack(">I", zlib.crc32(name + data))
        for name, data in chunks
    )
