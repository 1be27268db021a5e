"""A pipeline as a command line names it: a file, or one that ships."""

from __future__ import annotations

from pathlib import Path

from seamwright.pipeline import Pipeline
from seamwright.pipelines import shipped, text_of
from seamwright.plugins.context import Limits


def load_pipeline(pipeline: str, limits: Limits | None = None) -> Pipeline:
    """The pipeline in a file, or a shipped one by its name. Raises SeamwrightError."""
    if not Path(pipeline).exists() and pipeline in shipped():
        return Pipeline.loads(text_of(pipeline), name=pipeline)
    return Pipeline.load(Path(pipeline), limits=limits)
