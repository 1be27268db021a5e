"""What plotters differ in: length of the unit, place of the origin, range of coordinates."""

from __future__ import annotations

from typing import Final, Literal, NamedTuple


class Device(NamedTuple):
    """unit in mm; low, high: the range of coordinates in units."""

    unit: float
    origin: Literal["corner", "centre"]
    low: int
    high: int


# 0.025 mm a unit, 40 to the mm: HP PCL/PJL Technical Reference Manual, part II, table 17-7.
# HP-GL/2 coordinates run from -2^23 to 2^23 - 1 (same manual, p. 20-22); the HP 7475A class takes
# "clamped" numbers from -32768 to 32767, so no more than 819 mm on either side of the origin.
# That large formats have their origin in the middle is common practice, no source by model.
DEVICES: Final = {
    "roll": Device(0.025, "corner", -(2**23), 2**23 - 1),
    "16-bit": Device(0.025, "corner", -32768, 32767),
    "centred": Device(0.025, "centre", -(2**23), 2**23 - 1),
}
