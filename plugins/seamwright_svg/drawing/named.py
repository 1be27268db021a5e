"""What an element's attributes call it."""

from __future__ import annotations

from zlib import crc32

from seamwright.model.recognise.items import Named
from seamwright.model.recognise.words.labels import NOTHING, read_label

from ..tree.parse import Node


def named_of(node: Node) -> Named:
    """Reads the element's label (or `data-name`), title, id, classes and `data-...`."""
    attrs = node.attrs
    label = attrs.get("inkscape:label") or attrs.get("data-name") or ""
    title = ""
    for child in node.children:
        if child.tag == "title":
            title = child.content()
            break
    classes = attrs.get("class")
    facts = {k[5:]: v for k, v in attrs.items() if k.startswith("data-")}
    return Named(
        node,
        read_label(label) if label else NOTHING,
        read_label(title) if title else NOTHING,
        read_label(attrs["id"]) if "id" in attrs else NOTHING,
        tuple(map(read_label, classes.split())) if classes else (),
        facts,
        "check" in facts and _untouched(node),
    )


def checksum(data: str) -> str:
    """A short checksum of path data.

    The writer puts exact figures beside what it draws and a checksum of the drawing. Somebody may
    have edited the drawing since: then the drawing counts, and the figures beside it do not.
    """
    return f"{crc32(data.encode()):08x}"


def _untouched(node: Node) -> bool:
    """Whether the element's path data are those that the writer wrote, in their place."""
    attrs = node.attrs
    return (
        attrs["data-check"] == checksum(attrs.get("d", ""))
        and "transform" not in attrs
        and "transform" not in attrs.get("style", "")
    )
