"""Writing XML: elements with attributes in a fixed order, text escaped, bytes reproducible."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

# What XML 1.0 cannot hold, not even escaped (section 2.2).
_FORBIDDEN = re.compile("[^\t\n\r\x20-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")

Attributes = Mapping[str, str | None]


@dataclass(slots=True)
class Out:
    """Lines of the file so far. replaced: how many characters XML cannot hold were replaced."""

    lines: list[str] = field(default_factory=list)
    depth: int = 0
    replaced: int = 0

    def open(self, tag: str, attributes: Attributes) -> None:
        """Starts an element; None leaves an attribute out."""
        self._line(f"<{tag}{self._attributes(attributes)}>")
        self.depth += 1

    def close(self, tag: str) -> None:
        """Ends it."""
        self.depth -= 1
        self._line(f"</{tag}>")

    def leaf(self, tag: str, attributes: Attributes, text: str | None = None) -> None:
        """An element without children."""
        if text is None:
            self._line(f"<{tag}{self._attributes(attributes)}/>")
        else:
            self._line(f"<{tag}{self._attributes(attributes)}>{self._text(text)}</{tag}>")

    def raw(self, lines: Iterable[str]) -> None:
        """Markup that is known to be well-formed."""
        for line in lines:
            self._line(line)

    def data(self) -> bytes:
        """The file."""
        return ("\n".join(self.lines) + "\n").encode("utf-8")

    def _line(self, text: str) -> None:
        self.lines.append(" " * self.depth + text)

    def _attributes(self, attributes: Attributes) -> str:
        parts = []
        for name, value in attributes.items():
            if value is None:
                continue
            value = self._clean(value).replace("&", "&amp;").replace("<", "&lt;")
            value = value.replace('"', "&quot;").replace("\n", "&#10;").replace("\t", "&#9;")
            value = value.replace("\r", "&#13;")
            parts.append(f' {name}="{value}"')
        return "".join(parts)

    def _text(self, text: str) -> str:
        text = self._clean(text).replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")
        return text.replace("\r", "&#13;")

    def _clean(self, text: str) -> str:
        clean, count = _FORBIDDEN.subn("\ufffd", text)
        self.replaced += count
        return clean
