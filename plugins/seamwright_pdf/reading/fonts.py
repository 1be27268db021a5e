"""What the codes of a text say, and how far each letter moves on."""

from __future__ import annotations

import re
from typing import Any, Final

from .objects import entry

_PAIR: Final = re.compile(rb"<([0-9A-Fa-f\s]+)>\s*<([0-9A-Fa-f\s]*)>")
_RANGE: Final = re.compile(
    rb"<([0-9A-Fa-f\s]+)>\s*<([0-9A-Fa-f\s]+)>\s*(?:<([0-9A-Fa-f\s]*)>|\[([^\]]*)\])"
)
_BLOCK: Final = re.compile(rb"begin(bfchar|bfrange)(.*?)end\1", re.DOTALL)
_HEX: Final = re.compile(rb"<([0-9A-Fa-f\s]*)>")
_MOST: Final = 70_000


class Font:
    """A font of a page. Codes are one byte, or two for composite fonts."""

    def __init__(self, font: Any, stream: Any) -> None:
        self._wide = str(entry(font, "/Subtype", "")) == "/Type0"
        self._known: dict[int, str] = {}
        unicode = entry(font, "/ToUnicode")
        if unicode is not None and hasattr(unicode, "read_bytes"):
            self._known = _cmap(stream(unicode))
        self._widths: dict[int, float] = {}
        self._usual = 1000.0 if self._wide else 500.0
        self._simple: list[str] | None = None
        if self._wide:
            self._read_wide(font)
        else:
            self._read_simple(font)

    def _read_simple(self, font: Any) -> None:
        first = int(entry(font, "/FirstChar", 0))
        widths = entry(font, "/Widths")
        if widths is not None:
            for i, width in enumerate(list(widths)[:256]):
                self._widths[first + i] = float(width)
        encoding = entry(font, "/Encoding")
        base = "mac_roman" if "MacRoman" in str(encoding) else "cp1252"
        letters = [bytes([i]).decode(base, errors="replace") for i in range(256)]
        differences = getattr(encoding, "get", lambda _: None)("/Differences")
        if differences is not None:
            code = 0
            for item in list(differences)[:1024]:
                if str(item).startswith("/"):
                    if code < 256:
                        letters[code] = _glyph(str(item)[1:])
                    code += 1
                else:
                    code = int(item)
        self._simple = letters

    def _read_wide(self, font: Any) -> None:
        below = entry(font, "/DescendantFonts")
        if below is None or not len(below):
            return
        inner = below[0]
        self._usual = float(entry(inner, "/DW", 1000))
        widths = list(entry(inner, "/W", []))[:_MOST]
        i, left = 0, _MOST
        while i + 1 < len(widths) and left > 0:
            first, second = int(widths[i]), widths[i + 1]
            try:
                for k, width in enumerate(second):
                    self._widths[first + k] = float(width)
                i += 2
            except TypeError:
                if i + 2 >= len(widths):
                    return
                last = min(int(second), first + left)
                left -= max(0, last - first)
                self._widths.update(dict.fromkeys(range(first, last + 1), float(widths[i + 2])))
                i += 3

    def letters(self, raw: bytes) -> list[tuple[str, float, bool]]:
        """(text, width in thousandths, whether it is a blank that word spacing widens) for each
        code; "\ufffd" where nothing says what a code stands for."""
        step = 2 if self._wide else 1
        out = []
        for i in range(0, len(raw) - step + 1, step):
            code = int.from_bytes(raw[i : i + step], "big")
            text = self._known.get(code)
            if text is None:
                text = self._simple[code] if self._simple is not None else "\ufffd"
            out.append((text, self._widths.get(code, self._usual), step == 1 and code == 32))
        return out


def _cmap(data: bytes) -> dict[int, str]:
    """Code -> text of a ToUnicode stream (ISO 32000-1, 9.10.3)."""
    out: dict[int, str] = {}
    for kind, body in _BLOCK.findall(data):
        if kind == b"bfchar":
            for code, text in _PAIR.findall(body):
                out[_number(code)] = _text(text)
            continue
        for low, high, start, several in _RANGE.findall(body):
            first, last = _number(low), _number(high)
            texts = _HEX.findall(several) if several else []
            for k in range(first, min(last, first + _MOST) + 1):
                if texts:
                    if k - first < len(texts):
                        out[k] = _text(texts[k - first])
                elif start:
                    base = _text(start)
                    if base:
                        out[k] = base[:-1] + chr(min(ord(base[-1]) + k - first, 0x10FFFF))
            if len(out) > _MOST:
                return out
    return out


def _number(digits: bytes) -> int:
    return int(b"".join(digits.split()) or b"0", 16)


def _text(digits: bytes) -> str:
    packed = b"".join(digits.split())
    if len(packed) % 2:
        packed = packed[:-1]
    return bytes.fromhex(packed.decode()).decode("utf-16-be", errors="replace")


def _glyph(name: str) -> str:
    """What a glyph's name stands for (Adobe Glyph List, by its systematic names and the common
    accents)."""
    if len(name) == 1:
        return name
    if match := re.fullmatch(r"uni([0-9A-F]{4})|u([0-9A-F]{4,6})", name):
        return chr(min(int(match.group(1) or match.group(2), 16), 0x10FFFF))
    plain = {"space": " ", "hyphen": "-", "period": ".", "comma": ",", "slash": "/", "colon": ":",
             "parenleft": "(", "parenright": ")", "plus": "+", "germandbls": "ß", "onehalf": "½",
             "onequarter": "¼", "threequarters": "¾", "quotesingle": "'", "quotedbl": '"',
             "zero": "0", "one": "1", "two": "2", "three": "3", "four": "4", "five": "5",
             "six": "6", "seven": "7", "eight": "8", "nine": "9", "ampersand": "&",
             "underscore": "_", "equal": "=", "multiply": "×", "degree": "°"}  # fmt: skip
    if name in plain:
        return plain[name]
    accents = {"dieresis": "\u0308", "acute": "\u0301", "grave": "\u0300", "circumflex": "\u0302",
               "tilde": "\u0303", "ring": "\u030a", "cedilla": "\u0327",
               "caron": "\u030c"}  # fmt: skip
    import unicodedata  # noqa: PLC0415 - rare

    for word, mark in accents.items():
        if name.endswith(word) and len(name) == len(word) + 1:
            return unicodedata.normalize("NFC", name[0] + mark)
    return "\ufffd"
