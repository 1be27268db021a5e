"""The piece and style texts of the standard, as the pattern states them now.

A text that a DXF file brought is written as it stood if it still says the truth; what has changed,
or was never there, is written anew.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from seamwright.model import Foreign, Pattern, Piece, Shape

from ..meaning.keywords import quantity, said_by
from ..meaning.units import unit_of_word
from ..meaning.wording import PLAIN, kept_text

VERSION = "ASTM/D13Proposal 1 Version: D6673-10"
"""The version line; its form is from memory and agrees with excerpts."""
_HEIGHT = 5.0
_STEP = 8.0


@dataclass(frozen=True, slots=True)
class Line:
    """One text to be written; comment: our own mark that it means nothing."""

    layer: str
    x: float
    y: float
    height: float
    rotation: float
    text: str
    comment: str = ""


class StyleNow:
    """What the pattern says of the style now, by the keys of the style texts."""

    def __init__(self, pattern: Pattern, *, unit: str, rule_table: str) -> None:
        self._stated: dict[str, str] = {k: v for k, v in pattern.notes if k != "Units"}
        self._stated["Style Name"] = pattern.name
        self._stated["Units"] = "METRIC" if unit == "mm" else "ENGLISH"
        self._stated["Sample Size"] = pattern.base_size
        if rule_table:
            self._stated["Grade Rule Table"] = rule_table
        self.notes = [k for k, _ in pattern.notes if k != "Units"]

    def __getitem__(self, key: str) -> str:
        return self._stated[key]

    def kept(self, key: str, value: str, text: str) -> str | None:
        """The text of a style line that a file brought: as it stood if it is still true, else
        with the value of now; None where the pattern no longer states such a thing."""
        if not value or key == "Version":
            return text
        now = self._stated.get(key)
        if now is None:
            return None
        if key == "Units" and unit_of_word(value) == unit_of_word(now):
            return text
        return text if now == value else _spelled(key, now)


def piece_lines(piece: Piece, shape: Shape, style: StyleNow, *, from_dxf: bool) -> list[Line]:
    """Texts of one piece in one size: system texts, then its own."""
    right, left = piece.quantity
    wanted: dict[str, str] = {"name": piece.name, "size": shape.size}
    spelled = {"name": "Piece Name", "size": "Size"}
    if not from_dxf or piece.quantity != (1, 0):
        wanted["quantity"], spelled["quantity"] = f"{right},{left}", "Quantity"
    for key, value, spelling in (
        ("category", piece.category, "Category"), ("material", piece.material, "Material"),
    ):  # fmt: skip
        if value:
            wanted[key], spelled[key] = value, spelling
    for key, value in shape.flags:
        wanted[key], spelled[key] = value, key.capitalize()
    out: list[Line] = []
    done: set[str] = set()
    for layer, x, y, height, rotation, text in _kept(shape.foreign):
        said = said_by(text)
        if said.kind == "style":
            kept = style.kept(said.key, said.value, text)
        elif not said.value:
            kept = text
        else:
            now = wanted.get(said.key)
            same = now == said.value or (
                said.key == "quantity" and quantity(said.value) == piece.quantity
            )
            kept = text if same else None if now is None else f"{spelled[said.key]}: {now}"
            done.add(said.key)
        if kept is not None:
            out.append(Line(layer, x, y, height, rotation, kept))
    x, y = _place(shape)
    missing = [k for k in wanted if k not in done]
    for number, key in enumerate(missing):
        out.append(Line("1", x, y - number * _STEP, _HEIGHT, 0.0, f"{spelled[key]}: {wanted[key]}"))
    out += [_own(t.layer, t.at, t.height, t.rotation, t.text) for t in shape.texts]
    return out


def _own(layer: str, at: tuple[float, float], height: float, rotation: float, text: str) -> Line:
    said = said_by(text)
    doubtful = said.kind in ("piece", "style") or text.strip().startswith("#")
    doubtful &= said.key != "annotation"
    return Line(layer or "15", *at, height, rotation, text, PLAIN if doubtful else "")


def _place(shape: Shape) -> tuple[float, float]:
    x0, y0, x1, y1 = (float(v) for v in shape.seam_line.bbox)
    return x0 + 0.3 * (x1 - x0), y0 + 0.6 * (y1 - y0)


def _kept(foreign: Iterable[Foreign]) -> list[tuple[str, float, float, float, float, str]]:
    return [k for k in map(kept_text, foreign) if k is not None]


def came_from_dxf(pattern: Pattern) -> bool:
    """Whether a DXF file brought this pattern: its texts are then left alone."""
    if any(f.format == "dxf" for f in pattern.foreign):
        return True
    return any(
        f.format == "dxf" for piece in pattern.pieces for s in piece.shapes for f in s.foreign
    )


def style_lines(
    pattern: Pattern, style: StyleNow, *, rule_table: str, from_dxf: bool
) -> list[Line]:
    """Texts of the whole style, written once into ENTITIES."""
    done: set[str] = set()
    for piece in pattern.pieces:
        for shape in piece.shapes:
            for *_, text in _kept(shape.foreign):
                said = said_by(text)
                if said.kind == "style":
                    done.add(said.key)
    out: list[Line] = []
    for layer, x, y, height, rotation, text in _kept(pattern.foreign):
        said = said_by(text)
        kept: str | None = text
        if said.kind:
            kept = style.kept(said.key, said.value, text)
            done.add(said.key)
        if kept is not None:
            out.append(Line(layer, x, y, height, rotation, kept))
    wanted = ["Units", "Sample Size", *style.notes]
    if not from_dxf:
        wanted = ["Version", "Style Name", *wanted]
    if rule_table:
        wanted.append("Grade Rule Table")
    missing = [k for k in dict.fromkeys(wanted) if k not in done]
    for number, key in enumerate(missing):
        value = VERSION if key == "Version" else _spelled(key, style[key])
        out.append(Line("1", 0.0, -number * _STEP, _HEIGHT, 0.0, value))
    return out


def _spelled(key: str, value: str) -> str:
    return f"{key}: {value}"


def odd_notes(notes: Sequence[tuple[str, str]]) -> list[str]:
    """Keys of style data that cannot be written as "key: value" and read back."""
    out = []
    for key, value in notes:
        said = said_by(_spelled(key, value))
        if said.key != key or said.value != value or said.kind not in ("style", "other"):
            out.append(key)
    return out
