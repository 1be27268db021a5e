"""A proposed seam plan as a file: marks with their numbers and names, seams with how sure they are
and why, and what stays free."""

from __future__ import annotations

import re
import textwrap
from collections.abc import Mapping, Sequence

from seamwright.findings import Finding
from seamwright.model import LineRole, Pattern, Piece, Shape
from seamwright.model.measure import measure
from seamwright.units import format_length

from .guess import guess
from .kinds import PiecePlan
from .proposal import Level, Proposal, ProposedSeam, propose_seams
from .proposal.seen import seen_toml
from .proposal.updating import confirmed_text, merged, refitted
from .write import key, quoted, seam_lines

_HEAD = """\
# Seam plan for {name}: which edges are sewn together, with how much ease.
# Corners and notches have names where the shape gives them away; "" leaves the number. Corners
# count anticlockwise from the one nearest to the upper left, notches from corner 1 on.{picture}
"""

_SEAMS = """
# The seams{told}
# `sew` and `to` start at the ends that meet. A run goes from its first mark to its last by the
# way that passes fewer corners; a mark between the two chooses the other.
# sure:   right in 97 of 100 cases or more; `check --plan auto` uses these alone
# likely: right in more than half of the cases: look at the picture before you trust it
# unsure: written as a comment, with what else it might be; take the # away to use it
# Whatever stands here without # counts as yes: `seamwright plan FILE --update` keeps it as it is.
"""

_BY_HAND = """
# A seam written by hand looks like this:
#
# [[seam]]
# name = "side seam"
# sew  = {sew}
# to   = {to}
# ease = {{ at-least = "3/8 in", at-most = "5/8 in" }}   # length of sew less length of to
#
# The halves of a sleeve cap have the sleeve on the sew side, end at the shoulder point, and say
# cap = "back" or cap = "front"; `to` may be a list of runs over several pieces.
"""


def propose(
    pattern: Pattern,
    *,
    units: str = "mm",
    picture: str | None = None,
    proposal: Proposal | None = None,
) -> str:
    """A plan for the pattern, as TOML; `load_plan` reads it as it stands.

    Names that the file gave stay; others are put where they are plain. Seams that the pattern has
    are written out first; `proposal` (made here where none is given) follows: sure and likely
    seams as tables, unsure ones as comments. `picture` names the file of the labelled picture.
    Figures stand in `units`.
    """
    found = propose_seams(pattern, keep=pattern.seams) if proposal is None else proposal
    shown = f"\n# The picture {_plain(picture)} shows every number." if picture else ""
    out = [_HEAD.format(name=_plain(pattern.name or "this style"), picture=shown)]
    out.append(f"units = {quoted(units)}\n")
    for piece in pattern.pieces:
        out.append(piece_table(piece, pattern.base_size, units, found.names))
    told = f"\n# as seen in {_plain(picture)}, by their numbers there." if picture else "."
    out.append(_SEAMS.format(told=told))
    for seam in pattern.seams:
        out += ["\n".join(seam_lines(seam, units)), ""]
    out += [seam_text(one, units, n) for n, one in enumerate(found.seams, start=1)]
    out.append(free_text(found))
    out.append(_BY_HAND.format(sew=_example(pattern, 0), to=_example(pattern, 1)))
    out.append(seen_toml(pattern))
    return "\n".join(out)


def updated(
    pattern: Pattern,
    text: str,
    *,
    units: str = "mm",
    picture: str | None = None,
    file: str | None = None,
) -> tuple[str, Proposal, Pattern, tuple[Finding, ...]]:
    """An older plan's text brought up to date with the pattern: its seams stay word for word, its
    names are found again, new pieces, marks and seams are added.

    Returns the new text, what was proposed, the pattern with names and standing seams, and what
    is to be said. Raises SeamwrightError for a text that is no plan.
    """  # fmt: skip
    old = refitted(pattern, text, file)
    found = propose_seams(old.pattern, keep=old.pattern.seams, taken=old.seams)
    names = merged(old.names, found.names)
    shown = f"\n# The picture {_plain(picture)} shows every number." if picture else ""
    out = [_HEAD.format(name=_plain(pattern.name or "this style"), picture=shown)]
    out.append(f"units = {quoted(_units(text, units))}\n")
    for piece in pattern.pieces:
        out.append(piece_table(piece, pattern.base_size, units, names))
    told = f"\n# as seen in {_plain(picture)}, by their numbers there." if picture else "."
    out.append(_SEAMS.format(told=told))
    out += ["# Kept as they stood:", "", confirmed_text(text)]
    if found.seams:
        out += ["# New:", ""]
    out += [seam_text(one, units, n) for n, one in enumerate(found.seams, start=1)]
    out.append(free_text(found))
    out.append(_BY_HAND.format(sew=_example(pattern, 0), to=_example(pattern, 1)))
    out.append(seen_toml(pattern))
    whole = "\n".join(out)
    proposal = Proposal(seams=found.seams, free=found.free, names=names)
    return whole, proposal, old.pattern, old.findings


def _units(text: str, units: str) -> str:
    """The units of an older plan: bare numbers in its seams count in them."""
    found = re.search(r'^units\s*=\s*"([a-z]+)"', text, re.MULTILINE)
    return found[1] if found else "mm" if "[[seam]]" in text else units


