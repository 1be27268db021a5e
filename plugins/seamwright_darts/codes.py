"""The findings of the dart steps."""

from __future__ import annotations

from typing import Final

from seamwright.plugins.api import Code, Severity

_E, _W, _N = Severity.ERROR, Severity.WARNING, Severity.NOTE


def _code(code: str, severity: Severity, title: str, why: str, remedy: str) -> Code:
    return Code(code=code, severity=severity, title=title, why=why, remedy=remedy)


UNKNOWN: Final = _code(
    "dart.unknown",
    _E,
    "There is no such dart",
    "Steps on darts work on those that are marked as such.",
    "Run mark-darts first, or name one of the piece's darts.",
)
REFUSED: Final = _code(
    "dart.refused",
    _E,
    "The geometry does not allow it",
    "A dart is turned about its point by one straight cut inside the piece.",
    "Choose another place, or move the dart's point first with shift-dart-point.",
)
LEGS: Final = _code(
    "dart.legs-differ",
    _W,
    "The legs of a dart are not equally long",
    "Sewn together, one side of the edge ends above the other.",
    "Make them equal with true-dart, or redraw the dart.",
)
OUTSIDE: Final = _code(
    "dart.outside",
    _E,
    "A dart's point lies outside its piece, or a leg leaves it",
    "Such a dart cannot be sewn.",
    "Look at the drawing; mark the dart anew.",
)
WIDE: Final = _code(
    "dart.wide",
    _W,
    "A dart is wide for its length",
    "A wide dart ends in a point that stands off the cloth.",
    "Split it in two with split-dart, or turn a part of it to ease.",
)
TOO_WIDE: Final = _code(
    "dart.not-marked",
    _N,
    "What looks like a dart is wider than largest-angle",
    "It was not marked, so a walk goes into it.",
    "Raise largest-angle if it is a dart.",
)
KINK: Final = _code(
    "dart.kink",
    _W,
    "The edge turns across the folded dart",
    "Joined edges must run on without jog or point.",
    "Smooth the edge with the dart folded: fold-dart elsewhere, true-jog, move-dart back.",
)
MOUTH: Final = _code(
    "dart.mouth",
    _W,
    "The mouth has not the shape of the fold",
    "Cut so, the folded dart ends short of the seam, or stands over it.",
    "Run true-dart.",
)
CLOSED_KINK: Final = _code(
    "dart.closed-kink",
    _N,
    "The edge turns where the dart was closed",
    "The old mouth's ends meet at an angle that was sewn flat before.",
    "Smooth it with true-jog if the edge should run on.",
)
UNTRUED: Final = _code(
    "dart.untrued",
    _N,
    "A new mouth is straight",
    "The shape of a mouth depends on how the dart is pressed.",
    "Run true-dart and say how it is pressed.",
)
SHIFTED: Final = _code(
    "dart.point-shifted",
    _N,
    "A dart's point moved beside itself",
    "Legs are made equal by moving the point, so that edge and intake stay.",
    "Nothing, if the distance is small.",
)
CUT_LINE: Final = _code(
    "cut-line.dropped",
    _W,
    "The old cut line was taken away",
    "It belonged to another seam line, and somebody would have cut it.",
    "Draw it anew with add-allowance.",
)
REMADE: Final = _code(
    "cut-line.remade",
    _N,
    "The cut line was drawn anew from the allowances",
    "It belonged to another seam line. Corners are mitred.",
    "Run add-allowance where corners are to be finished in another way.",
)
MARKED: Final = _code(
    "dart.marked",
    _N,
    "A drawing of a dart is now a dart",
    "Walks step over the mouth of a dart that is known.",
    "Look at the figures: is it one?",
)
NOT_ALL: Final = _code(
    "dart.not-in-all-sizes",
    _W,
    "A dart is not in every size",
    "What is done to a dart should be done in all sizes.",
    "Look at the sizes that lack it.",
)
NAMED_POINT: Final = _code(
    "dart.point-in-plan",
    _W,
    "A seam of the plan names a dart's point",
    "The point is no place on the outline once the dart is known as one.",
    "Let the plan's run pass over the dart: its mouth is not counted.",
)
AMBIGUOUS: Final = _code(
    "dart.no-point",
    _E,
    "No drill hole tells the dart's point",
    "The point is the hole that is as far from one notch as from the other.",
    "Name other notches, or draw the dart's legs.",
)
EASED: Final = _code(
    "dart.eased",
    _N,
    "A dart's intake became fullness of the edge",
    "It must be eased or gathered between the two notches.",
    "Give the seam's ease in the plan as much more.",
)
MUCH: Final = _code(
    "dart.much-ease",
    _W,
    "Much ease for so short a stretch",
    "Cloth takes only so much ease before it pleats.",
    "Spread it over a longer reach, or gather it.",
)
GONE: Final = _code(
    "dart.corner-joined",
    _N,
    "Two corners of the mouth became one",
    "The plan named both; it now names the one that is left.",
    "Nothing.",
)

# What the plan's room says of places that are not there.
_PLACES: Final = tuple(
    _code(
        code,
        _E,
        "A place that the options name is not there",
        "Pieces, corners and notches are found by their names.",
        "Look at the names: seamwright plan FILE draws them all.",
    )
    for code in (
        "plan.piece",
        "plan.mark",
        "plan.way",
        "plan.inside",
        "spot.beyond",
        "spot.inside-edge",
        "spot.unreadable",
    )
)

_TURN: Final = (
    UNKNOWN, NOT_ALL, REFUSED, CLOSED_KINK, UNTRUED, SHIFTED, CUT_LINE, REMADE, GONE,
)  # fmt: skip
MARK: Final = (TOO_WIDE, MARKED, NOT_ALL, NAMED_POINT, AMBIGUOUS, CUT_LINE, REMADE, *_PLACES)
CHECK: Final = (LEGS, OUTSIDE, WIDE, KINK, MOUTH, *_PLACES)
MOVE: Final = (*_TURN, *_PLACES)
TRUE: Final = (UNKNOWN, NOT_ALL, REFUSED, SHIFTED, CUT_LINE, REMADE, *_PLACES)
POINT: Final = (UNKNOWN, NOT_ALL, REFUSED, SHIFTED, *_PLACES)
EASE: Final = (UNKNOWN, NOT_ALL, REFUSED, EASED, MUCH, CUT_LINE, REMADE, *_PLACES)
CUT: Final = (UNKNOWN, NOT_ALL, REFUSED, CUT_LINE, REMADE, *_PLACES)
