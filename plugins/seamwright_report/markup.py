"""Building HTML so that nothing from a file can become markup.

`el` makes an element; text given to it is escaped, and only another element's `Markup` is not.
There is no other way for text to come onto the page.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from html import escape

# What HTML forbids outright (controls, surrogates, non-characters), shown as the replacement sign.
_FORBIDDEN = re.compile(
    "[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\ud800-\udfff\ufdd0-\ufdef\ufffe\uffff]"
)
_VOID = frozenset({"meta", "input", "br", "col"})


class Markup(str):
    """Text that is already HTML."""

    __slots__ = ()


def clean(text: object) -> str:
    """The text without characters that HTML forbids."""
    return _FORBIDDEN.sub("\ufffd", str(text))


def words(text: object) -> Markup:
    """Text, escaped."""
    return text if isinstance(text, Markup) else Markup(escape(clean(text), quote=True))


def join(children: Iterable[str | Markup], between: str = "") -> Markup:
    """Children one after another, each escaped unless it is markup."""
    return Markup(words(between).join(words(child) for child in children))


def el(tag: str, /, *children: object, **attributes: object) -> Markup:
    """An element. Attributes: `_` for a dash, a trailing `_` for Python's own words; None leaves
    one out, True writes its name alone."""
    out = [f"<{tag}"]
    for key, value in attributes.items():
        if value is None or value is False:
            continue
        key = key.rstrip("_").replace("_", "-")
        out.append(f" {key}" if value is True else f' {key}="{escape(clean(value), quote=True)}"')
    out.append(">")
    if tag in _VOID:
        return Markup("".join(out))
    out.append(_inside(children))
    out.append(f"</{tag}>")
    return Markup("".join(out))


def _inside(children: Iterable[object]) -> str:
    out = []
    for child in children:
        if child is None:
            continue
        if isinstance(child, (list, tuple)):
            out.append(_inside(child))
        else:
            out.append(words(child))
    return "".join(out)


def name(text: object) -> Markup:
    """A name from a file, kept from turning the writing direction of what stands round it."""
    return el("bdi", text)
