"""Where to fold, in words: the same sentences for the altered file's record and for paper only.

Lengths come in mm and are said in the reader's unit. Nothing here decides anything; the
arithmetic is in `tucks`.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Literal

from seamwright.units import format_length

from .cloth import Side
from .tucks import INCH, Folding, Tuck

Manner = Literal["tuck", "slash"]

CAUTIONS = (
    "Test the altered sleeve in cheap cloth before you cut the good one.",
    "Let the arm decide: a sleeve that is tight across the upper arm is a matter for the "
    "fitter, not for the paper.",
)


def about(mm: float, unit: str) -> str:
    """A place or a depth as a tape tells it: to 1/16 in, to 1 mm, to 0.1 cm. (A width is said
    exactly instead, by `format_length`: it decides the ease, where the place hardly matters.)"""
    step = INCH / 16 if unit == "in" else 1.0
    return format_length(round(mm / step) * step, unit)


def fold_lines(
    side: Side, tucks: Sequence[Tuck], unit: str, *, depth: float, manner: Manner = "tuck"
) -> list[str]:
    """One sentence a tuck, from the shoulder point down: where along the edge and how wide."""
    name = side.capitalize()
    if manner == "slash":
        return [
            f"{name}: {about(t.at, unit)} down the cap from the shoulder point, measured "
            f"along the seam line, cut inward to the hinge and overlap "
            f"{format_length(t.width, unit)} at the edge."
            for t in tucks
        ]
    return [
        f"{name}: {about(t.at, unit)} down the cap from the shoulder point, measured along "
        f"the seam line, fold out {format_length(t.width, unit)} at the edge, to nothing "
        f"{about(depth, unit)} inside."
        for t in tucks
    ]


def folds_in_short(
    tucks: Mapping[Side, Sequence[Tuck]], unit: str, *, depth: float, manner: Manner = "tuck"
) -> str:
    """All folds in one sentence, for a line in a list of findings. "" without folds."""
    said = []
    for side, places in tucks.items():
        if places:
            where = [about(t.at, unit) for t in places]
            listed = where[0] if len(where) == 1 else f"{', '.join(where[:-1])} and {where[-1]}"
            said.append(f"{side} {format_length(places[0].width, unit)} at {listed}")
    if not said:
        return ""
    if manner == "slash":
        return f"Cut and overlap, from the shoulder point down the cap: {'; '.join(said)}."
    return (
        f"Fold out, from the shoulder point down the cap: {'; '.join(said)}; to nothing "
        f"{about(depth, unit)} inside."
    )


def how_to(manner: Manner = "tuck") -> tuple[str, ...]:
    """The steps on paper, in order, after the places are marked."""
    if manner == "slash":
        first = (
            "Mark each place on a copy of the sleeve. Cut from the edge to a hinge in the middle "
            "of the cap, leaving a thread of paper uncut there.",
            "Overlap the cut edges by the width given and tape them.",
        )
    else:
        first = (
            "Mark each place on a copy of the sleeve. Pinch the paper there so that the width "
            "given goes out at the seam line, half on each side of the mark, and let the fold run "
            "to nothing inside. It must end above the bicep line.",
            "Lay the fold flat and tape it at the edge.",
        )
    return (
        *first,
        "Press the bubble in the middle of the cap flat with the hand. The bicep line stays as "
        "wide as it was.",
        "Draw round the outside on fresh paper, and true the line so that it runs on without a "
        "jog.",
        "Walk the new cap along the armhole, back and front, before you cut.",
    )


def what_else_helps() -> str:
    """What to do where folding cannot take out enough; each changes something else."""
    return (
        "What else helps: lower the cap (its height changes), let out the armhole (the bodice "
        "changes), or narrow the sleeve at the bicep line, if the arm allows it. A cloth that "
        "takes more ease helps too."
    )


def why_short(folding: Folding, run: float, unit: str) -> str:
    """How near the tucks came and what kept them from more. "" where they take all."""
    if not folding.why:
        return ""
    need, taken = format_length(folding.need, unit), format_length(folding.taken, unit)
    if folding.why == "share":
        return (
            f"{need} is more than 12 % of that half's {format_length(run, unit)}; folding takes "
            f"out {taken} at most before the cap changes its character"
        )
    if not folding.tucks:
        return "there is no room for a tuck between the shoulder point and the notch"
    return (
        f"there is room for {count_of(folding.tucks)} only above the notch; together they take "
        f"out {taken} of the {need}"
    )


def count_of(tucks: Iterable[Tuck]) -> str:
    """ "1 tuck", "2 tucks"."""
    n = len(tuple(tucks))
    return f"{n} tuck" if n == 1 else f"{n} tucks"
