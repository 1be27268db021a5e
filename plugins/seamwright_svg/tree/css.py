"""Style sheets and the cascade: which value each property of an element has.

Order, weakest first: presentation attributes, sheet rules by specificity and order, the `style`
attribute; `!important` turns it round (CSS Cascading and Inheritance Level 3; SVG 2, chapter 6).
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from typing import Final

from .parse import Node
from .selectors import Selector, parse_selector

#: Properties that bear on what a drawing says; all others are looks.
PROPERTIES: Final = frozenset(
    {
        "display", "visibility", "stroke", "stroke-dasharray", "stroke-width", "fill", "clip-path",
        "mask", "marker", "marker-start", "marker-mid", "marker-end", "font", "font-size",
        "text-anchor", "transform",
    }
)  # fmt: skip

_COMMENT = re.compile(r"/\*.*?\*/|<!--|-->", re.DOTALL)
_IMPORT = re.compile(r"@import\s+[^;]+;?", re.IGNORECASE)
_STATEMENT = re.compile(r"@(?:charset|namespace|layer)\b[^;{]*;", re.IGNORECASE)


@dataclass(slots=True)
class Rule:
    """One selector with its declarations. order counts through all sheets of the drawing."""

    selector: Selector
    declarations: dict[str, tuple[str, bool]]
    order: int


@dataclass(slots=True)
class Sheet:
    """All style sheets of a drawing.

    skipped   selectors and at-rules that were not understood
    imports   `@import` statements: never followed
    """

    rules: list[Rule] = field(default_factory=list)
    skipped: list[str] = field(default_factory=list)
    imports: list[str] = field(default_factory=list)
    _by_key: dict[str, list[Rule]] = field(default_factory=dict)

    def add(self, text: str) -> None:
        """Reads one more sheet."""
        text = _COMMENT.sub(" ", text)
        self.imports += [m.group(0).strip() for m in _IMPORT.finditer(text)]
        text = _STATEMENT.sub(" ", _IMPORT.sub(" ", text))
        self._blocks(text)

    def _blocks(self, text: str) -> None:
        at = 0
        while True:
            brace = text.find("{", at)
            if brace < 0:
                return
            head = text[at:brace].strip()
            end = _closing(text, brace)
            body = text[brace + 1 : end]
            at = end + 1
            if head.startswith("@"):
                word = head.split(None, 1)
                if word[0].lower() == "@media" and _on_screen(head):
                    self._blocks(body)
                elif word[0].lower() not in ("@font-face", "@keyframes"):
                    self.skipped.append(head)
                continue
            declarations = {k: v for k, v in parse_declarations(body).items() if k in PROPERTIES}
            if not declarations:
                continue
            for part in head.split(","):
                selector = parse_selector(part)
                if selector is None:
                    self.skipped.append(part.strip())
                    continue
                rule = Rule(selector, declarations, len(self.rules))
                self.rules.append(rule)
                last = selector.compounds[-1]
                key = (
                    f"#{last.id}" if last.id
                    else f".{last.classes[0]}" if last.classes
                    else last.type
                )  # fmt: skip
                self._by_key.setdefault(key, []).append(rule)

    def matching(self, node: Node) -> list[Rule]:
        """The rules that apply to an element, weakest first."""
        if not self.rules:
            return []
        found: list[Rule] = []
        keys = ["", node.tag]
        if "id" in node.attrs:
            keys.append(f"#{node.attrs['id']}")
        if "class" in node.attrs:
            keys += [f".{c}" for c in dict.fromkeys(node.attrs["class"].split())]
        for key in keys:
            found += [r for r in self._by_key.get(key, ()) if r.selector.matches(node)]
        found.sort(key=lambda r: (r.selector.specificity, r.order))
        return found

    def declared(self, node: Node) -> dict[str, str]:
        """The values of `PROPERTIES` that are declared on the element itself, the winner each."""
        attrs = node.attrs
        out = {k: attrs[k] for k in PROPERTIES & attrs.keys() if k != "transform"}
        important: dict[str, str] = {}
        for rule in self.matching(node):
            for name, (value, weighty) in rule.declarations.items():
                (important if weighty else out)[name] = value
        style = attrs.get("style")
        if style:
            for name, (value, weighty) in parse_declarations(style).items():
                if name in PROPERTIES:
                    (important if weighty else out)[name] = value
        if important:
            out.update(important)
        if "marker" in out:
            for name in ("marker-start", "marker-mid", "marker-end"):
                out.setdefault(name, out["marker"])
        return out


def parse_declarations(text: str) -> dict[str, tuple[str, bool]]:
    """Property -> (value, whether it is `!important`) of a declaration list."""
    out: dict[str, tuple[str, bool]] = {}
    for part in _split(_COMMENT.sub(" ", text)):
        name, colon, value = part.partition(":")
        if not colon:
            continue
        value = value.strip()
        weighty = False
        lowered = value.lower()
        if "!" in lowered:
            value, _, mark = value.rpartition("!")
            weighty = mark.strip().lower() == "important"
            value = value.strip()
        name = name.strip()
        out[name if name.startswith("--") else name.lower()] = (value, weighty)
    return out


def _split(text: str) -> list[str]:
    """Parts between semicolons that stand outside brackets and quotes."""
    if "(" not in text and '"' not in text and "'" not in text:
        return text.split(";")
    parts, depth, quote, start = [], 0, "", 0
    for i, c in enumerate(text):
        if quote:
            quote = "" if c == quote else quote
        elif c in "\"'":
            quote = c
        elif c == "(":
            depth += 1
        elif c == ")":
            depth = max(0, depth - 1)
        elif c == ";" and depth == 0:
            parts.append(text[start:i])
            start = i + 1
    parts.append(text[start:])
    return parts


def _closing(text: str, brace: int) -> int:
    depth = 0
    for i in range(brace, len(text)):
        if text[i] == "{":
            depth += 1
        elif text[i] == "}":
            depth -= 1
            if depth == 0:
                return i
    return len(text)


def _on_screen(head: str) -> bool:
    media = head[6:].lower()
    return "(" not in media and any(word in media for word in ("all", "screen", "print"))
