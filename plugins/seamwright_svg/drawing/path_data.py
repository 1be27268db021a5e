"""Path data (the `d` of a path) to arrays of cubics: strict, whole runs of numbers at a time.

Grammar and meaning: SVG 2, chapter 9 (https://www.w3.org/TR/SVG2/paths.html). A path that breaks
a rule is never cut short in silence: `parse_path` raises with the place and the offending text,
and says how far the data was good.
"""

from __future__ import annotations

import re
from itertools import groupby
from typing import Final

import numpy as np

from seamwright.geometry import FloatArray

from .path_fault import diagnosed
from .path_kinds import NUMBER, TAKES, BadPath, Subpath
from .path_pen import Pen

_COMMAND = re.compile("([MmZzLlHhVvCcSsQqTtAa])")
_TOKEN = re.compile(rf"nan|{NUMBER}")
_BAD_COMMA = re.compile(r"(?:^|[A-DF-Za-df-z,])\s*,|,\s*(?:$|[A-DF-Za-df-z])")
_ARC = re.compile(
    rf"[\s,]*({NUMBER})[\s,]*({NUMBER})[\s,]*({NUMBER})[\s,]*([01])[\s,]*([01])"
    rf"[\s,]*({NUMBER})[\s,]*({NUMBER})"
)
_SPACE: Final = " \t\r\n\f,"


def parse_path(data: str, *, scale: float = 1.0, arc_tolerance: float = 1e-4) -> list[Subpath]:
    """The subpaths of path data, moves without a segment left out.

    scale          mm a user unit at most, for arcs: they come out within `arc_tolerance` mm
    Raises BadPath.
    """
    parts = _COMMAND.split(data)
    if len(parts) == 1 and data.strip() in ("", "none"):
        return []
    commands = "".join(parts[1::2])
    numbers = _numbers(data, parts, commands)
    if numbers is None:
        raise diagnosed(data)
    values, counts, arcs = numbers
    pen = Pen(values, scale, arc_tolerance)
    at = 0
    first = 0
    for letter, group in groupby(commands):
        run = len(list(group))
        if letter in "Aa":
            for i in range(first, first + run):
                pen.arcs(arcs[i], relative=letter == "a")
        elif letter in "Zz":
            pen.close()
        elif letter in "Mm":
            for i in range(first, first + run):
                pen.move(at, counts[i], relative=letter == "m")
                at += counts[i]
        else:
            total = sum(counts[first : first + run])
            pen.draw(letter, at, total)
            at += total
        first += run
    return pen.done()


_Numbers = tuple[FloatArray, list[int], dict[int, list[float]]]


def _numbers(data: str, parts: list[str], commands: str) -> _Numbers | None:
    """All numbers but those of arcs, how many each command has, and the arcs' numbers by command.

    None where anything is out of order: then `diagnosed` looks for the place.
    """
    if parts[0].strip() or commands[:1] not in ("M", "m"):
        return None
    if "," in data and _BAD_COMMA.search(data):
        return None
    arguments = parts[2::2]
    arcs: dict[int, list[float]] = {}
    if "A" in commands or "a" in commands:
        for i, letter in enumerate(commands):
            if letter in "Aa":
                found = _arc_numbers(arguments[i])
                if not found:
                    return None
                arcs[i] = found
                arguments[i] = ""
    # Commands become the token "nan", so that one pass finds all numbers and where each
    # command's begin.
    joined = " nan ".join(arguments)
    tokens = _TOKEN.findall(joined)
    spaces = sum(joined.count(c) for c in _SPACE)
    if sum(map(len, tokens)) + spaces != len(joined):
        return None
    whole = np.array(list(map(float, tokens)), dtype=np.float64)
    marks = np.flatnonzero(np.isnan(whole))
    if marks.size != len(commands) - 1:
        return None
    counts = np.diff(marks, prepend=-1, append=whole.size) - 1
    takes = np.array([TAKES[c] for c in commands.upper()])
    is_arc = takes == 7
    is_close = takes == 0
    divisor = np.where(is_close, 1, takes)
    good = np.where(is_close | is_arc, counts == 0, (counts > 0) & (counts % divisor == 0))
    values = whole[~np.isnan(whole)]
    if not good.all() or not np.isfinite(values).all():
        return None
    return values, counts.tolist(), arcs


def _arc_numbers(text: str) -> list[float]:
    """Numbers of one or several arcs, flags perhaps written without spaces; [] where bad."""
    out: list[float] = []
    at = 0
    end = len(text.rstrip())
    while at < end:
        match = _ARC.match(text, at)
        if match is None:
            return []
        out += map(float, match.groups())
        at = match.end()
    return out if all(v - v == 0.0 for v in out) else []


__all__ = ["BadPath", "Subpath", "parse_path"]
