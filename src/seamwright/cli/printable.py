"""Text that came out of a file made harmless for a terminal."""

from __future__ import annotations

import unicodedata


def printable(text: str) -> str:
    """The text on one line, with "?" for every sign that would steer a terminal or that no stream
    takes: control signs, turning signs, lone halves of a pair."""
    if text.isascii() and text.isprintable():
        return text
    return "".join(sign if _harmless(sign) else "?" for sign in text)


def _harmless(sign: str) -> bool:
    return unicodedata.category(sign) not in ("Cc", "Cf", "Cs", "Zl", "Zp")
