"""Grade rules: how points move from size to size.

The model holds one form only: offsets from the base size. Files that give steps between
neighbouring sizes are brought to this form by their reader, which says so.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType

import numpy as np
from numpy.typing import NDArray


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class GradeRules:
    """A rule table.

    name, author, date   as the file gives them
    sizes                size names in order
    base_size            the size to which the offsets refer
    offsets              rule number -> array (sizes, 2) of dx, dy in mm from the base size
    """

    name: str = ""
    author: str = ""
    date: str = ""
    sizes: tuple[str, ...] = ()
    base_size: str = ""
    offsets: Mapping[int, NDArray[np.float64]] = field(default_factory=dict)

    def __post_init__(self) -> None:
        frozen: dict[int, NDArray[np.float64]] = {}
        for number, rows in self.offsets.items():
            array = np.array(rows, dtype=np.float64)
            if array.shape != (len(self.sizes), 2):
                raise ValueError(
                    f"rule {number} has shape {array.shape}, expected ({len(self.sizes)}, 2): "
                    "one dx, dy for each size"
                )
            array.setflags(write=False)
            frozen[number] = array
        object.__setattr__(self, "offsets", MappingProxyType(frozen))

    def __reduce__(self) -> tuple[object, ...]:
        # A mapping proxy does not pickle.
        return (
            _rebuilt,
            (self.name, self.author, self.date, self.sizes, self.base_size, dict(self.offsets)),
        )


def _rebuilt(
    name: str,
    author: str,
    date: str,
    sizes: tuple[str, ...],
    base_size: str,
    offsets: dict[int, NDArray[np.float64]],
) -> GradeRules:
    return GradeRules(
        name=name, author=author, date=date, sizes=sizes, base_size=base_size, offsets=offsets
    )
