"""The manual: a page for every format, step, report and pipeline, guides, and the Python names.

Pages are made from descriptors, docstrings and the pages of plugins when they are asked for, so
they cannot go stale. `seamwright help` shows them; `write_manual` makes a folder of HTML with
pictures, which are drawn by running each page's own example.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from .topics import Topic, find, mentions, topics

if TYPE_CHECKING:
    from .site import write_manual as write_manual

__all__ = ["Topic", "find", "mentions", "topics", "write_manual"]


def __getattr__(name: str) -> Any:
    # HTML and pictures need the kernel and a Markdown parser; text does not.
    if name == "write_manual":
        from .site import write_manual  # noqa: PLC0415

        return write_manual
    raise AttributeError(name)
