"""Places along an edge as an option lists them."""

from __future__ import annotations

from collections.abc import Sequence

from seamwright.findings import SeamwrightError
from seamwright.geometry import GeometryError
from seamwright.plugins.api import Context
from seamwright.units import parse_length


def along(places: Sequence[str], length: float, ctx: Context) -> list[float]:
    """Lengths (mm) of places like "50 %" or "4 cm" along an edge of a length, in order.

    Raises SeamwrightError for what cannot be read, GeometryError for a place beyond the edge.
    """
    out = []
    for text in places:
        plain = text.strip()
        try:
            if plain.endswith("%"):
                at = float(plain[:-1]) / 100.0 * length
            else:
                at = parse_length(plain, default=ctx.units)
        except ValueError as error:
            raise SeamwrightError.of(
                "spot.unreadable", f'"{text}" is no place: {error}', hint='write "50 %" or "4 cm"'
            ) from None
        if not 0.0 < at < length:
            raise GeometryError(f'"{text}" is not on the edge, which is {length:.1f} mm long')
        out.append(at)
    return sorted(out)
