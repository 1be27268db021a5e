"""Why a seam is proposed, in plain words; and what it is called."""

from __future__ import annotations

from seamwright.model.seam import Seam

from .matching import Candidate


def reasons(
    one: Candidate, ends: tuple[float, float], sizes: int, note: str, doubtful: bool = False
) -> tuple[str, ...]:
    """What speaks for a candidate, the weightiest first."""
    f = one.facts
    out = []
    if one.kind == "copy":
        out.append("an edge without a partner that fits its own mirrored copy")
    elif one.kind == "dart":
        out.append("two legs of one dart")
    elif one.kind == "cap":
        out.append(f"a crown against a hollow, {f['apart']:.0f} mm of ease in all")
    elif one.kind == "gathers":
        out.append(f"longer by {f['apart']:.0f} mm, to be gathered")
    elif abs(f["apart"]) < 0.3:
        out.append("as long as one another")
    else:
        out.append(f"{abs(f['apart']):.1f} mm apart in length")
    if sizes > 1 and one.kind in ("plain", "cap", "gathers") and f["growth"] > 2.0:
        if f["drift"] < 0.1 * f["growth"] + 0.5:
            out.append(f"grow together by {f['growth']:.0f} mm over {sizes} sizes")
        else:
            out.append(f"grow apart by {f['drift']:.1f} mm over {sizes} sizes")
    if f["met"]:
        out.append(f"{f['met']:.0f} notch{'es' if f['met'] > 1 else ''} meet")
    if f["unmet"]:
        out.append(f"{f['unmet']:.0f} notch{'es' if f['unmet'] > 1 else ''} without a partner")
    if len(one.to) > 1:
        out.append(f"{len(one.to)} edges in a row whose neighbours are sewn")
    if sum(ends) > 1.0:
        out.append("what lies beyond its ends is sewn together too")
    elif min(ends) < -0.5:
        out.append("what lies beyond one end does not go on")
    elif f["corner"] > 1.1 and one.kind == "plain":
        out.append("the neighbours run on smoothly")
    if doubtful:
        out.append("which way round is in doubt")
    return (*out, note) if note else tuple(out)


def seam_name(seam: Seam, kind: str, taken: set[str]) -> str:
    """A plain name that no other seam of the proposal has; it is added to `taken`."""
    one, other = seam.sew, seam.to
    marks = (*one.parts[0].marks, *one.parts[-1].marks)
    if seam.cap is not None:
        name = f"{one.pieces[0]} to armhole, {seam.cap}"
    elif kind == "dart":
        name = f"{one.pieces[0]}, dart"
    elif kind == "copy":
        name = f"{one.pieces[0]}, centre"
    elif one.pieces == other.pieces:
        name = (
            f"{one.pieces[0]}, underarm" if "underarm" in marks[0] else f"{one.pieces[0]}, closed"
        )
    else:
        word = ""
        if {"shoulder", "neck-shoulder"} <= set(marks):
            word = ", shoulder"
        elif "underarm" in marks and kind == "plain":
            word = ", side"
        name = f"{' and '.join(one.pieces)} to {' and '.join(other.pieces)}{word}"
    plain, n = name, 2
    while name in taken:
        name, n = f"{plain} ({n})", n + 1
    taken.add(name)
    return name
