"""Names of the trade for corners and notches, where the seams give them away."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from ..guess import guess
from ..kinds import PiecePlan
from .emit import Piecewise
from .sides import Outline, Step

Stop = tuple[int, int]  # piece, stop


def names_of(
    parts: Sequence[tuple[Piecewise, str]], own: Sequence[Outline]
) -> dict[str, PiecePlan]:
    """Names for the marks of pieces that have none of their own, "" where nothing is plain."""
    named = _Named(own)
    for part, kind in parts:
        if part.cap is not None:
            named.cap(part, part.cap)
        elif kind == "dart":
            named.dart(part)
    plain = [(p.sew[0], p.to[0]) for p, k in parts if k in ("plain", "copy") and _single(p)]
    for _ in range(2):
        for a, b in plain:
            named.along(a, b)
            named.along(a.turned(), b.turned())
    named.centres()
    return {o.piece.name: named.plan(k, o) for k, o in enumerate(own)}


def _single(part: Piecewise) -> bool:
    return len(part.sew) == len(part.to) == 1


class _Named:
    def __init__(self, own: Sequence[Outline]) -> None:
        self.own = own
        self.name: dict[Stop, str] = {}
        self.ends: set[Stop] = set()

    def give(self, stop: Stop, name: str) -> None:
        """A name, unless the stop has one or the name is taken in its piece."""
        if stop in self.name or any(p == stop[0] and n == name for (p, _), n in self.name.items()):
            return
        self.name[stop] = name

    def cap(self, part: Piecewise, side: str) -> None:
        sleeve, body = part.sew[0], part.to
        alone = len(part.sew) == 1
        self.give((sleeve.piece, sleeve.first), f"underarm-{side}" if alone else "underarm")
        self.give((part.sew[-1].piece, part.sew[-1].last), "shoulder")
        self.give((body[0].piece, body[0].first), "underarm")
        self.give((body[-1].piece, body[-1].last), "shoulder")
        own = self.own[sleeve.piece]
        (i, j), n = sleeve.spans[0], own.n
        inner = [s % n for s in range(i + 1, j if j > i else j + n) if not own.corner[s % n]]
        inner = inner if sleeve.way > 0 else inner[::-1]
        words = [side] if len(inner) == 1 else [f"{side}-lower", f"{side}-upper"]
        if 0 < len(inner) <= 2:
            for s, word in zip(inner, words, strict=False):
                self.give((sleeve.piece, s), word)

    def dart(self, part: Piecewise) -> None:
        a = part.sew[0]
        tips = sum(n.startswith("dart-tip") for (p, _), n in self.name.items() if p == a.piece)
        self.give((a.piece, a.last), "dart-tip" if not tips else f"dart-tip-{tips + 1}")

    def along(self, a: Step, b: Step) -> None:
        """From the known names at one end of a seam to those at the other."""
        names = (self.name.get((a.piece, a.first)), self.name.get((b.piece, b.first)))
        ends = ((a.piece, a.last), (b.piece, b.last))
        if a.piece == b.piece:
            for name, end in zip(names, ends, strict=True):
                if name in ("underarm-front", "underarm-back"):
                    self.give(end, name.replace("underarm", "wrist"))
        elif names == ("shoulder", "shoulder"):
            for end in ends:
                self.give(end, "neck-shoulder")
        elif names == ("underarm", "underarm"):
            for end in ends:
                self.give(end, "hem-side")

    def centres(self) -> None:
        """The corner next to the neck point, away from the shoulder, is the neck's centre; next
        to the hem's side, away from the underarm, the hem's centre."""
        for word, beside, new in (
            ("neck-shoulder", "shoulder", "neck-centre"),
            ("hem-side", "underarm", "hem-centre"),
        ):
            for (piece, stop), name in list(self.name.items()):
                if name != word:
                    continue
                own = self.own[piece]
                corners = [s for s in range(own.n) if own.corner[s]]
                if stop not in corners or len(corners) < 4:
                    continue
                k = corners.index(stop)
                ways = (corners[k - 1], corners[(k + 1) % len(corners)])
                for one, other in (ways, ways[::-1]):
                    if self.name.get((piece, one)) == beside:
                        self.give((piece, other), new)

    def plan(self, number: int, own: Outline) -> PiecePlan:
        """The names of one piece's marks, its own first, then what was found, then guesses."""
        shape = own.shape
        corners, notches = [""] * len(shape.corners), [""] * len(shape.notches)
        for (piece, stop), name in self.name.items():
            if piece == number:
                (corners if own.corner[stop] else notches)[own.marks[stop]] = name
        if not any(corners) and not any(notches):
            plain = guess(shape)
            corners, notches = list(plain.corners), list(plain.notches)
        corners = _own([c.name for c in shape.corners], "corner", corners)
        notches = _own([n.name for n in shape.notches], "notch", notches)
        # A corner and a notch may not share a name that a run uses.
        notches = ["" if n in corners else n for n in notches]
        return PiecePlan(corners=tuple(corners), notches=tuple(notches))


def _own(marks: Sequence[str], word: str, found: list[str]) -> list[str]:
    """The names that a file gave, where it gave any of the kind; else those that were found."""
    given = ["" if m == f"{word}-{k}" else m for k, m in enumerate(marks, start=1)]
    return given if any(given) else found


def renaming(names: Mapping[str, PiecePlan], own: Sequence[Outline]) -> dict[tuple[str, str], str]:
    """(piece, mark as the pattern has it) -> its name in the plan."""
    out: dict[tuple[str, str], str] = {}
    for outline in own:
        plan = names[outline.piece.name]
        shape = outline.shape
        marks = [
            *zip([n.name for n in shape.notches], plan.notches or (), strict=True),
            *zip([c.name for c in shape.corners], plan.corners or (), strict=True),
        ]
        for mark, name in marks:
            if name:
                out[outline.piece.name, mark] = name
    return out
