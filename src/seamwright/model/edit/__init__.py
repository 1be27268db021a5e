"""Surgery on a Shape: every alteration is made of these, so that marks are carried in one way.

replace_run   another curve in place of a stretch of the outline, marks carried along
transform     a rigid or affine map of everything in the piece
deform        any map of the plane, applied to control points and marks

Each returns a new Shape; what lies outside a replaced stretch keeps its exact control points.
"""

from __future__ import annotations

from .deform import deform
from .replace_run import Replaced, Replacement, replace_run, replace_runs
from .transform import transform

__all__ = ["Replaced", "Replacement", "deform", "replace_run", "replace_runs", "transform"]
