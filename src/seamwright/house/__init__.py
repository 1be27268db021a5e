"""House rules: what a house, a customer or a style asks of every pattern, in layers of TOML."""

from __future__ import annotations

from .checking import judged
from .kinds import EaseRule, House, NotchRule, Rule
from .layers import house_of, layered, style_rules
from .load import load_house

__all__ = [
    "EaseRule", "House", "NotchRule", "Rule", "house_of", "judged", "layered", "load_house",
    "style_rules",
]  # fmt: skip
