"""Markdown to HTML, for the manual. Pages of strangers' plugins are shown too: no markup of theirs
is taken over as it stands."""

from __future__ import annotations

from functools import cache
from typing import Any


@cache
def _parser() -> Any:
    from markdown_it import MarkdownIt  # noqa: PLC0415 - the manual only

    return MarkdownIt("commonmark", {"html": False}).enable("table")


def html_of(text: str) -> str:
    """A page's body. Raw HTML in the text is shown as text; links other than http, https, mailto
    and plain relative ones are left out by the parser."""
    made: str = _parser().render(text)
    return made
