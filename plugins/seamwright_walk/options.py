"""What the walk may be told."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Annotated

from seamwright.plugins.api import Length, Options, length


class WalkOptions(Options, frozen=True):
    """Options of walk. The defaults stand, with their sources, in data/tolerances.toml."""

    tolerance: Annotated[
        Length,
        length(
            "How far the two sides of a seam may differ, either way, where the plan names no "
            "range of ease.",
            at_least=0,
            at_most=1000,
        ),
    ] = Length(1.5)
    notch_warning: Annotated[
        Length,
        length("Two notches that must meet are worth a look from here on.", at_least=0),
    ] = Length(1.5)
    notch_error: Annotated[
        Length,
        length("Two notches that must meet are an error from here on.", at_least=0),
    ] = Length(3.0)

    def check(self) -> Iterable[str]:
        if self.notch_warning > self.notch_error:
            yield "notch-warning is above notch-error"
