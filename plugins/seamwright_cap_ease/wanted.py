"""How much ease each half may hold, in each size: from the options, or else from the plan."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from seamwright.model import Seam
from seamwright.paper import Cloth, Side, Span, find_cloth
from seamwright.plugins.api import did_you_mean

from .options import EaseCap, Halves, Holds, OwnCloth
from .refusal import Refusal


@dataclass(frozen=True, slots=True, kw_only=True)
class Wanted:
    """What one half may hold, and who says so: "target", "cloth" or "plan"."""

    span: Span
    says: str

    @property
    def exact(self) -> bool:
        """Whether this very amount was asked for, not a range."""
        return self.says == "target"


class Wish:
    """The ease wanted in every size and half."""

    def __init__(
        self, options: EaseCap, seams: Mapping[Side, Seam], sizes: tuple[str, ...]
    ) -> None:
        self.cloth = _cloth(options)
        self._target = options.target
        self._seams = seams
        self.source = "plan"
        if self.cloth is not None:
            self.source = "cloth"
        elif options.target:
            self.source = "target"
            self._check_sizes(sizes)
        elif all(seam.ease is None for seam in seams.values()):
            raise Refusal(
                "cap.no-target",
                "nothing says how much ease the cap may hold",
                'name a cloth (cloth = "firm woven"), or give target = { back = ..., front = ... '
                "}, or give both seams of the cap their ease in the plan",
            )

    def of(self, size: str, side: Side) -> Wanted | None:
        """What that half may hold in that size; None where nothing is wanted of it."""
        if self.cloth is not None:
            return Wanted(span=self.cloth.side(side), says="cloth")
        if self._target:
            own, general = self._target.get(size), self._target.get(side)
            found = None
            if isinstance(own, Halves):
                found = own.back if side == "back" else own.front
            if found is None and not isinstance(general, Halves):
                found = general
            return None if found is None else Wanted(span=Span(at_most=float(found)), says="target")
        ease = self._seams[side].ease
        if ease is None:
            return None
        return Wanted(span=Span(at_most=ease.at_most, at_least=ease.at_least), says="plan")

    def _check_sizes(self, sizes: tuple[str, ...]) -> None:
        for name, wanted in self._target.items():
            if isinstance(wanted, Halves) and name not in sizes:
                raise Refusal(
                    "cap.target-size",
                    f'target names a size "{name}" that the pattern does not have',
                    did_you_mean(name, sizes),
                )


def _cloth(options: EaseCap) -> Cloth | None:
    if not options.cloth:
        return None
    own = [_own(name, row) for name, row in options.cloths.items()]
    return find_cloth(options.cloth, own)


def _own(name: str, row: OwnCloth) -> Cloth:
    return Cloth(
        name=" ".join(name.split()),
        back=_span(row.back),
        front=_span(row.front),
        source=row.source,
    )


def _span(holds: Holds) -> Span:
    least = None if holds.at_least is None else float(holds.at_least)
    return Span(at_most=float(holds.at_most), at_least=least)
