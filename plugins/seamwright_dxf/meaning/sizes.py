"""Which piece in which size a block is, and the order of the sizes."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, field

from seamwright.plugins.api import Finding, Severity

_LETTERS = ("XXXS", "XXS", "XS", "S", "M", "L", "XL", "XXL", "XXXL", "XXXXL", "XXXXXL")
_LETTER_SIZE = re.compile(r"(\d{0,2}X{0,5}[SML]|\d{1,2}X{1,5}L?|X{0,5}[SL]|M)\Z", re.I)
_NUMBER_SIZE = re.compile(r"\d{1,3}(?:[.,/]\d{1,3})?[A-Z]{0,2}\Z", re.I)
_SPLIT = re.compile(r"[_\-. ]+")
_WORDS = {"PETITE", "TALL", "REGULAR", "SHORT", "LONG", "OS", "ONE", "BASE", "ALL"}


@dataclass(slots=True)
class Labels:
    """What is known of one group: the texts' piece name and size, the block's name."""

    name: str = ""
    size: str = ""
    block: str = ""


@dataclass(slots=True)
class Sorted:
    """Names (G,) and sizes (G,) of the groups, the sizes in order, the base size."""

    names: list[str]
    sizes: list[str]
    order: tuple[str, ...]
    base: str
    findings: list[Finding] = field(default_factory=list)


def looks_like_size(text: str) -> bool:
    """Whether a word is a usual size name: XS ... XXL, 2XL, 38, 10P, 12.5."""
    word = text.strip().upper()
    return bool(_LETTER_SIZE.match(word) or _NUMBER_SIZE.match(word)) or word in _WORDS


def in_order(sizes: Sequence[str], known: Sequence[str] = ()) -> tuple[str, ...]:
    """Sizes smallest first: as a rule table lists them, else by number or letter, else as they
    came."""
    found = list(dict.fromkeys(sizes))
    if known and all(s in known for s in found):
        return tuple(s for s in known if s in found)
    keys = [_rank(s) for s in found]
    if all(k is not None for k in keys) and len({k[0] for k in keys if k}) == 1:
        return tuple(s for _, s in sorted(zip(keys, found, strict=True)))
    return tuple(found)


def _rank(size: str) -> tuple[str, float, str] | None:
    word = size.strip().upper()
    number = re.match(r"(\d+(?:[.,]\d+)?)(?:[/ ]\d+)?([A-Z]{0,2})\Z", word)
    if number and not re.match(r"\d+X", word):
        return "number", float(number[1].replace(",", ".")), number[2]
    many = re.match(r"(\d+)X([SL]?)\Z", word)
    if many:
        word = "X" * int(many[1]) + (many[2] or "L")
    plain = re.match(r"(X*)([SML])\Z", word)
    if plain:
        steps = len(plain[1])
        value = {"S": -1 - steps, "M": 0, "L": 1 + steps}[plain[2]]
        return "letter", float(value), ""
    return None


def sort_out(
    labels: Sequence[Labels], *, sample: str, known: Sequence[str], areas: Sequence[float]
) -> Sorted:
    """Piece and size of every group.

    Texts speak first. Where they are silent the block's name is split (NAME_SIZE, NAME-SIZE) if
    its endings repeat over several pieces, are sizes that the file names elsewhere, or look like
    sizes throughout. What cannot be told is numbered and said.
    """
    findings: list[Finding] = []
    names = [entry.name for entry in labels]
    sizes = [entry.size for entry in labels]
    _from_blocks(labels, names, sizes, sample, known)
    for i, entry in enumerate(labels):
        if not names[i]:
            names[i] = entry.block or f"piece-{i + 1}"
    _fill_sizes(names, sizes, sample, areas, findings)
    _part_twins(names, sizes, findings)
    order = in_order(sizes, known)
    return Sorted(names, sizes, order, _base(order, sample, findings), findings)


def _from_blocks(
    labels: Sequence[Labels], names: list[str], sizes: list[str], sample: str, known: Sequence[str]
) -> None:
    for i, entry in enumerate(labels):
        # A text that names the piece leaves the block's ending to be the size.
        if names[i] and not sizes[i] and entry.block:
            ending = _ending_after(entry.block, names[i])
            if ending:
                sizes[i] = ending
    open_ones = [i for i, e in enumerate(labels) if not names[i] and e.block]
    cuts = {i: _cut(labels[i].block) for i in open_ones}
    heads = {i: c for i, c in cuts.items() if c is not None}
    known_sizes = {s.upper() for s in (*known, *([sample] if sample else []))}
    tails = Counter(c[1].upper() for c in heads.values())
    groups = Counter(c[0].upper() for c in heads.values())
    all_sizes = bool(heads) and all(looks_like_size(c[1]) for c in heads.values())
    for i, (head, tail) in heads.items():
        if sizes[i]:
            names[i] = head if tail.upper() == sizes[i].upper() else ""
            continue
        repeated = tails[tail.upper()] > 1 and groups[head.upper()] > 1
        if (
            tail.upper() in known_sizes
            or repeated
            or (
                looks_like_size(tail)
                and (groups[head.upper()] > 1 or (all_sizes and len(heads) > 1))
            )
        ):
            names[i], sizes[i] = head, tail


def _ending_after(block: str, name: str) -> str:
    """The rest of a block's name after the piece's, however its blanks were replaced."""

    def plain(text: str) -> str:
        return re.sub(r"[^A-Z0-9]", "", text.upper())

    wanted = plain(name)
    for match in _SPLIT.finditer(block):
        if plain(block[: match.start()]) == wanted and wanted:
            return block[match.end() :]
    return ""


def _cut(block: str) -> tuple[str, str] | None:
    """NAME and SIZE of a block name, cut at its last separator."""
    matches = list(_SPLIT.finditer(block))
    for match in reversed(matches):
        head, tail = block[: match.start()], block[match.end() :]
        if head and tail:
            return head, tail
    return None


def _fill_sizes(
    names: list[str], sizes: list[str], sample: str, areas: Sequence[float],
    findings: list[Finding],
) -> None:  # fmt: skip
    """Give a size to groups that have none."""
    silent = [i for i, s in enumerate(sizes) if not s]
    if not silent:
        return
    count = Counter(names[i] for i in silent)
    single = all(n == 1 for n in count.values())
    if single:
        stated = {s for s in sizes if s}
        fill = sample or (next(iter(stated)) if len(stated) == 1 else "") or "one size"
        for i in silent:
            sizes[i] = fill
        if not sample and fill == "one size":
            findings.append(
                Finding(
                    code="size.unknown",
                    severity=Severity.NOTE,
                    message='the file names no size; its only size is called "one size"',
                    hint="say base-size = ...",
                )
            )
        return
    by_name: dict[str, list[int]] = {}
    for i in silent:
        by_name.setdefault(names[i], []).append(i)
    for where in by_name.values():
        for rank, i in enumerate(sorted(where, key=lambda k: areas[k]), start=1):
            sizes[i] = f"size-{rank}"
    findings.append(
        Finding(
            code="size.unknown",
            severity=Severity.WARNING,
            message=f"{len(silent)} blocks share piece names and state no size; they are counted "
            "size-1, size-2, ... by area",
            hint="the sender's blocks should be named NAME_SIZE or hold a text Size:",
        )
    )


def _part_twins(names: list[str], sizes: list[str], findings: list[Finding]) -> None:
    """Two groups with one name in one size become two pieces."""
    seen: Counter[tuple[str, str]] = Counter()
    taken = set(names)
    twins: dict[tuple[str, int], str] = {}
    for i, key in enumerate(zip(list(names), list(sizes), strict=True)):
        seen[key] += 1
        number = seen[key]
        if number == 1:
            continue
        name = twins.get((key[0], number))
        if name is None:
            name, k = f"{key[0]}-{number}", number
            while name in taken:
                k += 1
                name = f"{key[0]}-{k}"
            taken.add(name)
            twins[(key[0], number)] = name
            findings.append(
                Finding(
                    code="name.twice",
                    severity=Severity.WARNING,
                    message=f'two pieces are called "{key[0]}" in size {key[1]}; the second is '
                    f'called "{name}"',
                    piece=name,
                    size=key[1],
                    repaired=True,
                    hint="rename one of them at the source",
                )
            )
        names[i] = name


def _base(order: Sequence[str], sample: str, findings: list[Finding]) -> str:
    if not order:
        return ""
    if sample in order:
        return sample
    alike = [s for s in order if s.upper() == sample.upper()]
    if alike:
        return alike[0]
    chosen = order[(len(order) - 1) // 2]
    if len(order) > 1 or sample:
        findings.append(
            Finding(
                code="size.base-unknown",
                severity=Severity.WARNING,
                message=(
                    f'the sample size "{sample}" is not among the sizes drawn'
                    if sample
                    else "the file does not say which size is the sample size"
                )
                + f"; {chosen} is taken",
                size=chosen,
                hint="say base-size = ...",
            )
        )
    return chosen
