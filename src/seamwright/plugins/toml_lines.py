"""On which line of a TOML text each key stands, so that an error can point at it.

The standard parser gives values without places. This one gives places without values: it walks
the text once, steps over strings and nested values, and notes the line of every header and key.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Final

KeyPath = tuple[str | int, ...]

_KEY: Final = re.compile(r"""\s*(?:"((?:\\.|[^"\\\n])*)"|'([^'\n]*)'|([A-Za-z0-9_-]+))\s*(\.|)""")
_STRINGS: Final = re.compile(
    r'"""(?:\\.|[^\\])*?"{3,5}|' r"'''.*?'{3,5}|" r'"(?:\\.|[^"\\\n])*"|' r"'[^'\n]*'",
    re.S,
)


def lines_of(text: str) -> dict[KeyPath, int]:
    """Key path -> line (1-based) of every table header and key outside inline tables.

    Tables in an array carry their index: ("step", 1, "use"). A text that is not TOML gives what
    could be made out; it never raises.
    """
    found: dict[KeyPath, int] = {}
    counts: dict[KeyPath, int] = {}
    table: KeyPath = ()
    at, line = 0, 1
    while at < len(text):
        if text[at] in " \t\r":
            at += 1
        elif text[at] == "\n":
            at, line = at + 1, line + 1
        elif text[at] == "#":
            at = _end_of_line(text, at)
        elif text[at] == "[":
            several = text.startswith("[[", at)
            keys, after = _keys(text, at + (2 if several else 1))
            table = _located(keys, counts)
            if several:
                counts[table] = counts.get(table, -1) + 1
                table = (*table, counts[table])
            found.setdefault(table, line)
            at = _end_of_line(text, after)
        else:
            keys, after = _keys(text, at)
            if not keys:
                at = _end_of_line(text, at)
                continue
            for depth in range(1, len(keys) + 1):
                found.setdefault((*table, *keys[:depth]), line)
            end = _end_of_value(text, after)
            line += text.count("\n", at, end)
            at = end
    return found


def line_at(lines: Mapping[KeyPath, int], path: KeyPath) -> int | None:
    """The line of the key at `path`, or of the nearest thing that holds it."""
    for depth in range(len(path), 0, -1):
        if path[:depth] in lines:
            return lines[path[:depth]]
    return None


def _located(keys: KeyPath, counts: Mapping[KeyPath, int]) -> KeyPath:
    """The path with the index of the current table put in behind each array's name."""
    path: KeyPath = ()
    for i, key in enumerate(keys):
        path = (*path, key)
        if path in counts and i < len(keys) - 1:
            path = (*path, counts[path])
    return path


def _keys(text: str, at: int) -> tuple[KeyPath, int]:
    keys: list[str] = []
    while (match := _KEY.match(text, at)) is not None:
        keys.append(next(group for group in match.groups()[:3] if group is not None))
        at = match.end()
        if match[4] != ".":
            break
    return tuple(keys), at


def _end_of_line(text: str, at: int) -> int:
    end = text.find("\n", at)
    return len(text) if end < 0 else end


def _end_of_value(text: str, at: int) -> int:
    depth = 0
    while at < len(text):
        sign = text[at]
        if sign == "\n" and depth <= 0:
            return at
        if sign == "#":
            at = _end_of_line(text, at)
            continue
        if sign in "\"'":
            match = _STRINGS.match(text, at)
            at = match.end() if match else at + 1
            continue
        depth += (sign in "[{") - (sign in "]}")
        at += 1
    return at
