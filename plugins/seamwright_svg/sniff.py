"""Is this an SVG? Looks at the first bytes only; the suffix decides nothing by itself."""

from __future__ import annotations

import codecs
import re

from seamwright.plugins.api import Guess, Head

_ROOT = re.compile(r"<(?:[A-Za-z_][\w.-]*:)?svg[\s>/]")
_DOCTYPE = re.compile(r"<!DOCTYPE\s+(?:[\w.-]+:)?svg[\s>]", re.IGNORECASE)
_OTHER_ROOT = re.compile(r"<[A-Za-z_]")
_PROLOG = re.compile(r"<!--.*?(?:-->|$)|<\?.*?(?:\?>|$)", re.DOTALL)

_MARKS = (
    (codecs.BOM_UTF8, "utf-8-sig"),
    (codecs.BOM_UTF16_LE, "utf-16"),
    (codecs.BOM_UTF16_BE, "utf-16"),
    (b"<\x00", "utf-16-le"),
    (b"\x00<", "utf-16-be"),
)


def sniff(head: Head) -> Guess:
    """Yes for an svg root or doctype; maybe for a prolog that fills the whole head."""
    data = head.data
    if data[:2] == b"\x1f\x8b":
        return Guess.MAYBE if head.suffix in (".svgz", ".svg") else Guess.NO
    encoding = next((name for mark, name in _MARKS if data.startswith(mark)), "latin-1")
    text = data.decode(encoding, errors="replace").lstrip()
    if not text.startswith("<"):
        return Guess.NO
    body = _PROLOG.sub("", text).lstrip()
    if _DOCTYPE.match(body):
        return Guess.YES
    if body.startswith("<!DOCTYPE"):
        return Guess.NO
    if _ROOT.match(body):
        return Guess.YES
    if not _OTHER_ROOT.match(body) and head.suffix in (".svg", ".svgz"):
        return Guess.MAYBE
    return Guess.NO
