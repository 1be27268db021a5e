"""Names from inside files made into names of files: never a path, never two the same.

Safe on every file system in common use: no separators or reserved signs, no device names of old,
no trailing dot or space, no invisible turning signs, short; and distinct even where the system
does not tell capitals from small letters or composed from decomposed letters.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable
from typing import Final

_RESERVED: Final = frozenset('/\\:*?"<>|\0')
_DEVICES: Final = frozenset(
    ["con", "prn", "aux", "nul", "conin$", "conout$"]
    + [f"{port}{digit}" for port in ("com", "lpt") for digit in "0123456789¹²³"]
)
_MOST_SIGNS: Final = 80
_MOST_BYTES: Final = 180  # a file name may have 255; suffix and number come on top


def safe_name(name: str) -> str:
    """`name` as a file name without its suffix; "unnamed" when nothing is left of it."""
    text = unicodedata.normalize("NFC", name)
    text = "".join("_" if _unsafe(sign) else sign for sign in text)
    text = " ".join(text.split()).strip(". ")
    text = text.lstrip("-~")
    while len(text) > _MOST_SIGNS or len(text.encode()) > _MOST_BYTES:
        text = text[:-1]
    text = text.strip(". ")
    if not text.strip("_"):
        return "unnamed"
    if text.split(".")[0].strip().casefold() in _DEVICES:
        return f"{text}_" if "." not in text else text.replace(".", "_.", 1)
    return text


def safe_names(names: Iterable[str], *, taken: Iterable[str] = ()) -> dict[str, str]:
    """name -> safe name, all distinct on a file system blind to case and to composition; the
    second of a kind gets "-2". taken: safe names that are in use already."""
    used = {folded(name) for name in taken}
    out: dict[str, str] = {}
    for name in names:
        if name in out:
            continue
        safe = base = safe_name(name)
        number = 2
        while folded(safe) in used:
            safe = f"{base}-{number}"
            number += 1
        used.add(folded(safe))
        out[name] = safe
    return out


def same_name(a: str, b: str) -> bool:
    """Whether two names would be one file somewhere."""
    return folded(a) == folded(b)


def folded(name: str) -> str:
    """The name as a file system blind to case and to composition sees it."""
    return unicodedata.normalize("NFC", unicodedata.normalize("NFKD", name).casefold())


def _unsafe(sign: str) -> bool:
    # Cc control, Cf invisible format (turning signs among them), Cs lone halves, Co private,
    # Cn nothing, Zl/Zp line breaks.
    return sign in _RESERVED or unicodedata.category(sign) in (
        "Cc", "Cf", "Cs", "Co", "Cn", "Zl", "Zp",
    )  # fmt: skip
