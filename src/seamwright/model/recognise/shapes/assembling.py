"""Bodies to a pattern: pieces in order, sizes in order, the base size."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from pathlib import PurePath

from seamwright.model import Pattern, Piece, Shape, align_sizes

from ..items import Place
from ..notes import Notes, listed
from ..pieces.bodies import Body
from ..wishes import Wishes
from ..words.sizes import Sizes, ordered
from ..words.wording import material_from, quantity_from
from .shape_making import shape_of


@dataclass(frozen=True, slots=True, kw_only=True)
class Stated:
    """What a file says of the pattern as a whole, as far as it does.

    name       of the pattern; title: of the drawing
    sizes, pieces, base_size   as our own writers state them, in order
    layers     sizes of layers that are there, with pieces in them or not
    root       the place to which findings about the whole drawing point
    """

    name: str = ""
    title: str = ""
    sizes: tuple[str, ...] = ()
    pieces: tuple[str, ...] = ()
    base_size: str = ""
    layers: frozenset[str] = frozenset()
    root: Place | None = None


def assembled(
    stated: Stated, bodies: list[Body], sizes: Sizes, options: Wishes, notes: Notes
) -> Pattern:
    """The pattern that the bodies make."""
    written, layers = stated.sizes, stated.layers
    named = [b.size for b in bodies if b.size is not None]
    order = [s for s in written if s in named or s in layers] + [
        s for s in ordered(named) if s not in written
    ]  # fmt: skip
    if not order and bodies:
        order = [options.size]
    by_piece: dict[str, list[Body]] = defaultdict(list)
    for name in stated.pieces:
        by_piece[name] = []
    for body in bodies:
        by_piece[body.name].append(body)
    pieces: list[Piece] = []
    base = _base(order, stated.base_size or None, options, notes)
    everywhere: list[str] = []
    for name, mine in by_piece.items():
        if not mine:
            continue
        shapes: dict[str, Shape] = {}
        for body in mine:
            if body.size is not None:
                shapes.setdefault(body.size, shape_of(body, body.size, options, notes))
        common = next((b for b in mine if b.size is None), None)
        if common is not None:
            shape = shape_of(common, order[0], options, notes)
            missing = [s for s in order if s not in shapes]
            shapes.update({s: shape.but(size=s) for s in missing})
            if len(order) > 1:
                everywhere.append(name)
        piece = _piece(name, mine, tuple(shapes[s] for s in order if s in shapes))
        own = all(b.exact for b in mine)
        pieces.append(piece if own or len(order) == 1 else align_sizes(piece, base))
    if everywhere:
        notes.note(
            "sizes.one-for-all",
            f"pieces without a size ({listed(everywhere)}) are taken to be the same in all "
            f"{len(order)} sizes",
        )
    if sizes.loose:
        notes.note(
            "sizes.from-names",
            f"sizes are taken from the ends of names: {listed(ordered(sizes.loose), 12)}",
            hint='to say it outright, name layers "Size 10", "Size 12"',
        )
    if sizes.layers:
        notes.note(
            "sizes.from-layers",
            f"layers that hold the same pieces are taken as sizes: {listed(sizes.layers, 12)}",
            hint='to say it outright, name them "Size A", "Size B"',
        )
    if not pieces:
        notes.error(
            ".no-outline",
            "the drawing holds no closed outline, so no piece",
            stated.root,
            hint='close the outlines, or join their ends with a wider tolerance: join = "0.5 mm"',
        )
    return Pattern(
        name=stated.name or stated.title or PurePath(notes.file).stem,
        pieces=tuple(pieces),
        sizes=tuple(order),
        base_size=base,
    )


def _piece(name: str, mine: list[Body], shapes: tuple[Shape, ...]) -> Piece:
    quantity: tuple[int, int] | None = None
    material = category = ""
    for body in mine:
        named = body.group.named if body.group is not None else None
        words = (named.data("quantity") or "").split() if named is not None else []
        if named is not None and len(words) == 2 and all(w.isdigit() for w in words):
            quantity = (int(words[0]), int(words[1]))
            material = named.data("material") or ""
            category = named.data("category") or ""
            break
        said = [*body.labels, *(t.text for t in body.texts)]
        quantity = quantity or quantity_from(said)
        material = material or material_from(body.texts)
    return Piece(
        name=name, shapes=shapes, quantity=quantity or (1, 0), material=material, category=category
    )


def _base(order: list[str], stated: str | None, options: Wishes, notes: Notes) -> str:
    if not order:
        return ""
    if options.base_size:
        if options.base_size in order:
            return options.base_size
        notes.error(
            "sizes.no-base",
            f'there is no size "{options.base_size}" in the drawing; '
            f"its sizes: {listed(order, 12)}",
            hint="name one of them as base-size",
        )
    if stated in order:
        return str(stated)
    middle = order[(len(order) - 1) // 2]
    if len(order) > 1:
        notes.note(
            "sizes.base-assumed",
            f'no base size is stated; taken to be the middle one, "{middle}"',
            hint="state it: base-size",
        )
    return middle
