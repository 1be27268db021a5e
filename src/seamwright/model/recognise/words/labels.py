"""Reading a label, id or class: role, size, and the name that is left.

"Front_10", "back-seam-line", "Size 12", "Ärmel – Fadenlauf", "path1234-5": each is cut into words,
the words for roles and sizes are found, and what is left is a name, unless a program made it up.
Whether a number or a letter at the end of a name is a size is not decided here: that takes a look
at all names of the drawing (`sizes.py`).
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Final, Literal

from .roles import GENERIC, LONGEST_PHRASE, NEUTRAL, PHRASES, Role

Place = Literal["keyword", "whole", "suffix", "prefix"]

_WORD = re.compile(
    r"\d{1,2}[xX][sSlL](?![A-Za-z])|\d+(?:[./]\d+)?[A-Za-z]?(?![A-Za-z])|[^\W\d_]+(?:'[^\W\d_]+)?|\d+"
)
_CAMEL = re.compile(r"(?<=[a-zà-ÿ])(?=[A-ZÀ-Þ])")
_ESCAPED = re.compile(r"_x([0-9A-Fa-f]{2,4})_")
_COPY = re.compile(r"(?<=[^\W\d_])_\d+_$")
_EDGES: Final = " \t\r\n-_–—:;,./\\|#()[]{}+*=&"

_SIZE_WORDS = "size sizes sz gr groesse größe grosse grösse taille talla taglia maat storlek koko"
SIZE_WORDS: Final = frozenset(_SIZE_WORDS.split())
_NO_SIZES: Final = frozenset(
    ["chart", "guide", "table", "key", "info", "list", "range", "run", "test"]
)
_REGIONS: Final = frozenset(["eu", "us", "uk", "fr", "de", "it", "jp", "au"])
_ALPHA = re.compile(r"(?:x{1,5}s|x{1,5}l|[sml]|\d{1,2}xs|\d{1,2}xl|\dx)", re.I)
_NUMERIC = re.compile(r"\d{1,3}(?:/\d{1,3}|\.5)?|\d{1,2}[tTmMyYwW]")

# What programs call things by themselves: path1234, g12-3, Layer_1, rect10, SVGID_1_, XMLID_3_.
_MADE_UP = re.compile(
    r"""(?ix)
    (?: (?:path|g|rect|circle|ellipse|line|polyline|polygon|text|tspan|textpath|use|svg|layer|
        image|group|clip|clippath|defs|mask|symbol|marker|flowroot|flowpara|lineargradient|
        radialgradient|filter|pattern|switch|a|object|shape|vector|frame|curve|spline|entity|
        element|item|node|polyshape|ebene|calque|capa|livello|pfad|gruppe|namedview|metadata|
        guide|grid|perspective|style|title|desc|st|cls|fil|str|svgid|xmlid|id|p|l|c|r|e|s)
        [\s_.-]* \d+ (?:[\s_.-]+\d+)* _?
      | _?\d{5,}
      | _?[0-9a-f]{8}(?:-?[0-9a-f]{4}){3}-?[0-9a-f]{12}
      | (?:path|g|rect|circle|ellipse|line|polyline|polygon|text|tspan|use|svg|symbol)
    )"""
)


@dataclass(frozen=True, slots=True)
class SizeWord:
    """A possible size in a label: how it is written, and how it stands there."""

    size: str
    place: Place


@dataclass(frozen=True, slots=True)
class Words:
    """One label, read.

    text    the label itself, cleaned
    tokens  its words: start, end, text
    role    what its words say, or None; role_words: which of them do
    strict  whether the label says nothing but the role (so that it can speak for a whole group)
    size    a possible size, or None; size_words: which words state it
    made_up whether a program made the label up
    """

    text: str
    tokens: tuple[tuple[int, int, str], ...] = ()
    role: Role | None = None
    role_words: frozenset[int] = frozenset()
    strict: bool = False
    size: SizeWord | None = None
    size_words: frozenset[int] = frozenset()
    made_up: bool = False

    @property
    def words(self) -> tuple[str, ...]:
        """All words in lower case."""
        return tuple(t[2].lower() for t in self.tokens)

    @property
    def spells_role(self) -> bool:
        """Whether the role stands there in full ("seam line", not just "seam")."""
        chosen = [self.tokens[i][2].lower() for i in sorted(self.role_words)]
        return len(chosen) > 1 or any(w.endswith(("line", "lines", "linie")) for w in chosen)

    def name(self, *, without_role: bool, without_size: bool) -> str:
        """The label as a name, "" where nothing is left that means something."""
        if self.made_up or not self.tokens:
            return ""
        left_out = (self.role_words if without_role else frozenset()) | (
            self.size_words if without_size else frozenset()
        )
        keep = [i for i in range(len(self.tokens)) if i not in left_out]
        words = self.words
        if all(
            words[i] in GENERIC
            or words[i] in SIZE_WORDS
            or (without_role and words[i] in NEUTRAL)
            or (without_size and words[i].isdigit() and len(keep) > 1)
            for i in keep
        ):
            return ""
        return self.kept(keep) if left_out else self.text

    def kept(self, keep: Sequence[int]) -> str:
        """The words with these numbers, with what stood between neighbours."""
        runs: list[str] = []
        previous = -2
        for i in keep:
            _, end, word = self.tokens[i]
            if i == previous + 1:
                runs[-1] += self.text[self.tokens[previous][1] : end]
            else:
                runs.append(word)
            previous = i
        return " ".join(runs).strip(_EDGES)


NOTHING: Final = Words("")


@lru_cache(maxsize=65536)
def read_label(text: str) -> Words:
    """A label, title, id or class taken apart."""
    clean = _unescaped(text)
    if not clean:
        return NOTHING
    if _MADE_UP.fullmatch(clean):
        return Words(clean, _tokens(clean), made_up=True)
    clean = _COPY.sub("", clean)
    tokens = _tokens(clean)
    words = [t[2].lower() for t in tokens]
    role, role_words = _role(words)
    rest = [i for i in range(len(tokens)) if i not in role_words]
    size, size_words = _size(clean, tokens, words, rest)
    strict = role is not None and all(
        words[i] in NEUTRAL or words[i] in GENERIC or words[i].isdigit()
        for i in rest
        if i not in size_words
    )
    return Words(clean, tokens, role, role_words, strict, size, size_words)


def normal(name: str) -> str:
    """A name as names are compared: case and separators do not count."""
    return " ".join(t[2] for t in _tokens(name.casefold()))


def _unescaped(text: str) -> str:
    """Some programs write odd characters of an id as _x20_, a leading digit as _x31_0."""
    text = _ESCAPED.sub(lambda m: chr(int(m.group(1), 16)), text)
    return " ".join("".join(c if c.isprintable() else " " for c in text).split())


def _tokens(text: str) -> tuple[tuple[int, int, str], ...]:
    out: list[tuple[int, int, str]] = []
    for match in _WORD.finditer(text):
        start = match.start()
        for part in _CAMEL.split(match.group()):
            out.append((start, start + len(part), part))
            start += len(part)
    return tuple(out)


def _role(words: list[str]) -> tuple[Role | None, frozenset[int]]:
    """The role that the words state, and which words state it.

    The longest phrase counts, of equally long ones the last: "front cut line", "sleeve seam".
    """
    for length in range(min(LONGEST_PHRASE, len(words)), 0, -1):
        for at in range(len(words) - length, -1, -1):
            role = PHRASES.get(tuple(words[at : at + length]))
            if (
                role is Role.CUT
                and length == 1
                and words[at + 1 : at + 2]
                and (words[at + 1][0].isdigit())
            ):
                continue  # "cut 2" is a quantity
            if role is not None:
                return role, frozenset(range(at, at + length))
    return None, frozenset()


def _size(
    text: str, tokens: tuple[tuple[int, int, str], ...], words: list[str], rest: list[int]
) -> tuple[SizeWord | None, frozenset[int]]:
    for i in rest:
        if words[i] in SIZE_WORDS and i + 1 in rest and _names_size(words[i + 1]):
            end = i + 1
            if words[end] in _REGIONS and end + 1 in rest:
                end += 1
            label = text[tokens[i + 1][0] : tokens[end][1]]
            return SizeWord(_tidy(label), "keyword"), frozenset(range(i, end + 1))
    for i in rest:
        if words[i] in _REGIONS and i + 1 in rest and _NUMERIC.fullmatch(words[i + 1]):
            label = text[tokens[i][0] : tokens[i + 1][1]]
            return SizeWord(_tidy(label), "keyword"), frozenset({i, i + 1})
    if not rest:
        return None, frozenset()
    if len(rest) == 1 and _is_size(words[rest[0]]):
        return SizeWord(_tidy(tokens[rest[0]][2]), "whole"), frozenset(rest)
    if 1 < len(rest) == len(tokens) <= 3 and all(_is_size(words[i]) for i in rest):
        return SizeWord(text.strip("_ "), "whole"), frozenset(rest)  # "34-36", "10 (M)"
    if _is_size(words[rest[-1]]):
        return SizeWord(_tidy(tokens[rest[-1]][2]), "suffix"), frozenset({rest[-1]})
    if _is_size(words[rest[0]]):
        return SizeWord(_tidy(tokens[rest[0]][2]), "prefix"), frozenset({rest[0]})
    return None, frozenset()


def _is_size(word: str) -> bool:
    return bool(_ALPHA.fullmatch(word) or _NUMERIC.fullmatch(word))


def _names_size(word: str) -> bool:
    """Whether a word after "size" can be one: a size, or a short plain word ("tall")."""
    if _is_size(word) or (len(word) == 1 and word.isascii() and word.isalpha()):
        return True
    plain = word.isascii() and word.isalnum() and len(word) <= 8
    return plain and word not in NEUTRAL | GENERIC | _NO_SIZES and (word,) not in PHRASES


def _tidy(size: str) -> str:
    size = size.strip()
    return size.upper() if _ALPHA.fullmatch(size) else size
