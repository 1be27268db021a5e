"""The XML tree of a drawing, built in one bounded pass with the line of every element.

The standard library's expat does the parsing. Nothing outside the file is ever opened; of
entities only short literal ones are expanded, as general vector editors declare them for their
namespaces and styles. Limits are checked while parsing, before anything large is built.
"""

from __future__ import annotations

import re
import zlib
from dataclasses import dataclass, field
from typing import Final
from xml.parsers import expat

from seamwright.plugins.api import Limits, SeamwrightError

from .namespaces import PREFIXES, SVG

_MOST_ENTITIES: Final = 64
_LONGEST_ENTITY: Final = 1024


@dataclass(slots=True, eq=False)
class Node:
    """One element. tag and attribute names: bare for SVG, with a usual prefix for others.

    line      1-based, of the start of its tag
    text      characters before the first child; tail: characters after the element
    """

    tag: str
    attrs: dict[str, str]
    line: int
    parent: Node | None = None
    children: list[Node] = field(default_factory=list)
    text: str = ""
    tail: str = ""

    @property
    def id(self) -> str:
        """The element's id, "" where it has none."""
        return self.attrs.get("id", "")

    @property
    def href(self) -> str:
        """What the element refers to (SVG 2's `href` before XLink's)."""
        return self.attrs.get("href") or self.attrs.get("xlink:href", "")

    def walk(self) -> list[Node]:
        """The element and everything in it, in document order."""
        out: list[Node] = []
        stack = [self]
        while stack:
            node = stack.pop()
            out.append(node)
            stack.extend(reversed(node.children))
        return out

    def content(self) -> str:
        """All characters in it, markup left out."""
        parts: list[str] = []
        stack: list[Node | str] = [self]
        while stack:
            top = stack.pop()
            if isinstance(top, str):
                parts.append(top)
                continue
            parts.append(top.text)
            for child in reversed(top.children):
                stack.append(child.tail)
                stack.append(child)
        return "".join(parts)

    def named(self) -> str:
        """How a message names the element: `path "seam-line"`."""
        label = self.attrs.get("inkscape:label") or self.id
        if label:
            return f'{self.tag} "{label}"'
        return f"{'an' if self.tag[:1] in 'aeiou' else 'a'} {self.tag}"


@dataclass(slots=True)
class Tree:
    """A parsed drawing.

    ids     id -> first element that bears it
    sheets  `xml-stylesheet` instructions: never followed
    """

    root: Node
    ids: dict[str, Node]
    count: int
    sheets: tuple[str, ...] = ()

    def original(self, clone: Node) -> Node | None:
        """What a `use` stands for, None where that is not in the file."""
        href = clone.href.strip()
        return self.ids.get(href[1:]) if href.startswith("#") else None


def parse(data: bytes, name: str, limits: Limits) -> Tree:
    """The tree of an SVG file given as bytes (plain or gzipped, any XML encoding).

    Raises SeamwrightError: svg.not-xml, svg.not-svg, svg.unsafe, svg.limit.
    """
    return _Builder(_unzipped(data, name, limits), name, limits).run()


def _unzipped(data: bytes, name: str, limits: Limits) -> bytes:
    if data[:2] != b"\x1f\x8b":
        if len(data) > limits.bytes:
            raise _too_much(name, "bytes", len(data), limits.bytes)
        return data
    worker = zlib.decompressobj(wbits=31)
    try:
        out = worker.decompress(data, limits.bytes)
        if worker.unconsumed_tail:
            raise _too_much(name, "bytes", limits.bytes + 1, limits.bytes)
        out += worker.flush()
    except zlib.error as error:
        raise SeamwrightError.of(
            "svg.not-xml",
            f"the compressed drawing is damaged: {error}",
            file=name,
            hint="save it again, or as plain .svg",
        ) from None
    if not worker.eof:
        raise SeamwrightError.of(
            "svg.not-xml",
            "the compressed drawing breaks off before its end",
            file=name,
            hint="copy or save it again",
        )
    return out


def _too_much(name: str, what: str, found: int, most: int) -> SeamwrightError:
    return SeamwrightError.of(
        "svg.limit",
        f"the drawing has {'more than ' if found <= most + 1 else ''}{found} {what}; "
        f"the limit is {most}",
        file=name,
        hint=f"if you trust the file, raise the limit: --limit {what.split()[0]}={2 * found}",
    )


