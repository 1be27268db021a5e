"""Where and how path data break the grammar (SVG 2, 9.3.9)."""

from __future__ import annotations

import re

from .path_kinds import NUMBER, TAKES, BadPath

_ONE_NUMBER = re.compile(NUMBER)


def diagnosed(data: str) -> BadPath:
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
