"""Which labels state a size, and the order of sizes.

"Front 10" may be the front in size 10 or the tenth front piece; "L" may be large or left. What
decides is the whole drawing: the same name with several sizes and similar shapes, or all names
with the same size.
"""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, field
from itertools import pairwise

import numpy as np

from seamwright.geometry import FloatArray

from ..items import Drawing, Named
from ..pieces.areas import overlap
from .labels import SizeWord, normal
from .size_layers import NO_SIZES, sizes_by_structure
from .size_nests import sizes_in_pieces


@dataclass(slots=True)
class Sizes:
    """The sizes that labels state.

    of      element -> its size, where its own label states one
    loose   sizes that were taken from the ends of names, for a finding
    layers  sizes that are layers with the same pieces in each, for a finding
    """

    of: dict[Named, str] = field(default_factory=dict)
    loose: list[str] = field(default_factory=list)
    layers: list[str] = field(default_factory=list)


@dataclass(slots=True)
class _Content:
    """What an element holds: how many strokes, and the box around them."""

    count: int = 0
    box: FloatArray | None = None

    def add(self, box: FloatArray) -> None:
        self.count += 1
        if self.box is None:
            self.box = np.array(box)
        else:
            self.box[:2] = np.minimum(self.box[:2], box[:2])
            self.box[2:] = np.maximum(self.box[2:], box[2:])


def decide(drawing: Drawing) -> Sizes:
    """The sizes that the labels of a drawing state."""
    sizes = Sizes()
    candidates: dict[Named, SizeWord] = {}
    seen: dict[Named, None] = {}
    parents: dict[Named, list[Named]] = {}
    around: dict[Named, Named | None] = {}
    for text in drawing.texts:
        for group in text.chain():
            seen.setdefault(group.named)
    for stroke in drawing.strokes:
        above = [g.named for g in stroke.chain()]
        for named in (*above, stroke.named):
            seen.setdefault(named)
        parents.setdefault(stroke.named, above)
        for inner, outer in pairwise((stroke.named, *reversed(above), None)):
            if inner is not None:
                around.setdefault(inner, outer)
    for named in seen:
        said = named.data("size")
        if said is not None:
            sizes.of[named] = said
            continue
        word = _size_word(named)
        if word is None:
            continue
        if word.place == "keyword":
            sizes.of[named] = word.size
        else:
            candidates[named] = word
    if candidates:
        _weigh(drawing, candidates, seen, parents, around, sizes)
    if not sizes.of:
        found = sizes_in_pieces(drawing, NO_SIZES) or {
            group.named: size for group, size in sizes_by_structure(drawing).items()
        }
        sizes.of.update(found)
        sizes.layers = list(dict.fromkeys(found.values()))
    return sizes


def _weigh(
    drawing: Drawing,
    candidates: dict[Named, SizeWord],
    seen: dict[Named, None],
    parents: dict[Named, list[Named]],
    around: dict[Named, Named | None],
    sizes: Sizes,
) -> None:
    """Takes those candidates for sizes that the drawing as a whole bears out."""
    content: dict[Named, _Content] = {}
    for stroke in drawing.strokes:
        box = stroke.curve.bbox
        for named in (*(g.named for g in stroke.chain()), stroke.named):
            if named in candidates:
                content.setdefault(named, _Content()).add(box)
    _whole(candidates, content, seen, around, sizes)
    _parts(candidates, content, seen, parents, sizes)


def _size_word(named: Named) -> SizeWord | None:
    if named.said_role is not None or named.data("piece") is not None:
        return None
    for words in (named.label, named.title):
        if words.size is not None:
            return words.size
    for words in named.classes:
        if words.size is not None and words.size.place == "keyword":
            return words.size
    if named.id.size is not None and not (named.label.tokens and not named.label.made_up):
        return named.id.size
    return None


def _whole(
    candidates: dict[Named, SizeWord],
    content: dict[Named, _Content],
    seen: Iterable[Named],
    around: dict[Named, Named | None],
    sizes: Sizes,
) -> None:
    """Labels that are nothing but a size: "10", "M"."""
    whole = {n: w.size for n, w in candidates.items() if w.place == "whole" and n in content}
    if not whole:
        return
    distinct = set(whole.values())
    if "L" in distinct and any(_is_right(n) for n in seen):
        return
    if len(distinct) == 1:
        # One size: only where something inside bears a name of its own.
        known = set(sizes.of.values())
        (only,) = distinct
        alone = only in known or not only.isdigit() or int(only) >= 4
        if alone and any(_has_name(n) for n in seen if n not in whole):
            sizes.of.update(whole)
        return
    families: dict[Named | None, list[Named]] = defaultdict(list)
    for named in whole:
        families[around.get(named)].append(named)
    several = [f for f in families.values() if len({whole[n] for n in f}) > 1]
    sets = [frozenset(whole[n] for n in f) for f in several]
    repeated = len(sets) > 1 and len(set(sets)) == 1
    strict = _counting(distinct)
    if repeated or (
        several and all(_alike([content[n] for n in f], strict=strict) for f in several)
    ):
        sizes.of.update(whole)


