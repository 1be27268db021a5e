"""Names of pieces across sizes: one name in all of them, and a name for each."""

from __future__ import annotations

import re
from collections import Counter, defaultdict
from collections.abc import Callable

from ..notes import Notes, listed
from ..words.labels import normal, read_label
from .bodies import Body

_COUNTED = re.compile(r"(.*?[^\W\d_].*?)(?:[-_. ]*\d+)+", re.DOTALL)


def same_names(bodies: list[Body]) -> None:
    """One name for a piece whose ids differ from size to size, as ids must: "front-s", "front-m"
    in the layers of sizes S and M, or "Front", "Front-1", "Front-2" in three of them."""
    sizes = {b.size for b in bodies if b.size is not None}
    if len(sizes) < 2:
        return
    for stem in (_without_size, _without_count):
        _unite(bodies, sizes, stem)


def _unite(bodies: list[Body], sizes: set[str], stem: Callable[[Body], str]) -> None:
    where: dict[str, set[str | None]] = defaultdict(set)
    for body in bodies:
        where[normal(body.name)].add(body.size)
    families: dict[str, list[tuple[Body, str]]] = defaultdict(list)
    for body in bodies:
        if body.exact or body.size is None or not body.name:
            continue
        if not where[normal(body.name)] >= sizes:
            name = stem(body)
            families[normal(name)].append((body, name))
    for family in families.values():
        if len(family) > 1 and len({b.size for b, _ in family}) == len(family):
            for body, _ in family:
                body.name = family[0][1]


def _without_size(body: Body) -> str:
    """The name without the body's own size at an end."""
    words = read_label(body.name)
    size = (body.size or "").lower()
    count = len(words.tokens)
    keep = [i for i in range(count) if not (i in (0, count - 1) and words.words[i] == size)]
    return words.kept(keep) if 0 < len(keep) < count else body.name


def _without_count(body: Body) -> str:
    match = _COUNTED.fullmatch(body.name)
    return match.group(1) if match else body.name


def unique_names(bodies: list[Body], notes: Notes) -> None:
    """Names for the nameless, and different names for pieces that share one within a size.

    The nameless are numbered in document order within their size, so that the same piece gets
    the same number in every size.
    """
    numbers: Counter[str | None] = Counter()
    taken: Counter[tuple[str, str | None]] = Counter()
    doubled: set[str] = set()
    spellings: dict[str, str] = {}
    for body in bodies:
        name = body.name or body.fallback
        if not name and not body.exact:
            numbers[body.size] += 1
            name = f"Piece {numbers[body.size]}"
        if not body.exact and name not in spellings.values():
            # One spelling in all sizes; "a/b" and "a:b" within a size are two pieces.
            first = spellings.setdefault(normal(name) or name, name)
            if taken[first, body.size] and first.casefold() != name.casefold():
                spellings[name] = name
            else:
                name = first
        taken[name, body.size] += 1
        if taken[name, body.size] > 1:
            doubled.add(name)
            name = f"{name} ({taken[name, body.size]})"
        body.name = name
    if doubled:
        notes.warn(
            "piece.same-name",
            f"several pieces bear one name ({listed(sorted(doubled))}); numbered",
            hint="name each piece's layer or group",
        )
