"""What our own writer says beside what it draws, as the facts that recognition goes by."""

from __future__ import annotations

import json
import math
from typing import Any, Final

from seamwright.model.recognise import IDENTITY, Group, Lettering, Matrix, Named, Spot
from seamwright.model.recognise.marks.checks import station_text
from seamwright.numbers import fixed

from .items import Tag
from .tokens import text_string

_ROLES: Final = {
    "CutLine": "cut", "SeamLine": "seam", "Notch": "notch", "GrainLine": "grain",
    "InternalLine": "internal", "Dart": "dart", "DrillHole": "drill",
}  # fmt: skip


def piece_tag(tags: tuple[Tag, ...]) -> Tag | None:
    """The piece that a drawn thing belongs to, where our own writer says so."""
    return next((t for t in reversed(tags) if t.name == "Piece" and "Name" in t.facts), None)


def is_artifact(tags: tuple[Tag, ...]) -> bool:
    """Whether the thing is no part of the pattern."""
    return any(t.name == "Artifact" for t in tags)


def role_tag(tags: tuple[Tag, ...]) -> Tag | None:
    """What kind of line of the piece it is."""
    tag = tags[-1] if tags else None
    return tag if tag is not None and tag.name in _ROLES else None


def back_from_place(piece: Tag) -> Matrix:
    """From the sheet to the pattern: the placing p' = R p + (dx, dy), undone."""
    placed = _numbers(piece.facts.get("Placed"))
    if len(placed) != 3:
        return IDENTITY
    dx, dy, degrees = placed
    quarter = degrees / 90.0
    if quarter == int(quarter):  # exact, so that nothing moves in the last digits
        c, s = ((1.0, 0.0), (0.0, 1.0), (-1.0, 0.0), (0.0, -1.0))[int(quarter) % 4]
    else:
        c, s = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
    return (c, -s, s, c, -(c * dx + s * dy), s * dx - c * dy)


def piece_group(piece: Tag, apart: float) -> Group:
    """The container that is the piece in its size, moved aside by `apart` mm for the time being."""
    facts = piece.facts
    said = {"piece": _text(facts.get("Name")), "size": _text(facts.get("Size"))}
    quantity = _numbers(facts.get("Quantity"))
    said["quantity"] = f"{int(quantity[0])} {int(quantity[1])}" if len(quantity) == 2 else "1 0"
    for name in ("Material", "Category", "Source"):
        if name in facts:
            said[name.lower()] = _text(facts[name])
    said["moved"] = f"{apart:.1f} 0"
    if facts.get("Half") is True:
        said["half"] = "true"
    allowances = _numbers(facts.get("Allowances"))
    if allowances:
        said["allowances"] = " ".join(repr(v) for v in allowances)
    return Group(Named(Spot(said["piece"]), facts=said), None)


def line_named(tag: Tag) -> Named:
    """A line's role and figures."""
    facts = tag.facts
    said = {"role": _ROLES[tag.name]}
    for key, name in (
        ("Name", "name"), ("Layer", "layer"), ("Kind", "kind"), ("Type", "type"),
        ("Line", "line"),
    ):  # fmt: skip
        if key in facts:
            said[name] = _text(facts[key])
    if "line" in said:
        said["line"] = said["line"].lower()
    for key, name in (
        ("Depth", "depth"), ("Width", "width"), ("Angle", "angle"), ("Diameter", "diameter"),
    ):  # fmt: skip
        if isinstance(facts.get(key), float):
            said[name] = repr(facts[key])
    if isinstance(facts.get("Class"), float):
        said["category"] = str(int(facts["Class"]))
    for key, name in (("At", "station"), ("Left", "left"), ("Right", "right")):
        place = _numbers(facts.get(key))
        if len(place) == 2 and tag.name != "DrillHole" and 0 <= place[0] < 1e9:
            said[name] = station_text(int(place[0]), min(max(place[1], 0.0), 1.0))
    corners = facts.get("Corners")
    if isinstance(corners, list):
        rows = [
            [_text(name), int(joint), 0.0, 0.0]
            for joint, name in zip(corners[0::2], corners[1::2], strict=False)
            if isinstance(joint, float)
        ]
        said["corners"] = json.dumps(rows)
    return Named(Spot(said.get("name", "")), facts=said, untouched=True)


def lettering(tag: Tag, group: Group, order: int, apart: float) -> Lettering | None:
    """A text of the pattern, from what is said of it."""
    facts = tag.facts
    at, words = _numbers(facts.get("At")), _text(facts.get("Words"))
    if len(at) != 2 or "Words" not in facts:
        return None
    turn = _number(facts.get("Turn"), 0.0)
    said = {"text-role": _text(facts.get("Role")) or "annotation", "rotation": fixed(turn, 9)}
    if "Layer" in facts:
        said["layer"] = _text(facts["Layer"])
    place = (at[0] + apart, at[1])
    named = Named(Spot(""), facts=said)
    height = _number(facts.get("Height"), 5.0)
    return Lettering(words, place, place, height, turn, named, group, order)


def _text(value: Any) -> str:
    return "" if value is None else text_string(value)


def _number(value: Any, default: float) -> float:
    good = isinstance(value, float) and math.isfinite(value) and abs(value) < 1e9
    return value if good else default


def _numbers(value: Any) -> tuple[float, ...]:
    if not isinstance(value, list):
        return ()
    good = all(isinstance(v, float) and math.isfinite(v) and abs(v) < 1e9 for v in value)
    return tuple(value) if good else ()
