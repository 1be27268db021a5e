"""A seam plan to fill in: every corner and notch listed with its number, no seam guessed."""

from __future__ import annotations

from collections.abc import Sequence

from seamwright.model import LineRole, Pattern, Piece, Shape
from seamwright.model.measure import measure
from seamwright.units import format_length

from .guess import guess
from .kinds import PiecePlan, SeamPlan
from .write import key, plan_toml, quoted

_HEAD = """\
# Seam plan for {name}: which edges are sewn together, with how much ease.
# Give the corners and notches names where you need them; "" leaves the number. Corners count
# anticlockwise from the one nearest to the upper left, notches from corner 1 on.{picture}
# Then write a [[seam]] for every two edges that are sewn together, as at the end of this file.
"""

_SEAMS = """
# One table for each seam. `sew` and `to` start at the ends that meet. A run goes from its first
# mark to its last by the way that passes fewer corners; name a mark between to choose the other.
#
# [[seam]]
# name = "side seam"
# sew  = {sew}
# to   = {to}
#
# A sleeve cap in two halves, the sleeve on the sew side, both ending at the shoulder point:
#
# [[seam]]
# name = "sleeve to armhole, back"
# sew  = "Sleeve: underarm-back > shoulder"
# to   = "Back: underarm > shoulder"              # or a list of runs over several pieces
# cap  = "back"                                   # "front" for the other half
# ease = {{ at-least = "3/8 in", at-most = "5/8 in" }}   # length of sew less length of to
# meet = ["back-lower = notch-1"]                 # notches that must meet: sew side = to side
"""


def propose(pattern: Pattern, *, units: str = "mm", picture: str | None = None) -> str:
    """A plan for the pattern, as TOML to be filled in; `load_plan` reads it as it stands.

    Names that the file gave stay; others are put where they are plain from the shape. Seams that
    the pattern has are written out, others only shown as examples in comments. `picture` names
    the file of the labelled picture. Figures stand in `units`.
    """
    shown = f"\n# The picture {_plain(picture)} shows every number." if picture else ""
    out = [_HEAD.format(name=_plain(pattern.name or "this style"), picture=shown)]
    out.append(f"units = {quoted(units)}\n")
    for piece in pattern.pieces:
        out.append(_piece(piece, pattern.base_size, units))
    out.append(_SEAMS.format(sew=_example(pattern, 0), to=_example(pattern, 1)))
    if pattern.seams:
        whole = plan_toml(SeamPlan(seams=pattern.seams), units=units)
        out.append(whole[whole.index("[[seam]]") :])
    return "\n".join(out)


def proposed(pattern: Pattern) -> dict[str, PiecePlan]:
    """The names that the proposed plan has for each piece's marks, "" where none is plain."""
    out = {}
    for piece in pattern.pieces:
        shape = lead_shape(piece, pattern.base_size)
        if shape is not None:
            corners, notches = proposed_names(shape)
            out[piece.name] = PiecePlan(corners=tuple(corners), notches=tuple(notches))
    return out


def lead_shape(piece: Piece, base_size: str) -> Shape | None:
    """The piece in the base size, else in its first; None where it has no shape at all."""
    for shape in piece.shapes:
        if shape.size == base_size:
            return shape
    return piece.shapes[0] if piece.shapes else None


def _piece(piece: Piece, base_size: str, units: str) -> str:
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
    corners, notches = proposed_names(shape)
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
