"""Building HTML so that nothing from a file can become markup.

`el` makes an element; text given to it is escaped, and only another element's `Markup` is not.
There is no other way for text to come onto the page.

Lengths travel through sentences as tokens: control characters that no text may hold on a page
stand round a manner of saying it, the millimetres, and the words in the reader's unit. They become
`<data>` elements (in a drawing `<tspan>`), which the page's script says anew in another unit.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from html import escape

# What HTML forbids outright (controls, surrogates, non-characters), shown as the replacement sign.
_FORBIDDEN = re.compile(
    "[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\ud800-\udfff\ufdd0-\ufdef\ufffe\uffff]"
)
_VOID = frozenset({"meta", "input", "br", "col"})
_TOKEN = re.compile("\x01([a-z])(-?[0-9.]+)\x03([^\x01-\x03]*)\x02")


class Told(str):
    """A text in which lengths stand as tokens. What a sentence takes from a file is cleaned before
    it is put in (`clean`), so that a name cannot pass for a length."""

    __slots__ = ()


def token(manner: str, mm: float, said: str) -> Told:
    """A length within a sentence; `manner` is a letter that the page's script knows."""
    return Told(f"\x01{manner}{mm:.4f}\x03{said}\x02" if said else said)


def told(text: str) -> str:
    """The sentence as a reader hears it, for attributes."""
    return _TOKEN.sub(lambda m: m[3], text)


class Markup(str):
    """Text that is already HTML."""

    __slots__ = ()


def clean(text: object) -> str:
    """The text without characters that HTML forbids."""
    return _FORBIDDEN.sub("\ufffd", str(text))


def words(text: object) -> Markup:
    """Text, escaped; lengths in it, where it may hold some, as `<data>`."""
    return text if isinstance(text, Markup) else Markup(_escaped(text, _data))


def _escaped(text: object, lengths: Callable[[re.Match[str]], str]) -> str:
    if not isinstance(text, Told):
        return escape(clean(text), quote=True)
    out, at = [], 0
    for found in _TOKEN.finditer(text):
        out += [escape(clean(text[at : found.start()]), quote=True), lengths(found)]
        at = found.end()
    out.append(escape(clean(text[at:]), quote=True))
    return "".join(out)


def _data(found: re.Match[str]) -> str:
    manner, mm, said = found.groups()
    kind = "" if manner == "s" else f" class={manner}"
    return f"<data{kind} value={_short(mm)}>{escape(clean(said), quote=True)}</data>"


def _tspan(found: re.Match[str]) -> str:
    manner, mm, said = found.groups()
    return f"<tspan class={manner} data-mm={_short(mm)}>{escape(clean(said), quote=True)}</tspan>"


def _short(mm: str) -> str:
    return mm.rstrip("0").rstrip(".") if "." in mm else mm


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
        said = escape(clean(told(value) if isinstance(value, Told) else value), quote=True)
        out.append(f" {key}" if value is True else f' {key}="{said}"')
    out.append(">")
    if tag in _VOID:
        return Markup("".join(out))
    if tag == "text":
        out += [c if isinstance(c, Markup) else _escaped(c, _tspan) for c in children]
    else:
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
