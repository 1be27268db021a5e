"""Curves as arrays: length, locate, split, offset, fit, fair, press flat."""

from __future__ import annotations

from .arcs import ARC_TOLERANCE, ellipse_arc, elliptical_arc_to_cubics
from .area import signed_areas
from .box import bounding_box, segment_boxes
from .curve import Curve, measure_together
from .evaluate import evaluate, first_derivatives, line_segments, second_derivatives
from .fit import fit_cubics
from .flatten import flatten_many, flatten_ragged
from .kinds import (
    CUBIC,
    LINE,
    Crossings,
    FloatArray,
    GeometryError,
    IntArray,
    KindArray,
    Nearest,
    Station,
)
from .length import arc_lengths, partial_lengths
from .locate import LengthTable
from .split import subdivide

__all__ = [
    "ARC_TOLERANCE",
    "CUBIC",
    "LINE",
    "Crossings",
    "Curve",
    "FloatArray",
    "GeometryError",
    "IntArray",
    "KindArray",
    "LengthTable",
    "Nearest",
    "Station",
    "arc_lengths",
    "bounding_box",
    "ellipse_arc",
    "elliptical_arc_to_cubics",
    "evaluate",
    "first_derivatives",
    "fit_cubics",
    "flatten_many",
    "flatten_ragged",
    "line_segments",
    "measure_together",
    "partial_lengths",
    "second_derivatives",
    "segment_boxes",
    "signed_areas",
    "subdivide",
]