def seam_text(one: ProposedSeam, units: str, number: int) -> str:
    """One proposed seam with its comment; an unsure one as a comment altogether."""
    share = min(99, max(1, round(100 * one.confidence)))
    told = _comment(f"{number}: {one.level} ({share} in 100): {'; '.join(map(_plain, one.why))}")
    lines = seam_lines(one.seam, units)
    if one.level is not Level.SURE:
        for rival in one.rivals:
            told += _comment(f"or else: {_plain(rival)}")
    if one.level is Level.UNSURE:
        lines = [f"# {line}" for text in lines for line in text.split("\n")]
    return "\n".join([*told, *lines, ""])


def _comment(text: str) -> list[str]:
    return textwrap.wrap(
        text, 97, initial_indent="# ", subsequent_indent="#    ", break_long_words=False,
        break_on_hyphens=False,
    )  # fmt: skip


def free_text(found: Proposal) -> str:
    """Edges without a seam, as comments."""
    words = {
        "fold": "On the fold:",
        "free": "Nothing is sewn to these (hems, openings, or seams that were not seen):",
        "unexplained": "Not explained: these look as if something were sewn to them:",
    }
    out = []
    for why, head in words.items():
        edges = [_plain(str(e.edge)) for e in found.free if e.why == why]
        if edges:
            out += [f"# {head}", *[f"#   {edge}" for edge in edges]]
    return "\n".join([*out, ""])


def proposed(pattern: Pattern, proposal: Proposal | None = None) -> dict[str, PiecePlan]:
    """The names that the proposed plan has for each piece's marks, "" where none is plain."""
    found = propose_seams(pattern, keep=pattern.seams) if proposal is None else proposal
    out = {}
    for piece in pattern.pieces:
        shape = lead_shape(piece, pattern.base_size)
        if shape is not None:
            corners, notches = marks_named(piece, shape, found.names)
            out[piece.name] = PiecePlan(corners=tuple(corners), notches=tuple(notches))
    return out


def marks_named(
    piece: Piece, shape: Shape, names: Mapping[str, PiecePlan]
) -> tuple[list[str], list[str]]:
    """The proposed names of a piece's marks in the shape that leads."""
    plan = names.get(piece.name)
    if plan is None:
        return proposed_names(shape)
    return list(plan.corners or ()), list(plan.notches or ())


def lead_shape(piece: Piece, base_size: str) -> Shape | None:
    """The piece in the base size, else in its first; None where it has no shape at all."""
    for shape in piece.shapes:
        if shape.size == base_size:
            return shape
    return piece.shapes[0] if piece.shapes else None


def piece_table(piece: Piece, base_size: str, units: str, names: Mapping[str, PiecePlan]) -> str:
    """The table of one piece's marks, each with its number and its edge's length."""
    shape = lead_shape(piece, base_size)
    out = [f"[pieces.{key(piece.name)}]"]
    if shape is None:
        return "\n".join([*out, "# this piece has no outline", ""])
    for other in piece.shapes:
        if len(other.corners) != len(shape.corners):
            out.append(
                f"# In size {_plain(other.size)} this piece has {len(other.corners)} corners, not "
                f"{len(shape.corners)}: look whether that is meant."
            )
    corners, notches = marks_named(piece, shape, names)
    if shape.corners:
        out += ["corners = [", *_lines(corners, _corner_notes(shape, units)), "]"]
    else:
        out.append("# no corners: the outline is smooth all round")
    if shape.notches:
        out += ["notches = [", *_lines(notches, _notch_notes(shape, units)), "]"]
    return "\n".join([*out, ""])


def proposed_names(shape: Shape) -> tuple[list[str], list[str]]:
    """Names for the corners and notches of a shape: its own, else plain guesses, else ""."""
    plain = guess(shape)
    own_corners = _own([c.name for c in shape.corners], "corner")
    own_notches = _own([n.name for n in shape.notches], "notch")
    return _merged(own_corners, plain.corners), _merged(own_notches, plain.notches)


def _own(names: Sequence[str], what: str) -> list[str]:
    return [
        "" if name == f"{what}-{number}" else name for number, name in enumerate(names, start=1)
    ]


def _merged(own: list[str], guessed: Sequence[str]) -> list[str]:
    """The file's own names; guesses only where the file names nothing of the kind."""
    return own if any(own) else list(guessed)


def _lines(names: Sequence[str], notes: Sequence[str]) -> list[str]:
    texts = [f"    {quoted(name)}," for name in names]
    width = max(len(text) for text in texts)
    return [f"{text:<{width}}  # {note}" for text, note in zip(texts, notes, strict=True)]


def _corner_notes(shape: Shape, units: str) -> list[str]:
    count = len(shape.corners)
    return [
        f"corner-{i + 1}; {format_length(edge.length, units)} to corner-{(i + 1) % count + 1}"
        for i, edge in enumerate(shape.edges)
    ]


def _notch_notes(shape: Shape, units: str) -> list[str]:
    own = measure([shape])[0]
    notes = []
    for number, (notch, at) in enumerate(zip(shape.notches, own.notches, strict=True), start=1):
        note = f"notch-{number}; "
        if len(shape.corners):
            before = int((own.corners <= at + 1e-6).sum()) - 1
            along = float(at) - float(own.corners[before])
            note += f"{format_length(max(along, 0.0), units)} after corner-{before + 1}"
        else:
            note += f"{format_length(float(at), units)} along the outline"
        if notch.line is LineRole.CUT:
            note += " (on the cut line)"
        notes.append(note)
    return notes


def _example(pattern: Pattern, which: int) -> str:
    names = [piece.name for piece in pattern.pieces] or ["Front", "Back"]
    name = names[which % len(names)]
    return quoted(f"{name}: corner-1 > corner-2")


def _plain(text: str) -> str:
    """A text that cannot end a comment's line."""
    return " ".join(text.split())
