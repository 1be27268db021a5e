"""Bytes to text: code pages, UTF-8 in spite of a code page, and the escapes of the format."""

from __future__ import annotations

import codecs
import re
from dataclasses import dataclass, field

_PAGES = {
    "ANSI_874": "cp874", "ANSI_932": "cp932", "ANSI_936": "gbk", "ANSI_949": "cp949",
    "ANSI_950": "cp950", "ANSI_1250": "cp1250", "ANSI_1251": "cp1251", "ANSI_1252": "cp1252",
    "ANSI_1253": "cp1253", "ANSI_1254": "cp1254", "ANSI_1255": "cp1255", "ANSI_1256": "cp1256",
    "ANSI_1257": "cp1257", "ANSI_1258": "cp1258", "DOS437": "cp437", "DOS850": "cp850",
    "DOS852": "cp852", "DOS855": "cp855", "DOS857": "cp857", "DOS860": "cp860",
    "DOS861": "cp861", "DOS863": "cp863", "DOS865": "cp865", "DOS866": "cp866",
    "DOS869": "cp869", "DOS932": "cp932", "GB2312": "gbk", "BIG5": "cp950", "KSC5601": "cp949",
    "JOHAB": "johab", "MACINTOSH": "mac-roman", "ISO8859-1": "latin-1", "UTF-8": "utf-8",
}  # fmt: skip
_MULTIBYTE = {"1": "cp932", "2": "cp950", "3": "cp949", "4": "johab", "5": "gbk"}
"""The digit after \\M+ (values from memory, as CAD programs write them)."""

_ESCAPE = re.compile(r"\\U\+([0-9A-Fa-f]{4})|\\M\+([1-5])([0-9A-Fa-f]{4})")
_PERCENT = re.compile(r"%%(\d{3}|[A-Za-z%])")
_CARET = re.compile(r"\^([ IJM])")
_SIGNS = {"c": "Ø", "d": "°", "p": "±", "%": "%", "u": "", "o": "", "k": ""}
_CONTROL = {" ": "^", "I": "\t", "J": "\n", "M": "\n"}


@dataclass(slots=True)
class Lettering:
    """How the file's bytes become text.

    encoding   codec name
    said       what `$DWGCODEPAGE` says, "" where it is silent
    reason     "ascii", "utf-8", "code page", "asked", "unknown"
    broken     texts in which a byte could not be decoded, as (raw, decoded)
    """

    encoding: str
    said: str
    reason: str
    broken: list[tuple[bytes, str]] = field(default_factory=list)

    def text(self, raw: bytes) -> str:
        """The text, escapes resolved."""
        if raw.isascii():
            text = raw.decode("ascii")
        else:
            try:
                text = raw.decode(self.encoding)
            except UnicodeDecodeError:
                text = raw.decode(self.encoding, "replace")
                self.broken.append((raw, text))
        if "\\" in text:
            text = _whole(_ESCAPE.sub(_escaped, text))
        if "%%" in text:
            text = _PERCENT.sub(_percent, text)
        if "^" in text:
            text = _CARET.sub(lambda m: _CONTROL[m[1]], text)
        return text

    def name(self, raw: bytes) -> str:
        """The name of a layer or block: without blanks at its ends."""
        return self.text(raw).strip()


def choose(data: bytes, codepage: str, version: str, asked: str) -> Lettering:
    """The lettering of a file.

    data      the whole file
    codepage  `$DWGCODEPAGE`, or ""
    version   `$ACADVER`, or ""; from AC1021 on a file is UTF-8
    asked     an encoding that the user demands, or ""

    Bytes above 127 that are valid UTF-8 throughout are UTF-8, whatever the header says: random
    text of a code page almost never is.
    """
    if asked:
        return Lettering(codecs.lookup(asked).name, codepage, "asked")
    page = _codec(codepage)
    if data.isascii():
        return Lettering(page or "ascii", codepage, "ascii")
    try:
        data.decode("utf-8")
    except UnicodeDecodeError:
        pass
    else:
        return Lettering("utf-8", codepage, "utf-8")
    if version >= "AC1021":
        return Lettering("utf-8", codepage, "code page")
    if page:
        return Lettering(page, codepage, "code page")
    return Lettering("cp1252", codepage, "unknown")


def known_encoding(name: str) -> bool:
    """Whether Python has a codec of that name."""
    try:
        codecs.lookup(name)
    except LookupError:
        return False
    return True


def _whole(text: str) -> str:
    """Two escapes that together make one character beyond U+FFFF, put together."""
    if not any("\ud800" <= c <= "\udfff" for c in text):
        return text
    return text.encode("utf-16", "surrogatepass").decode("utf-16", "replace")


def _codec(codepage: str) -> str:
    name = codepage.strip().upper()
    number = re.fullmatch(r"ANSI[_-]?(\d+)", name)
    if number:
        name = f"ANSI_{number[1]}"
    return _PAGES.get(name, "")


def _escaped(match: re.Match[str]) -> str:
    if match[1]:
        return chr(int(match[1], 16))
    raw = bytes.fromhex(match[3])
    try:
        return raw.decode(_MULTIBYTE[match[2]])
    except UnicodeDecodeError:
        return match[0]


def _percent(match: re.Match[str]) -> str:
    what = match[1]
    if what.isdigit():
        code = int(what)
        return bytes([code]).decode("cp1252", "replace") if 32 <= code < 256 else match[0]
    return _SIGNS.get(what.lower(), match[0])


_CODE = re.compile(r"\\(?:[ACcFfHQTWp][^;\\{}]*;|S([^;]*);|[LlOoKk]|([{}\\])|(P|N)|(~))")


def plain_mtext(text: str) -> str:
    """The words of an MTEXT, its formatting codes taken out; paragraphs become line breaks."""

    def word(match: re.Match[str]) -> str:
        if match[1] is not None:
            return match[1].replace("^", "/").replace("#", "/")
        if match[2]:
            return "\0" if match[2] == "{" else "\1" if match[2] == "}" else "\\"
        if match[3]:
            return "\n"
        return " " if match[4] else ""

    out = _CODE.sub(word, text)
    out = out.replace("{", "").replace("}", "")
    return out.replace("\0", "{").replace("\1", "}")
