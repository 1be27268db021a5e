"""The seam plan: which runs are sewn to which, with what ease; and walking them."""

from __future__ import annotations

from .apply import apply_plan
from .cap import Cap, CapHalf, cap_of, has_cap, part_curve
from .kinds import DEFAULT_TOLERANCE, PiecePlan, SeamPlan
from .load import load_plan, plan_from_mapping
from .picture import plan_picture
from .places import Places, places
from .propose import propose, proposed
from .runs import ResolvedPart, ResolvedRun, resolve_run
from .walk import Walk, walk
from .write import plan_of, plan_toml

__all__ = [
    "Cap", "CapHalf", "DEFAULT_TOLERANCE", "PiecePlan", "Places", "ResolvedPart", "ResolvedRun",
    "SeamPlan", "Walk", "apply_plan", "cap_of", "has_cap", "load_plan", "part_curve", "places",
    "plan_from_mapping", "plan_of", "plan_picture", "plan_toml", "propose", "proposed",
    "resolve_run", "walk",
]  # fmt: skip
