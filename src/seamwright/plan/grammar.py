"""How runs and pairs of notches are written: "Sleeve: underarm-back > shoulder", "a = b".

A name that holds one of the signs  : > = " \\  or white space at its ends is written in double
quotes, with \\" and \\\\ inside.
"""

from __future__ import annotations

from typing import NamedTuple

from seamwright.model.seam import RunPart

_SIGNS = ':>="\\'


class Mark(NamedTuple):
    """A mark as written: its name, and the piece where one is named."""

    piece: str | None
    name: str


def parse_part(text: str) -> RunPart:
    """One stretch: "Piece: mark > mark" with as many marks as wanted, two at least.

    Raises ValueError with a plain sentence.
    """
    piece, rest = _piece_and_rest(text)
    if piece is None:
        raise ValueError(f'"{text}" names no piece: write "Piece: mark > mark"')
    marks = [_name(words, text) for words in _split(rest, ">")]
    if len(marks) < 2:
        raise ValueError(f'"{text}" names one mark: a run needs two, as in "Piece: mark > mark"')
    return RunPart(piece=piece, marks=tuple(marks))


def parse_pair(text: str) -> tuple[str, str]:
    """Two marks that meet: "sleeve notch = armhole notch", each with its piece where needed.

    Returns both in their written form. Raises ValueError with a plain sentence.
    """
    sides = _split(_words(text), "=")
    if len(sides) != 2:
        raise ValueError(f'"{text}" is not a pair: write "mark = mark"')
    out = []
    for side in sides:
        parts = _split(side, ":")
        if len(parts) > 2:
            raise ValueError(f'"{text}" has too many colons: put names that hold one in quotes')
        names = [_name(part, text) for part in parts]
        out.append(written_mark(names[-1], piece=names[0] if len(names) == 2 else None))
    return out[0], out[1]


def parse_mark(text: str) -> Mark:
    """A mark in its written form. Raises ValueError with a plain sentence."""
    parts = _split(_words(text), ":")
    if len(parts) > 2:
        raise ValueError(f'"{text}" has too many colons: put names that hold one in quotes')
    names = [_name(part, text) for part in parts]
    return Mark(names[0] if len(names) == 2 else None, names[-1])


def piece_named(text: str) -> str | None:
    """The piece at the head of any written place, run, mark or dart ("Front: ..."); None where
    there is none or the text cannot be read."""
    try:
        return _piece_and_rest(text)[0]
    except ValueError:
        return None


def written_mark(name: str, *, piece: str | None = None) -> str:
    """A mark in its written form: "notch-2", "Back: notch-2"."""
    return written(name) if piece is None else f"{written(piece)}: {written(name)}"


def written_part(part: RunPart) -> str:
    """A stretch as the plan's file holds it; the inverse of `parse_part`."""
    return f"{written(part.piece)}: " + " > ".join(written(mark) for mark in part.marks)


def written(name: str) -> str:
    """A name as the plan's file holds it: in quotes where signs could be mistaken."""
    if name and name == name.strip() and not any(sign in name for sign in _SIGNS):
        return name
    return '"' + name.replace("\\", "\\\\").replace('"', '\\"') + '"'


_Word = tuple[bool, str]  # (quoted, text); a sign is an unquoted single character of _SIGNS


def _words(text: str) -> list[_Word]:
    out: list[_Word] = []
    i = 0
    while i < len(text):
        c = text[i]
        if c == '"':
            i, name = _quoted(text, i)
            out.append((True, name))
            continue
        if c in ":>=":
            out.append((False, c))
            i += 1
            continue
        start = i
        while i < len(text) and text[i] not in ':>="':
            i += 1
        if text[start:i].strip():
            out.append((False, text[start:i].strip()))
    return out


def _quoted(text: str, i: int) -> tuple[int, str]:
    out: list[str] = []
    i += 1
    while i < len(text):
        if text[i] == "\\" and i + 1 < len(text):
            out.append(text[i + 1])
            i += 2
        elif text[i] == '"':
            return i + 1, "".join(out)
        else:
            out.append(text[i])
            i += 1
    raise ValueError(f"{text!r} opens a quote and does not close it")


def _split(words: list[_Word], sign: str) -> list[list[_Word]]:
    out: list[list[_Word]] = [[]]
    for word in words:
        if word == (False, sign):
            out.append([])
        else:
            out[-1].append(word)
    return out


def _piece_and_rest(text: str) -> tuple[str | None, list[_Word]]:
    parts = _split(_words(text), ":")
    if len(parts) == 1:
        return None, parts[0]
    if len(parts) > 2:
        raise ValueError(f'"{text}" has too many colons: put names that hold one in quotes')
    return _name(parts[0], text), parts[1]


def _name(words: list[_Word], text: str) -> str:
    if not words:
        raise ValueError(f'"{text}" lacks a name next to one of its signs')
    if len(words) > 1:
        shown = " ".join(word for _, word in words)
        raise ValueError(f'"{text}" has two names where one belongs: {shown}')
    quoted, name = words[0]
    if not quoted and name in (":", ">", "="):
        raise ValueError(f'"{text}" has a "{name}" where a name belongs')
    if not name:
        raise ValueError(f'"{text}" holds an empty name')
    return name
