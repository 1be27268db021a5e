"""Papers by name and by size, in mm."""

from __future__ import annotations

import re
from dataclasses import dataclass
from math import inf
from typing import Final

from seamwright.findings import did_you_mean
from seamwright.units import parse_length

#: ISO 216 (halve the long side, round down) and the North American sizes, in mm, upright.
SIZES: Final[dict[str, tuple[float, float]]] = {
    "a0": (841, 1189), "a1": (594, 841), "a2": (420, 594), "a3": (297, 420), "a4": (210, 297),
    "a5": (148, 210), "b0": (1000, 1414), "b1": (707, 1000), "b2": (500, 707), "b3": (353, 500),
    "b4": (250, 353), "letter": (215.9, 279.4), "legal": (215.9, 355.6),
    "tabloid": (279.4, 431.8), "ansi c": (431.8, 558.8), "ansi d": (558.8, 863.6),
    "ansi e": (863.6, 1117.6), "arch d": (609.6, 914.4), "arch e": (914.4, 1219.2),
}  # fmt: skip

LONGEST: Final = 14_400 * 25.4 / 72
"""mm: 14,400 units of 1/72 in, beyond which viewers disagree (PDF Reference 1.7, appendix C)."""

_SMALLEST: Final = 40.0  # mm that must be left between the margins

ROLL, SHEET = "roll", "one sheet"


@dataclass(frozen=True, slots=True, kw_only=True)
class Paper:
    """name as it is printed; width and height in mm, upright (height inf for a roll, both inf for
    one sheet of any size); turns: whether it may lie on its side."""

    name: str
    width: float
    height: float
    turns: bool = True

    @property
    def roll(self) -> bool:
        """Whether its length is free."""
        return self.height == inf and self.width < inf

    @property
    def free(self) -> bool:
        """Whether it is as large as needed both ways."""
        return self.width == inf


def paper_of(text: str) -> Paper:
    """The paper that `text` names. Raises ValueError with one sentence."""
    plain = re.sub(r"[\s_-]+", " ", text.strip().casefold())
    if plain in ("sheet", "one sheet", "fit"):
        return Paper(name="one sheet", width=inf, height=inf)
    roll = re.fullmatch(r"(?:roll (.+)|(.+?) ?roll)", plain)
    if roll:
        return _roll(roll[1] or roll[2], text)
    if "+" in plain:
        return _common([part.strip() for part in plain.split("+")], text)
    if plain in SIZES:
        width, height = SIZES[plain]
        return Paper(name=_shown(plain), width=width, height=height)
    if re.search(r"\d ?(?:mm|cm|in\.?|\"|″)? ?[x×*] ?\d", plain):
        return _measured(plain, text)
    raise ValueError(
        f'"{text}" is no paper that is known here: {did_you_mean(plain, SIZES)}; any other as '
        '"WIDTH x HEIGHT", such as "610 x 900 mm"'
    )


def fault_of_paper(text: str, margin: float, overlap: float) -> str | None:
    """What is wrong with a paper, its margins and its overlap; None where nothing is."""
    try:
        paper = paper_of(text)
    except ValueError as error:
        return str(error)
    left = min(paper.width, paper.height) - 2 * margin - overlap
    if left < _SMALLEST:
        return (
            f"paper {paper.name}: margins of {margin:g} mm and an overlap of {overlap:g} mm leave "
            f"{max(left, 0):g} mm of a page; {_SMALLEST:g} mm is the least"
        )
    return None


def _roll(width: str, text: str) -> Paper:
    if width in SIZES:
        wide = SIZES[width][0]
    else:
        wide = parse_length(width)
    _bounded((wide,), text)
    return Paper(name=f"roll, {wide:g} mm wide", width=wide, height=inf, turns=False)


def _common(names: list[str], text: str) -> Paper:
    """What several papers have in common, upright: it prints on each of them."""
    papers = [paper_of(name) for name in names if name]
    if len(papers) < 2 or any(p.height == inf for p in papers):
        raise ValueError(f'"{text}" should be two papers or more, as in "a4+letter"')
    return Paper(
        name=" and ".join(p.name for p in papers),
        width=min(p.width for p in papers),
        height=min(p.height for p in papers),
    )


def _measured(plain: str, text: str) -> Paper:
    first, second = re.split(r" ?[x×*] ?", plain, maxsplit=1)
    unit = re.search(r"[a-z\"″.]+$", second)
    if unit and not re.search(r"[a-z\"″]", first):
        first += " " + unit[0]  # "8.5 x 11 in"
    wide, high = parse_length(first), parse_length(second)
    _bounded((wide, high), text)
    return Paper(name=f"{wide:g} × {high:g} mm", width=wide, height=high, turns=wide <= high)


def _bounded(sides: tuple[float, ...], text: str) -> None:
    for side in sides:
        if not 50.0 <= side <= LONGEST:
            raise ValueError(
                f'"{text}": a side of {side:g} mm; a page may measure 50 mm to {LONGEST:g} mm, '
                "longer sheets are split"
            )


def _shown(name: str) -> str:
    return name.upper() if name[:1] in "ab" and name[1:].isdigit() else name.title()
