"""Our own marks in a plain drawing: extended data that says which piece, size and layer of the
standard an entity belongs to. Other programs carry such data along and never show it."""

from __future__ import annotations

from typing import Final

APP: Final = "SEAMWRIGHT"
"""The registered application of our extended data (groups 1001 and 1000)."""

PIECE: Final = "piece"
SIZE: Final = "size"
LAYER: Final = "layer"
SEAM: Final = "seam"
NOTCH: Final = "notch"
TEXT: Final = "text"
SCALE: Final = "scale square"
DRILL: Final = "drill"
SAID: Final = "said"
STYLE: Final = "style"
TURN: Final = "turn"
CURVE: Final = "curve"
GRADE: Final = "grade"
"""Keys of our marks. `said` holds a piece text ("Quantity: 1,1"), `style` a style text; turn,
curve, grade, notch and drill are followed by the places (groups 1011) that they speak of."""


def escaped(text: str) -> str:
    """A text for a group 1000: ASCII, one line, at most 255 signs."""
    out = []
    for sign in text:
        if sign == "\\" or not " " <= sign <= "~":
            out.append("".join(f"\\U+{unit:04X}" for unit in _units(sign)))
        else:
            out.append(sign)
    whole = "".join(out)
    while len(whole) > 240:
        out.pop()
        whole = "".join(out)
    return whole


def _units(sign: str) -> list[int]:
    raw = sign.encode("utf-16-be", "surrogatepass")
    return [int.from_bytes(raw[i : i + 2], "big") for i in range(0, len(raw), 2)]
