"""Names and texts that the format can hold."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable
from typing import Literal

Letters = Literal["escape", "transliterate"]

_SPECIAL = {
    "ä": "ae", "ö": "oe", "ü": "ue", "Ä": "Ae", "Ö": "Oe", "Ü": "Ue", "ß": "ss", "æ": "ae",
    "Æ": "Ae", "ø": "o", "Ø": "O", "å": "a", "Å": "A", "đ": "d", "Đ": "D", "ð": "d", "þ": "th",
    "ł": "l", "Ł": "L", "œ": "oe", "Œ": "Oe", "½": "1/2", "¼": "1/4", "¾": "3/4", "°": " deg",
    "–": "-", "—": "-", "‘": "'", "’": "'", "“": '"', "”": '"', "…": "...", "×": "x", "−": "-",
}  # fmt: skip
_LOOKS_ESCAPED = re.compile(r"\\(?=[UM]\+)")
_LEGAL = re.compile(r"[^A-Z0-9$_-]+")


def plain(text: str) -> str:
    """The nearest text in ASCII; "?" for a sign that has no plain form."""
    out = []
    for sign in text:
        if " " <= sign <= "~":
            out.append(sign)
            continue
        known = _SPECIAL.get(sign)
        if known is None:
            bare = unicodedata.normalize("NFKD", sign).encode("ascii", "ignore").decode()
            known = bare if bare.isprintable() and bare else ("" if sign in "\r\n\t" else "?")
            if sign in "\r\n\t":
                known = " "
        out.append(known)
    return "".join(out)


def lettered(text: str, letters: Letters) -> str:
    """A text value in 7-bit ASCII (D6673 cl. 4.3.1.1, second-hand) that reads back as `text`
    (escape), or nearly (transliterate)."""
    if text.isascii() and text.isprintable() and not _needs_care(text):
        return text
    if letters == "transliterate":
        return careful(plain(text))
    out = []
    for sign in careful(text):
        if " " <= sign <= "~":
            out.append(sign)
        else:
            raw = sign.encode("utf-16-be", "surrogatepass")
            out += [f"\\U+{raw[i]:02X}{raw[i + 1]:02X}" for i in range(0, len(raw), 2)]
    return "".join(out)


def _needs_care(text: str) -> bool:
    return "%%" in text or "^" in text or "\\" in text


def careful(text: str) -> str:
    """Signs that a reader would take for codes of the format, written so that it does not."""
    text = text.replace("^", "^ ").replace("\r\n", "\n").replace("\r", "\n").replace("\n", "^J")
    text = text.replace("\t", "^I").replace("%%", "%%%%%%")
    return _LOOKS_ESCAPED.sub(lambda _: "\\U+005C", text)


def legal(name: str, longest: int) -> str:
    """A symbol name by the rules of R12: capitals, digits, $, - and _; never empty."""
    found = _LEGAL.sub("_", plain(name).upper()).strip("_")[:longest].rstrip("_")
    return found or "X"


def unique_names(names: Iterable[str], longest: int) -> dict[str, str]:
    """Each different name -> a legal one, all different without regard to case."""
    out: dict[str, str] = {}
    taken: set[str] = set()
    for name in names:
        if name in out:
            continue
        base = legal(name, longest)
        chosen, number = base, 2
        while chosen in taken:
            ending = f"-{number}"
            chosen = base[: longest - len(ending)] + ending
            number += 1
        taken.add(chosen)
        out[name] = chosen
    return out
