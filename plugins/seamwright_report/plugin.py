"""Descriptors of the reports."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from seamwright.plugins.api import API as API
from seamwright.plugins.api import Context, Record, Report, WriteResult, hookimpl

from .options import HtmlOptions, JsonOptions, TextOptions


def _html(record: Record, options: HtmlOptions, ctx: Context) -> WriteResult:
    from .page import write_page

    return write_page(record, options, ctx)


def _json(record: Record, options: JsonOptions, ctx: Context) -> WriteResult:
    from .as_json import write_json

    return write_json(record, options, ctx)


def _text(record: Record, options: TextOptions, ctx: Context) -> WriteResult:
    from .as_text import write_text

    return write_text(record, options, ctx)


@hookimpl
def seamwright_reports() -> Sequence[Report[Any]]:
    """The page, the JSON document and the plain text."""
    return [
        Report(
            name="html",
            help="One page to read: what was wrong, what was done, where to fold, all figures.",
            suffixes=(".html", ".htm"),
            options=HtmlOptions,
            run=_html,
            page="html.md",
        ),
        Report(
            name="json",
            help="The record of a run as JSON, lengths in mm.",
            suffixes=(".json",),
            options=JsonOptions,
            run=_json,
            page="json.md",
        ),
        Report(
            name="text",
            help="The record of a run as plain text.",
            suffixes=(".txt",),
            options=TextOptions,
            run=_text,
            page="text.md",
        ),
    ]
