"""Data for the page's script: JSON that no markup can come out of."""

from __future__ import annotations

import json
from typing import Any

from .markup import Markup

# What could end the element or be taken for markup; all else beyond ASCII is escaped by `json`.
_ESCAPES = {"<": "\\u003c", ">": "\\u003e", "&": "\\u0026"}


def data_block(value: Any) -> Markup:
    """The value in a script element of a type that no browser runs."""
    return Markup(f'<script type="application/json" id="data">{json_text(value)}</script>')


def json_text(value: Any) -> str:
    """Compact ASCII JSON without angle brackets and ampersands; refuses NaN."""
    text = json.dumps(value, ensure_ascii=True, allow_nan=False, separators=(",", ":"))
    for sign, escape in _ESCAPES.items():
        text = text.replace(sign, escape)
    return text
