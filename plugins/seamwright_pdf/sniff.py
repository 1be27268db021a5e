"""Is this a PDF? Looks at the first bytes only."""

from __future__ import annotations

import re

from seamwright.plugins.api import Guess, Head

# ISO 32000-1, 7.5.2: the header may stand anywhere in the first 1024 bytes; a file with binary
# data has a comment of at least four bytes above 127 right after it.
_HEADER = re.compile(rb"%PDF-\d\.\d")
_BINARY = re.compile(rb"%PDF-\d\.\d[ \t]*(?:\r\n|\r|\n)%[^\r\n]*[\x80-\xff]{4}")


def sniff(head: Head) -> Guess:
    """Yes for a header with its binary comment, maybe for a bare header."""
    start = head.data[:1100]
    if _BINARY.search(start):
        return Guess.YES
    return Guess.MAYBE if _HEADER.search(start) else Guess.NO