class _Builder:
    def __init__(self, data: bytes, name: str, limits: Limits) -> None:
        self._data = data
        self._name = name
        self._limits = limits
        self._root: Node | None = None
        self._at: Node | None = None
        self._last: Node | None = None  # closed most recently: characters go to its tail
        self._depth = 0
        self._count = 0
        self._entities = 0
        self._characters = 0
        self._ids: dict[str, Node] = {}
        self._sheets: list[str] = []
        self._spaces: list[tuple[int, dict[str, str]]] = [(0, {"xml": "xml:"})]
        self._tags: dict[str, str] = {}
        parser = expat.ParserCreate()
        parser.buffer_text = True
        parser.SetParamEntityParsing(expat.XML_PARAM_ENTITY_PARSING_NEVER)
        parser.StartElementHandler = self._start
        parser.EndElementHandler = self._end
        parser.CharacterDataHandler = self._text
        parser.EntityDeclHandler = self._entity
        parser.ExternalEntityRefHandler = self._external
        parser.ProcessingInstructionHandler = self._instruction
        self._parser = parser

    def run(self) -> Tree:
        try:
            self._parser.Parse(self._data, True)
        except expat.ExpatError as error:
            raise self._malformed(error) from None
        except (LookupError, ValueError) as error:  # an encoding that nobody knows
            raise SeamwrightError.of(
                "svg.not-xml",
                f"the drawing's encoding cannot be read: {error}",
                file=self._name,
                hint="save it as UTF-8",
            ) from None
        root = self._root
        if root is None or root.tag != "svg":
            raise SeamwrightError.of(
                "svg.not-svg",
                f"this is XML, but no drawing: it starts with <{root.tag if root else ''}>, "
                "expected <svg>",
                file=self._name,
                line=root.line if root else None,
                hint="export the drawing as SVG",
            )
        return Tree(root, self._ids, self._count, tuple(self._sheets))

    def _malformed(self, error: expat.ExpatError) -> SeamwrightError:
        what = expat.errors.messages.get(error.code, str(error))
        if "amplification" in what:
            return self._unsafe("entities that unfold to many times the file's size")
        lines = self._data.splitlines()
        found = b""
        if error.lineno - 1 < len(lines):
            line = lines[error.lineno - 1]
            found = line[max(0, error.offset - 20) : error.offset + 20]
        shown = found.decode("utf-8", "replace").strip()
        return SeamwrightError.of(
            "svg.not-xml",
            f"the drawing is not well-formed XML: {what} at line {error.lineno}, "
            f"column {error.offset + 1}" + (f', near "{shown}"' if shown else ""),
            file=self._name,
            line=error.lineno,
            hint="the file may be cut short or damaged: save it again from the drawing program",
        )

    def _unsafe(self, what: str) -> SeamwrightError:
        return SeamwrightError.of(
            "svg.unsafe",
            f"the drawing is refused, it uses {what}",
            file=self._name,
            line=self._parser.CurrentLineNumber,
            hint="save it again as plain SVG from a drawing program",
        )

    # -- expat's handlers -------------------------------------------------------------------

    def _entity(
        self,
        name: str,
        is_parameter: int,
        value: str | None,
        base: str | None,
        system: str | None,
        public: str | None,
        notation: str | None,
    ) -> None:
        if is_parameter:
            raise self._unsafe(f"a parameter entity (%{name};)")
        if value is None or system is not None or notation is not None:
            raise self._unsafe(f"an entity that stands outside the file (&{name};)")
        if len(value) > _LONGEST_ENTITY or "&" in value or "<" in value:
            raise self._unsafe(f"an entity that holds markup, entities or long text (&{name};)")
        self._entities += 1
        if self._entities > _MOST_ENTITIES:
            raise self._unsafe(f"more than {_MOST_ENTITIES} entities")

    def _external(
        self, context: str | None, base: str | None, system: str | None, public: str | None
    ) -> int:
        raise self._unsafe("an entity that stands outside the file")

    def _instruction(self, target: str, data: str) -> None:
        if target == "xml-stylesheet" and len(self._sheets) < _MOST_ENTITIES:
            self._sheets.append(data.strip()[:80])

    def _start(self, name: str, attributes: dict[str, str]) -> None:
        self._depth += 1
        self._count += 1
        if self._depth > self._limits.depth:
            raise _too_much(self._name, "depth of nested elements", self._depth, self._limits.depth)
        if self._count > self._limits.elements:
            raise _too_much(self._name, "elements", self._count, self._limits.elements)
        if any(key.startswith("xmlns") for key in attributes):
            self._declare(attributes)
        tag = self._tags.get(name) or self._resolved(name, element=True)
        if any(":" in key for key in attributes):
            attributes = {
                self._resolved(k, element=False) if ":" in k else k: v
                for k, v in attributes.items()
                if not k.startswith("xmlns")
            }
        node = Node(tag, attributes, self._parser.CurrentLineNumber, self._at)
        if self._at is None:
            self._root = node
        else:
            self._at.children.append(node)
        self._at, self._last = node, None
        identity = attributes.get("id")
        if identity:
            self._ids.setdefault(identity, node)

    def _end(self, name: str) -> None:
        if self._spaces[-1][0] == self._depth:
            self._spaces.pop()
            self._tags = {}
        self._depth -= 1
        assert self._at is not None
        self._last, self._at = self._at, self._at.parent

    def _text(self, data: str) -> None:
        self._characters += len(data)
        if self._characters > self._limits.bytes:
            raise _too_much(self._name, "bytes", self._characters, self._limits.bytes)
        if self._last is not None:
            self._last.tail += data
        elif self._at is not None:
            self._at.text += data

    # -- names ------------------------------------------------------------------------------

    def _declare(self, attributes: dict[str, str]) -> None:
        scope = dict(self._spaces[-1][1])
        for key, uri in attributes.items():
            if key == "xmlns":
                scope[""] = PREFIXES.get(uri, f"{{{uri}}}" if uri else "")
            elif key.startswith("xmlns:"):
                scope[key[6:]] = PREFIXES.get(uri, f"{{{uri}}}")
        self._spaces.append((self._depth, scope))
        self._tags = {}

    def _resolved(self, name: str, *, element: bool) -> str:
        """The name in short form. A prefix that nothing declares is taken as it stands: many
        hand-made drawings write `inkscape:label` without its declaration."""
        prefix, colon, local = name.rpartition(":")
        scope = self._spaces[-1][1]
        if not colon:
            short = scope.get("", PREFIXES[SVG]) + local
        elif prefix in scope:
            short = scope[prefix] + local
        elif prefix == "svg":
            short = local
        else:
            short = name
        if element:
            self._tags[name] = short
        return short


_URL = re.compile(r"""url\(\s*["']?\s*([^"')]*?)\s*["']?\s*\)""")


def local_url(value: str) -> str | None:
    """The id in a CSS `url(#id)`, None for anything else."""
    match = _URL.search(value)
    if match is None or not match.group(1).startswith("#"):
        return None
    return match.group(1)[1:]
