"""Seamwright: sewing patterns that go together, in every size and in every file.

    import seamwright as sw
    blouse = sw.read("blouse.svg", plan="blouse.plan.toml")
    report = sw.check(blouse)
    eased, record = sw.Pipeline.load("ease-sleeve.toml").run(blouse)
    sw.write(eased, "blouse.dxf")

Importing this loads nothing else: each name is fetched when it is first used.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any, Final

if TYPE_CHECKING:
    from seamwright.face import Checked as Checked
    from seamwright.face import SeamwrightWarning as SeamwrightWarning
    from seamwright.face import check as check
    from seamwright.face import load as load
    from seamwright.face import read as read
    from seamwright.face import write as write
    from seamwright.findings import Finding as Finding
    from seamwright.findings import SeamwrightError as SeamwrightError
    from seamwright.findings import Severity as Severity
    from seamwright.geometry import Curve as Curve
    from seamwright.model import Notch as Notch
    from seamwright.model import Pattern as Pattern
    from seamwright.model import Piece as Piece
    from seamwright.model import Seam as Seam
    from seamwright.model import Shape as Shape
    from seamwright.model.preview import preview as preview
    from seamwright.pipeline import Except as Except
    from seamwright.pipeline import Pipeline as Pipeline
    from seamwright.pipeline import PipelineStopped as PipelineStopped
    from seamwright.pipeline import Use as Use
    from seamwright.plugins.record import Record as Record
    from seamwright.plugins.registry import Registry as Registry

__version__: Final = "0.1.0"

_HOMES: Final = {
    "Checked": "face", "SeamwrightWarning": "face", "check": "face", "load": "face",
    "read": "face", "write": "face",
    "Finding": "findings", "SeamwrightError": "findings", "Severity": "findings",
    "Curve": "geometry",
    "Notch": "model", "Pattern": "model", "Piece": "model", "Seam": "model", "Shape": "model",
    "preview": "model.preview",
    "Except": "pipeline", "Pipeline": "pipeline", "PipelineStopped": "pipeline",
    "Use": "pipeline",
    "Record": "plugins.record", "Registry": "plugins.registry",
}  # fmt: skip

__all__ = [
    "Checked", "Curve", "Except", "Finding", "Notch", "Pattern", "Piece", "Pipeline",
    "PipelineStopped", "Record", "Registry", "Seam", "SeamwrightError", "SeamwrightWarning",
    "Severity", "Shape", "Use", "__version__", "check", "load", "preview", "read", "write",
]  # fmt: skip


def __getattr__(name: str) -> Any:
    if name in _HOMES:
        value = getattr(import_module(f"seamwright.{_HOMES[name]}"), name)
        globals()[name] = value
        return value
    raise AttributeError(f"module 'seamwright' has no attribute {name!r}")


def __dir__() -> list[str]:
    return sorted({*globals(), *__all__})
