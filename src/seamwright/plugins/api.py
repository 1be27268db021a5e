"""Every name that a plugin may import from the plugin layer.

Light by promise: importing this loads no numpy. Model and geometry types come from
`seamwright.model` and `seamwright.geometry`, imported inside the work or under TYPE_CHECKING.
"""

from __future__ import annotations

from seamwright.findings import Finding, SeamwrightError, Severity, did_you_mean

from .context import Context, Limits, UnitName
from .descriptors import (
    DROPPED,
    EXACT,
    Carried,
    Code,
    Feature,
    Format,
    Guess,
    Head,
    Part,
    Reader,
    ReadResult,
    Report,
    Source,
    Step,
    StepResult,
    Writer,
    WriteResult,
    within,
)
from .drawing_codes import drawing_codes
from .drawing_options import DrawingIn
from .hooks import API, hookimpl
from .options import Angle, Length, Options, angle, choice, flag, length, number, text
from .record import InvariantKept, Record, SeamMeasure, StepRecord

__all__ = [
    "API", "Angle", "Carried", "Code", "Context", "DROPPED", "DrawingIn", "EXACT", "Feature",
    "Finding",
    "Format", "Guess", "Head", "InvariantKept", "Length", "Limits", "Options", "Part",
    "ReadResult", "Reader", "Record", "Report", "SeamMeasure", "SeamwrightError", "Severity",
    "Source", "Step", "StepRecord", "StepResult", "UnitName", "WriteResult", "Writer", "angle",
    "choice", "did_you_mean", "drawing_codes", "flag", "hookimpl", "length", "number", "text",
    "within",
]  # fmt: skip