def _parts(
    candidates: dict[Named, SizeWord],
    content: dict[Named, _Content],
    seen: dict[Named, None],
    parents: dict[Named, list[Named]],
    sizes: Sizes,
) -> None:
    """Sizes at an end of a name: "Front 10", "M - Sleeve"."""
    by_name: dict[str, dict[str, list[Named]]] = defaultdict(lambda: defaultdict(list))
    for named, word in candidates.items():
        if word.place in ("suffix", "prefix") and named in content:
            rest = _rest(named)
            if rest:
                by_name[rest][word.size].append(named)
    if not by_name:
        return
    right = {_rest(n, drop_last=True) for n in seen if _is_right(n)}
    known = set(sizes.of.values())
    accepted: list[Named] = []
    chosen: set[str] = set(known)
    several = {r: t for r, t in by_name.items() if len(t) > 1 and r not in right}
    sets = [frozenset(t) for t in several.values()]
    for tokens in several.values():
        members = [n for group in tokens.values() for n in group]
        if known and not set(tokens) & known:
            continue
        counting = _counting(set(tokens))
        if counting and sets.count(frozenset(tokens)) < 2 and not _nested(members, content):
            continue  # "Pocket 1" and "Pocket 2", and nothing else with 1 and 2
        if _alike([content[n] for n in members], strict=counting):
            accepted += members
            chosen |= set(tokens)
    for rest, tokens in by_name.items():
        if rest in several or rest in right:
            continue
        (token,) = tokens
        if token in chosen:
            accepted += tokens[token]
    if not accepted and not known:
        # One size in all names, "Front M" and "Back M": the whole drawing is in that size.
        only = {t for tokens in by_name.values() for t in tokens}
        if len(by_name) > 1 and len(only) == 1 and not right & set(by_name):
            (token,) = only
            counted = token.isdigit() and int(token) < 4
            others = [
                n for n in seen
                if n in content_names(parents) and n not in candidates and _has_name(n)
            ]  # fmt: skip
            if not counted and not others:
                accepted = [n for tokens in by_name.values() for n in tokens[token]]
    for named in accepted:
        sizes.of[named] = candidates[named].size
    sizes.loose = sorted({candidates[n].size for n in accepted})


def content_names(parents: dict[Named, list[Named]]) -> set[Named]:
    """Elements that hold strokes, and the strokes' own."""
    return {n for own, above in parents.items() for n in (own, *above)}


def _rest(named: Named, *, drop_last: bool = False) -> str:
    for words in named.names:
        if drop_last and len(words.tokens) > 1:
            return normal(words.text[: words.tokens[-1][0]])
        if words.size is not None:
            return normal(words.name(without_role=True, without_size=True))
    return ""


def _is_right(named: Named) -> bool:
    words = named.label if named.label.tokens else named.id
    return bool(words.tokens) and words.words[-1] in ("r", "right")


def _has_name(named: Named) -> bool:
    return any(w.name(without_role=True, without_size=True) for w in named.names)


def _nested(members: list[Named], content: dict[Named, _Content]) -> bool:
    """Whether these are drawn over each other."""
    boxes = [content[n].box for n in members]
    first = boxes[0]
    return first is not None and all(b is not None and overlap(first, b) > 0.4 for b in boxes)


def _counting(tokens: set[str]) -> bool:
    """Whether these look like mere numbering: 1, 2, 3."""
    if not all(t.isdigit() for t in tokens):
        return False
    numbers = sorted(map(int, tokens))
    return numbers[0] <= 1 and numbers == list(range(numbers[0], numbers[0] + len(numbers)))


def _alike(contents: list[_Content], *, strict: bool) -> bool:
    """Whether these hold the same thing in several sizes: as many strokes, similar boxes."""
    boxes = np.array([c.box for c in contents if c.box is not None])
    span = np.maximum(boxes[:, 2:] - boxes[:, :2], 1e-9)
    ratio = span[:, 0] / span[:, 1]
    spread = float(ratio.max() / ratio.min())
    growth = float(np.max(span.max(axis=0) / span.min(axis=0)))
    counts = [c.count for c in contents]
    if strict:
        return spread < 1.12 and growth < 1.6 and min(counts) == max(counts)
    return spread < 2.0 and growth < 4.0


# -- order ----------------------------------------------------------------------------------

_LETTERS = re.compile(r"(\d+)?(X*)([SML])", re.IGNORECASE)
_NUMBER = re.compile(r"(?:[A-Za-z]{2}\s*)?(\d+(?:\.\d+)?)(?:/\d+)?\s*([A-Za-z]?)")


def ordered(sizes: Iterable[str]) -> list[str]:
    """Sizes from small to large where they are letters or numbers, else as they come."""
    found = list(dict.fromkeys(sizes))
    letters = [_letter_rank(s) for s in found]
    if all(r is not None for r in letters):
        return [s for _, s in sorted(zip(letters, found, strict=True), key=lambda p: p[0] or 0)]
    if all(len(s) == 1 and s.isalpha() for s in found):
        return sorted(found)
    numbers = [_number_rank(s) for s in found]
    if all(r is not None for r in numbers):
        return [s for _, s in sorted(zip(numbers, found, strict=True), key=lambda p: p[0] or 0)]
    return found


def _letter_rank(size: str) -> int | None:
    match = _LETTERS.fullmatch(size)
    if match is None:
        return None
    steps = int(match.group(1) or 0) or len(match.group(2))
    letter = match.group(3).upper()
    if letter == "M":
        return 0
    return -(1 + steps) if letter == "S" else 1 + steps


def _number_rank(size: str) -> float | None:
    match = _NUMBER.fullmatch(size)
    if match is None:
        return None
    zeros = match.group(1)
    return float(1 - len(zeros)) if set(zeros) == {"0"} else float(zeros)  # 00 comes before 0
