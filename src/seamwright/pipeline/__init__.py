"""Steps in order: loading, preparing as a whole, running, and the record of what changed.

Light: arrays come in when something is run.
"""

from __future__ import annotations

from .pipeline import Pipeline
from .stopped import PipelineStopped
from .use import Except, Use

__all__ = ["Except", "Pipeline", "PipelineStopped", "Use"]
