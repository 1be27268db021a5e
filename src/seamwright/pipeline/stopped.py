"""What a run raises when a step fails."""

from __future__ import annotations

from pathlib import Path

from seamwright.findings import SeamwrightError
from seamwright.plugins.record import Record


class PipelineStopped(SeamwrightError):
    """A step failed. record: the run up to it; written: files that were written before."""

    record: Record | None = None
    written: tuple[Path, ...] = ()
