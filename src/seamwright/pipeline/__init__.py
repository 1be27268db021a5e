"""Steps in order: loading, preparing as a whole, running, and the record of what changed."""

from __future__ import annotations

from .pipeline import Pipeline
from .running import PipelineStopped
from .use import Except, Use

__all__ = ["Except", "Pipeline", "PipelineStopped", "Use"]
