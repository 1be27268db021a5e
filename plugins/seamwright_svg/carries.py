"""What an SVG holds: everything but the data of other formats."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from seamwright.plugins.api import DROPPED, EXACT, Carried, Feature

CARRIES: Final[Mapping[Feature, Carried]] = {
    feature: DROPPED if feature is Feature.FOREIGN else EXACT for feature in Feature
}
