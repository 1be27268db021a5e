"""Fairing: a jog or a kink in a run made smooth, everything else left as it is."""

from __future__ import annotations

from .jog import Faired, FairError, fair_jog
from .kinks import Kink, find_kinks

__all__ = ["FairError", "Faired", "Kink", "fair_jog", "find_kinks"]
