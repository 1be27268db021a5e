"""Path data (the `d` of a path) to arrays of cubics: strict, whole runs of numbers at a time.

Grammar and meaning: SVG 2, chapter 9 (https://www.w3.org/TR/SVG2/paths.html). A path that breaks
a rule is never cut short in silence: `parse_path` raises with the place and the offending text,
and says how far the data was good.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass, field
from itertools import groupby
from typing import Final

import numpy as np

from seamwright.geometry import CUBIC, LINE, FloatArray, KindArray, elliptical_arc_to_cubics

#: Numbers that one segment of each command takes.
TAKES: Final = {"M": 2, "L": 2, "H": 1, "V": 1, "C": 6, "S": 4, "Q": 4, "T": 2, "A": 7, "Z": 0}

_COMMAND = re.compile("([MmZzLlHhVvCcSsQqTtAa])")
_NUMBER: Final = r"[+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?"
_TOKEN = re.compile(rf"nan|{_NUMBER}")
_ONE_NUMBER = re.compile(_NUMBER)
_BAD_COMMA = re.compile(r"(?:^|[A-DF-Za-df-z,])\s*,|,\s*(?:$|[A-DF-Za-df-z])")
_ARC = re.compile(
    rf"[\s,]*({_NUMBER})[\s,]*({_NUMBER})[\s,]*({_NUMBER})[\s,]*([01])[\s,]*([01])"
    rf"[\s,]*({_NUMBER})[\s,]*({_NUMBER})"
)
_SPACE: Final = " \t\r\n\f,"
_MANY: Final = 24  # numbers of a run from which arrays are faster than Python's floats


class BadPath(ValueError):
    """Path data that breaks the grammar.

    at      offset of the fault in the data
    text    the offending text
    good    offset up to which the data can be drawn
    """

    def __init__(self, message: str, at: int, text: str, good: int) -> None:
        super().__init__(message)
        self.at = at
        self.text = text
        self.good = good


@dataclass(slots=True)
class Subpath:
    """One stretch of pen down: segments (K, 4, 2) in user units, kinds (K,), and whether the data
    closes it (the closing segment, where it has a length, is among the segments)."""

    segments: FloatArray
    kinds: KindArray
    closed: bool


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
        raise _diagnosed(data)
    values, counts, arcs = numbers
    pen = _Pen(values, scale, arc_tolerance)
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

    None where anything is out of order: then `_diagnosed` looks for the place.
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
    good = np.where(
        is_close | is_arc, counts == 0, (counts > 0) & (counts % divisor == 0)
    )
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


@dataclass(slots=True)
class _Pen:
    """Where the pen is and what it has drawn. Short runs are drawn with Python's floats, long
    ones with arrays; both do the same operations in the same order."""

    values: FloatArray
    scale: float
    arc_tolerance: float
    floats: list[float] = field(default_factory=list)
    x: float = 0.0
    y: float = 0.0
    start_x: float = 0.0
    start_y: float = 0.0
    # Last control point, for S (after C and S) and T (after Q and T).
    cubic: tuple[float, float] | None = None
    quadratic: tuple[float, float] | None = None
    subpaths: list[Subpath] = field(default_factory=list)
    blocks: list[FloatArray] = field(default_factory=list)
    kinds: list[KindArray] = field(default_factory=list)
    rows: list[float] = field(default_factory=list)
    row_kinds: list[int] = field(default_factory=list)

    def __post_init__(self) -> None:
        self.floats = self.values.tolist()

    def move(self, at: int, count: int, *, relative: bool) -> None:
        self._finish(closed=False)
        x, y = self.floats[at], self.floats[at + 1]
        if relative:
            x, y = self.x + x, self.y + y
        self.x = self.start_x = x
        self.y = self.start_y = y
        self.cubic = self.quadratic = None
        if count > 2:
            self.draw("l" if relative else "L", at + 2, count - 2)

    def close(self) -> None:
        if (self.rows or self.blocks) and (self.x, self.y) != (self.start_x, self.start_y):
            self._line(self.start_x, self.start_y)
        self._finish(closed=True)
        self.x, self.y = self.start_x, self.start_y
        self.cubic = self.quadratic = None

    def draw(self, letter: str, at: int, count: int) -> None:
        upper, relative = letter.upper(), letter.islower()
        if count >= _MANY and upper in _LONG:
            self._flush()
            numbers = self.values[at : at + count].reshape(-1, TAKES[upper])
            block = _LONG[upper](numbers, np.array([self.x, self.y]), relative)
            self.blocks.append(block)
            kind = LINE if upper == "L" else CUBIC
            self.kinds.append(np.full(len(block), kind, dtype=np.uint8))
            self.x, self.y = float(block[-1, 3, 0]), float(block[-1, 3, 1])
            self.cubic = (float(block[-1, 2, 0]), float(block[-1, 2, 1])) if upper == "C" else None
            self.quadratic = None
            if upper == "Q":
                q = numbers[-1, :2] + (block[-1, 0] if relative else 0.0)
                self.quadratic = (float(q[0]), float(q[1]))
            return
        v = self.floats
        for i in range(at, at + count, TAKES[upper]):
            dx, dy = (self.x, self.y) if relative else (0.0, 0.0)
            if upper == "L":
                self._line(dx + v[i], dy + v[i + 1])
            elif upper == "C":
                self._cubic(
                    dx + v[i], dy + v[i + 1], dx + v[i + 2], dy + v[i + 3],
                    dx + v[i + 4], dy + v[i + 5],
                )  # fmt: skip
            elif upper == "H":
                self._line(dx + v[i], self.y)
            elif upper == "V":
                self._line(self.x, dy + v[i])
            elif upper == "S":
                cx, cy = self._reflected(self.cubic)
                self._cubic(cx, cy, dx + v[i], dy + v[i + 1], dx + v[i + 2], dy + v[i + 3])
            elif upper == "Q":
                self._quadratic(dx + v[i], dy + v[i + 1], dx + v[i + 2], dy + v[i + 3])
            else:
                qx, qy = self._reflected(self.quadratic)
                self._quadratic(qx, qy, dx + v[i], dy + v[i + 1])

    def arcs(self, numbers: list[float], *, relative: bool) -> None:
        for i in range(0, len(numbers), 7):
            rx, ry, turn, large, sweep, x, y = numbers[i : i + 7]
            if relative:
                x, y = self.x + x, self.y + y
            if rx == 0.0 or ry == 0.0:
                self._line(x, y)
                continue
            pieces = elliptical_arc_to_cubics(
                (self.x, self.y), rx, ry, turn, bool(large), bool(sweep), (x, y),
                scale=self.scale, tolerance=self.arc_tolerance,
            )  # fmt: skip
            if len(pieces):
                self._flush()
                self.blocks.append(pieces)
                self.kinds.append(np.full(len(pieces), CUBIC, dtype=np.uint8))
            self.x, self.y = x, y
            self.cubic = self.quadratic = None

    def done(self) -> list[Subpath]:
        self._finish(closed=False)
        return self.subpaths

    def _reflected(self, control: tuple[float, float] | None) -> tuple[float, float]:
        if control is None:
            return self.x, self.y
        return 2.0 * self.x - control[0], 2.0 * self.y - control[1]

    def _line(self, x: float, y: float) -> None:
        a, b = self.x, self.y
        self.rows += (
            a, b, a + (x - a) / 3, b + (y - b) / 3, x - (x - a) / 3, y - (y - b) / 3, x, y
        )  # fmt: skip
        self.row_kinds.append(LINE)
        self.x, self.y = x, y
        self.cubic = self.quadratic = None

    def _cubic(self, p: float, q: float, r: float, s: float, x: float, y: float) -> None:
        self.rows += (self.x, self.y, p, q, r, s, x, y)
        self.row_kinds.append(CUBIC)
        self.x, self.y = x, y
        self.cubic, self.quadratic = (r, s), None

    def _quadratic(self, p: float, q: float, x: float, y: float) -> None:
        a, b = self.x, self.y
        self._cubic(
            a + (p - a) * 2 / 3, b + (q - b) * 2 / 3, x + (p - x) * 2 / 3, y + (q - y) * 2 / 3, x, y
        )
        self.cubic, self.quadratic = None, (p, q)

    def _flush(self) -> None:
        if self.rows:
            self.blocks.append(np.array(self.rows).reshape(-1, 4, 2))
            self.kinds.append(np.array(self.row_kinds, dtype=np.uint8))
            self.rows, self.row_kinds = [], []

    def _finish(self, *, closed: bool) -> None:
        self._flush()
        if self.blocks:
            self.subpaths.append(
                Subpath(np.concatenate(self.blocks), np.concatenate(self.kinds), closed)
            )
            self.blocks, self.kinds = [], []


def _ends(steps: FloatArray, start: FloatArray, relative: bool) -> FloatArray:
    """Start and end points (K + 1, 2) of a run whose segments end at `steps`."""
    ends = np.concatenate((start[None], steps))
    return np.cumsum(ends, axis=0) if relative else ends


def _long_lines(v: FloatArray, start: FloatArray, relative: bool) -> FloatArray:
    ends = _ends(v, start, relative)
    a, b = ends[:-1], ends[1:]
    third = (b - a) / 3
    return np.stack((a, a + third, b - third, b), axis=1)


def _long_cubics(v: FloatArray, start: FloatArray, relative: bool) -> FloatArray:
    ends = _ends(v[:, 4:], start, relative)
    base = ends[:-1] if relative else 0.0
    return np.stack((ends[:-1], base + v[:, :2], base + v[:, 2:4], ends[1:]), axis=1)


def _long_quadratics(v: FloatArray, start: FloatArray, relative: bool) -> FloatArray:
    ends = _ends(v[:, 2:], start, relative)
    a, b = ends[:-1], ends[1:]
    q = v[:, :2] + (a if relative else 0.0)
    return np.stack((a, a + (q - a) * 2 / 3, b + (q - b) * 2 / 3, b), axis=1)


_LONG: Final[dict[str, Callable[[FloatArray, FloatArray, bool], FloatArray]]] = {
    "L": _long_lines,
    "C": _long_cubics,
    "Q": _long_quadratics,
}


# -- finding the fault ----------------------------------------------------------------------


def _diagnosed(data: str) -> BadPath:
    """Where and how path data breaks the grammar, and up to where it can be drawn."""
    at = good = _skip(data, 0)
    command, begun = "", 0
    while True:
        at = _skip(data, at)
        if at >= len(data):
            break
        letter = data[at]
        if letter.upper() in TAKES and letter.isascii():
            if not command and letter not in "Mm":
                return _fault(data, at, good, "path data must begin with M")
            command, begun, at = letter, at, at + 1
            if letter in "Zz":
                good = at
                continue
        elif not command:
            return _fault(data, at, good, "path data must begin with M")
        elif command in "Zz":
            return _fault(data, at, good, "a command is due after Z")
        else:
            at = _separator(data, at)
        at, problem, short = _arguments(data, at, command.upper())
        if short:
            return BadPath(problem, at, data[begun:at].strip()[-40:], good)
        if problem:
            return _fault(data, at, good, problem)
        good = at
    return BadPath("path data that cannot be read", 0, data[:40], 0)


def _arguments(data: str, at: int, command: str) -> tuple[int, str, bool]:
    """The end of one full set of numbers, or the place of a fault, what is wrong there, and
    whether numbers are missing."""
    takes = TAKES[command]
    for i in range(takes):
        at = _separator(data, at) if i else _skip(data, at)
        if command == "A" and i in (3, 4):
            if data[at : at + 1] not in ("0", "1"):
                return at, "an arc's flag must be 0 or 1", False
            at += 1
            continue
        match = _ONE_NUMBER.match(data, at)
        if match is None:
            numbers = "1 number" if takes == 1 else f"{takes} numbers"
            if at >= len(data) or data[at].upper() in TAKES:
                left = "none stands" if i == 0 else "only 1 stands" if i == 1 else f"only {i} stand"
                return at, f"{command} takes {numbers} at a time, {left} here", True
            return at, "a number is due", False
        if not -1.7e308 < float(match.group()) < 1.7e308:
            return at, "a number is too large", False
        at = match.end()
    return at, "", False


def _skip(data: str, at: int) -> int:
    while at < len(data) and data[at] in " \t\r\n\f":
        at += 1
    return at


def _separator(data: str, at: int) -> int:
    at = _skip(data, at)
    if at < len(data) and data[at] == ",":
        at = _skip(data, at + 1)
    return at


def _fault(data: str, at: int, good: int, message: str) -> BadPath:
    word = re.match(r"[^\s,]{1,40}", data[at:])
    text = word.group() if word else data[max(0, at - 20) :].strip() or "(end)"
    return BadPath(message, at, text, good)
