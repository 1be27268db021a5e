"""What surgery on an outline shall leave alone: names, corner 1, allowances."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import replace
from typing import Literal, NamedTuple

from seamwright.geometry import GeometryError, Station
from seamwright.geometry.outline_offset import MITRE, CornerRule

from ..marks import Corner
from ..numbering import restart
from ..shape import Shape
from .allowance import make_cut_line, make_cut_lines
from .finish import corner_finishes

_BREAK = 0.5  # degrees; an edge that turns more at a joint has no smooth parallel there
_HELD = "\0"  # before a name while surgery goes on: no file and no plan has such a name

CutLineFate = Literal["none", "remade", "dropped"]


class Renewed(NamedTuple):
    """A shape, and what became of its cut line: "none" (there was none), "remade" from the
    allowances of the edges, or "dropped".

    mitred  names of corners that were finished in a way that could not be repeated: they have a
            mitre now
    """

    shape: Shape
    cut_line: CutLineFate
    mitred: tuple[str, ...] = ()

    @property
    def said(self) -> str:
        """What is to be said of a cut line that was remade, in words."""
        if not self.mitred:
            return "the cut line was drawn anew"
        corners = ", ".join(f'"{name}"' for name in self.mitred)
        return (
            f"the cut line was drawn anew, with mitres at {corners}, which were finished otherwise"
        )


def hold_names(shape: Shape, *, but: Collection[str] = ()) -> Shape:
    """The shape with names that are only numbers ("corner-3") made proper ones, so that surgery
    does not count them anew; `release_names` takes that back.

    but  corners that may go where they no longer turn
    """
    return shape.but(
        corners=tuple(
            c if c.name in but else replace(c, name=_HELD + c.name) for c in shape.corners
        ),
        notches=tuple(replace(n, name=_HELD + n.name) for n in shape.notches),
    )


def release_names(shape: Shape, old: Shape) -> Shape:
    """The shape with the names that were held, starting at the corner at which `old` started.

    Corners and notches that are new take numbers that are free.
    """
    first = old.corners[0].name if old.corners else ""
    for k, corner in enumerate(shape.corners):
        if corner.name == _HELD + first:
            shape = restart(shape, k)
            break
    return shape.but(
        corners=_named(shape.corners, "corner"), notches=_named(shape.notches, "notch")
    )


def _named(marks: tuple, what: str) -> tuple:  # type: ignore[type-arg]
    taken = {m.name.removeprefix(_HELD) for m in marks if m.name.startswith(_HELD)}
    out, number = [], 0
    for mark in marks:
        if mark.name.startswith(_HELD):
            out.append(replace(mark, name=mark.name.removeprefix(_HELD)))
            continue
        head, _, tail = mark.name.rpartition("-")
        if not (head == what and tail.isdigit()) and mark.name not in taken:
            taken.add(mark.name)
            out.append(mark)
            continue
        while True:
            number += 1
            if f"{what}-{number}" not in taken:
                break
        taken.add(f"{what}-{number}")
        out.append(replace(mark, name=f"{what}-{number}"))
    return tuple(out)


def renew(new: Shape, old: Shape, *, own: Mapping[str, float] | None = None) -> Renewed:
    """The shape after surgery with what surgery drops and the piece still has: the allowance of
    each edge (that of the old edge which began at the same corner, or of the edge in which a new
    corner lies), a cut line made from them, half pieces' and formats' own data.

    own  allowances (mm) of edges by the corner at which they begin, where surgery knows better;
         of no effect where the old shape's allowances are not known
    A cut line whose allowances are unknown is dropped: an old cut line beside a new seam line
    would be cut by somebody.
    """
    new = new.but(mirrored_half=old.mirrored_half, foreign=old.foreign)
    known = dict(zip((c.name for c in old.corners), old.allowances, strict=False))
    widths: list[float] = []
    if len(known) == len(old.corners) and known and new.corners:
        known |= own or {}
        names = [c.name for c in new.corners]
        first = next((i for i, name in enumerate(names) if name in known), None)
        if first is not None:
            width = known[names[first]]
            for name in names[first:] + names[:first]:
                width = known.get(name, width)
                widths.append(width)
            widths = widths[-first:] + widths[:-first] if first else widths
    new = new.but(cut_line=None, allowances=tuple(widths))
    if old.cut_line is None:
        return Renewed(new, "none")
    if widths:
        try:
            return Renewed(*_with_cut_line(new, widths, finishes_of(old)))
        except GeometryError:
            pass
    return Renewed(new, "dropped")


def finishes_of(shape: Shape) -> dict[str, CornerRule | None]:
    """Corner -> the rule by which the cut line was finished there, None where that is unknown."""
    names = [c.name for c in shape.corners]
    return dict(zip(names, corner_finishes(shape), strict=False))


def _with_cut_line(
    shape: Shape, widths: list[float], finishes: Mapping[str, CornerRule | None]
) -> tuple[Shape, CutLineFate, tuple[str, ...]]:
    """A cut line with a mitre also where the seam line turns inside an edge (a mouth, the end of
    a slash): an edge's parallel needs a smooth edge. Corners are finished as they were, where
    that is known; the names of those that were finished otherwise and are mitred now."""
    seam = shape.seam_line
    known = {c.station.segment for c in shape.corners}
    breaks = [int(i) for i in seam.corner_segments(_BREAK) if int(i) not in known]
    marks = sorted(
        [(c.station.segment, c, w) for c, w in zip(shape.corners, widths, strict=True)]
        + [(i, Corner(name=f"\0{i}", station=Station(i, 0.0)), -1.0) for i in breaks],
        key=lambda m: m[0],
    )
    width, full = widths[-1], []
    for _, corner, own in marks:
        width = own if own >= 0.0 else width
        full.append((corner, width))
    split = shape.but(corners=tuple(c for c, _ in full), allowances=())
    each = [w for _, w in full]
    own_way = [finishes.get(c.name, MITRE) for c, _ in full]
    rules = [rule or MITRE for rule in own_way]
    mitred = [c.name for (c, _), rule in zip(full, own_way, strict=True) if rule is None]
    if all(rule is MITRE for rule in rules):
        made = make_cut_line(split, each).shape
    else:
        outcome = make_cut_lines([(split, each, rules), (split, each, MITRE)])
        as_was, plain = outcome
        if isinstance(as_was, GeometryError):
            if isinstance(plain, GeometryError):
                raise plain
            made = plain.shape
            mitred = [c.name for (c, _), rule in zip(full, own_way, strict=True) if rule != MITRE]
        else:
            made = as_was.shape
            # A rule that has no place at a corner any more leaves a mitre there.
            found = corner_finishes(made)
            mitred += [
                c.name
                for (c, _), rule, now in zip(full, rules, found, strict=True)
                if rule != MITRE and now == MITRE
            ]
    return shape.but(cut_line=made.cut_line), "remade", tuple(dict.fromkeys(mitred))
