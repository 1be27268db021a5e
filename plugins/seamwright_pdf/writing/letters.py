"""Letters: one embedded font with wide coverage; what it lacks is shown as [U+...] and told."""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable
from functools import lru_cache
from importlib.resources import files
from io import BytesIO
from math import cos, radians, sin
from typing import Any, Final

from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont
from reportlab.pdfgen.canvas import Canvas

from ..layout_words import POINT

FONT: Final = "SeamwrightSans"
ASCENT: Final = 0.76  # of the font's size: tall letters of DejaVu Sans
DESCENT: Final = 0.24
CAP: Final = 0.73
_LONGEST: Final = 200  # letters of one line; no paper is wide enough for more


def sound(text: str) -> str:
    """Text that can be encoded: halves of letters replaced, as broken files bring them."""
    return text.encode("utf-16", "surrogatepass").decode("utf-16", "replace")


@lru_cache(maxsize=1)
def font() -> Any:
    """The bundled font, registered once."""
    data = (files("seamwright_pdf") / "data" / "DejaVuSans.ttf").read_bytes()
    made = TTFont(FONT, BytesIO(data))
    pdfmetrics.registerFont(made)
    return made


class Letters:
    """Writes text operators for one document, and remembers what could not be written."""

    def __init__(self, canvas: Canvas) -> None:
        self._canvas = canvas
        self._widths: dict[int, float] = font().face.charWidths
        self.missing: dict[str, None] = {}

    def printable(self, text: str) -> str:
        """The text as it can be printed: line ends and controls as spaces, letters that the font
        lacks as [U+7DDA]."""
        out = []
        for letter in text:
            if unicodedata.category(letter) in ("Cc", "Zl", "Zp"):
                out.append(" ")
            elif unicodedata.category(letter) == "Cf":
                continue
            elif ord(letter) in self._widths:
                out.append(letter)
            else:
                self.missing[letter] = None
                out.append(f"[U+{ord(letter):04X}]")
        return "".join(out)

    def width(self, text: str, height: float) -> float:
        """Width in mm of printable text whose font size is `height` mm."""
        return float(pdfmetrics.stringWidth(text, FONT, 1000.0)) / 1000.0 * height

    def show(
        self, text: str, x: float, y: float, height: float, *, turn: float = 0.0, anchor: float = 0
    ) -> str:
        """Operators that draw printable text with its baseline at (x, y), sheet mm; anchor 0 from
        there on, 0.5 about it, 1 up to it."""
        c, s = cos(radians(turn)), sin(radians(turn))
        if anchor:
            back = anchor * self.width(text, height)
            x, y = x - back * c, y - back * s
        out = self._canvas.beginText()
        out.setFont(FONT, height / POINT)
        out.setTextTransform(c, s, -s, c, x / POINT, y / POINT)
        out.textOut(text)
        return str(out.getCode())


def fitted(letters: Letters, text: str, height: float, room: float) -> str:
    """The text cut off with an ellipsis where it is wider than `room` mm."""
    text = text[:_LONGEST] + ("…" if len(text) > _LONGEST else "")
    if letters.width(text, height) <= room:
        return text
    while text and letters.width(text + "…", height) > room:
        text = text[:-1]
    return text + "…"


def wrapped(letters: Letters, text: str, height: float, room: float) -> list[str]:
    """The text in lines no wider than `room` mm, broken at spaces."""
    lines: list[str] = []
    for word in text.split():
        if lines and letters.width(f"{lines[-1]} {word}", height) <= room:
            lines[-1] += f" {word}"
        else:
            lines.append(word)
    return lines


def names_of(letters: Iterable[str]) -> str:
    """Letters by number, for a message."""
    shown = [f"U+{ord(letter):04X}" for letter in letters]
    return ", ".join(shown[:8]) + (f" and {len(shown) - 8} more" if len(shown) > 8 else "")
