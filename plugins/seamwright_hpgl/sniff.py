"""Is this a plot? Looks at the first instructions only."""

from __future__ import annotations

import re
from typing import Final

from seamwright.plugins.api import Guess, Head

_START: Final = re.compile(
    rb"""(?x)
    [\s;\x00]*
    (?: \x1b (?: %-12345X (?:@PJL[^\n]*\n[\s]*)* | E | \.[A-Z@()](?:[\d;]*:)? | %-?\d+B ) [\s;]* )*
    """
)
_STEP: Final = re.compile(
    rb"""(?xi)
    [\s;,\x03]* ( IN|DF|SP|PU|PD|PA|PR|PS|SC|IP|IW|RO|VS|VN|PW|PT|NP|PC|BP|PG|AF|LT|CI|AA|AR|AT|PE
      |BZ|BR|EA|ER|SI|DI|DT|LB|TR|MC|WU|FS|AS|UL|CO|EC|LA|SM|CS|SS|QL|NR|FR|IR|SR|PM|EP|RA|RR|FT )
    (?P<rest> [\s\d.,+\-]* ) (?: ; | (?=[A-Za-z\x1b]) | \Z )
    """
)
_TEXT: Final = re.compile(rb"LB[^\x03]*\x03|DT[^;]|DT;|PE[^;]*;|CO\s*\"[^\"]*\"")


def is_hpgl(data: bytes, *, least: int = 3) -> bool:
    """Whether the first bytes are plotter instructions, `least` of them or the whole file."""
    start = _START.match(data)
    at = start.end() if start is not None else 0
    entered = b"%" in data[:at] and b"B" in data[:at]
    if at and not entered and data[at : at + 1] in (b"\x1b", b"%", b"&", b"*", b"("):
        return False  # printer language that never enters HP-GL/2 here
    steps = 0
    while steps < least:
        found = _STEP.match(data, at) or _TEXT.match(data, at)
        if found is None:
            break
        at, steps = found.end(), steps + 1
    if steps >= least:
        return True
    return steps >= 1 and not data[at:].strip(b"; \t\r\n\x00\x03\x1a")


def sniff(head: Head) -> Guess:
    """Yes for three plotter instructions in a row, or fewer and nothing else."""
    return Guess.YES if is_hpgl(head.data) else Guess.NO
