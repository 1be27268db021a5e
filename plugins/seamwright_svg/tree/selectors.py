"""CSS selectors, as far as drawings use them: type, class, id and attribute selectors with all
four combinators (Selectors Level 4, https://www.w3.org/TR/selectors-4/)."""

from __future__ import annotations

import re
from dataclasses import dataclass, field

from .parse import Node

_SIMPLE = re.compile(
    r"""
    (?P<universal>\*)
  | \#(?P<id>(?:[\w-]|[^\x00-\x7f]|\\.)+)
  | \.(?P<class>(?:[\w-]|[^\x00-\x7f]|\\.)+)
  | \[\s*(?P<attr>[\w:|-]+)\s*(?:(?P<op>[~|^$*]?=)\s*
        (?:"(?P<dq>[^"]*)"|'(?P<sq>[^']*)'|(?P<bare>[^\]\s]+))\s*)?\]
  | (?P<root>:root)
  | (?P<type>(?:[\w-]|[^\x00-\x7f])+)
    """,
    re.VERBOSE,
)
_COMBINATOR = re.compile(r"\s*([>+~])\s*|\s+")


@dataclass(slots=True)
class Compound:
    """Simple selectors that one element must all match."""

    type: str = ""
    id: str = ""
    root: bool = False
    classes: list[str] = field(default_factory=list)
    attributes: list[tuple[str, str, str]] = field(default_factory=list)

    def matches(self, node: Node) -> bool:
        """Whether `node` is such an element."""
        if self.type and node.tag != self.type:
            return False
        if self.id and node.attrs.get("id") != self.id:
            return False
        if self.root and node.parent is not None:
            return False
        if self.classes:
            own = node.attrs.get("class", "").split()
            if not all(c in own for c in self.classes):
                return False
        return all(
            _attribute(node.attrs.get(name), op, value) for name, op, value in self.attributes
        )


def _attribute(found: str | None, op: str, value: str) -> bool:
    if found is None:
        return False
    if op == "":
        return True
    if op == "=":
        return found == value
    if op == "~=":
        return value in found.split()
    if op == "|=":
        return found == value or found.startswith(value + "-")
    if not value:
        return False
    if op == "^=":
        return found.startswith(value)
    if op == "$=":
        return found.endswith(value)
    return value in found


@dataclass(slots=True)
class Selector:
    """Compounds from left to right and the combinators between them."""

    compounds: list[Compound]
    combinators: list[str]
    specificity: tuple[int, int, int]

    def matches(self, node: Node) -> bool:
        """Whether the selector's last compound describes `node`, and its context fits."""
        return self._from(len(self.compounds) - 1, node)

    def _from(self, index: int, node: Node) -> bool:
        if not self.compounds[index].matches(node):
            return False
        if index == 0:
            return True
        combinator = self.combinators[index - 1]
        parent = node.parent
        if parent is None:
            return False
        if combinator == ">":
            return self._from(index - 1, parent)
        if combinator == " ":
            while parent is not None:
                if self._from(index - 1, parent):
                    return True
                parent = parent.parent
            return False
        at = next(i for i, child in enumerate(parent.children) if child is node)
        before = parent.children[max(0, at - 1) : at] if combinator == "+" else parent.children[:at]
        return any(self._from(index - 1, sibling) for sibling in before)


def parse_selector(text: str) -> Selector | None:
    """The selector that `text` writes, None where it uses what is not known here."""
    text = text.strip()
    compounds = [Compound()]
    combinators: list[str] = []
    ids = classes = types = at = 0
    while at < len(text):
        match = _SIMPLE.match(text, at)
        if match:
            last = compounds[-1]
            if match["id"]:
                last.id, ids = _unescaped(match["id"]), ids + 1
            elif match["class"]:
                last.classes.append(_unescaped(match["class"]))
                classes += 1
            elif match["attr"]:
                value = match["dq"] or match["sq"] or match["bare"] or ""
                name = match["attr"].replace("|", ":")
                last.attributes.append((name, match["op"] or "", value))
                classes += 1
            elif match["root"]:
                last.root, classes = True, classes + 1
            elif match["type"]:
                if last != Compound():
                    return None
                last.type, types = match["type"], types + 1
            at = match.end()
            continue
        match = _COMBINATOR.match(text, at)
        if match is None or (compounds[-1] == Compound() and text[at - 1 : at] != "*"):
            return None
        combinators.append(match.group(1) or " ")
        compounds.append(Compound())
        at = match.end()
    if not text or (combinators and compounds[-1] == Compound() and not text.endswith("*")):
        return None
    return Selector(compounds, combinators, (ids, classes, types))


def _unescaped(name: str) -> str:
    name = re.sub(r"\\([0-9a-fA-F]{1,6})\s?", lambda m: chr(int(m.group(1), 16)), name)
    return re.sub(r"\\(.)", r"\1", name)
